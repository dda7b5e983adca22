//! What is wrong with the arguments, in a sentence.

use crate::shown;
use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// A sentence for what the reader of arguments found; `None` where its own words are best (help that
/// was asked for).
pub(crate) fn sentence(error: &Error) -> Option<String> {
    let of = |kind| error.get(kind).map(words).filter(|words| !words.is_empty());
    let argument = of(ContextKind::InvalidArg);
    let value = of(ContextKind::InvalidValue).unwrap_or_default();
    let value = shown::short(&value);
    let sentence = match error.kind() {
        ErrorKind::ValueValidation => {
            let reason = std::error::Error::source(error).map(ToString::to_string)?;
            format!("{} {value}: {}.", argument?, reason.trim_end_matches('.'))
        }
        ErrorKind::InvalidValue if value.is_empty() => {
            format!("{} lacks its value.", argument?)
        }
        ErrorKind::InvalidValue => {
            format!("{} cannot be “{value}”: choose {}.", argument?, of(ContextKind::ValidValue)?)
        }
        ErrorKind::UnknownArgument => {
            let meant = of(ContextKind::SuggestedArg).map(|s| format!(" Did you mean {s}?"));
            let argument = argument?;
            if argument.trim_start_matches('-').starts_with(|c: char| c.is_ascii_digit()) {
                return Some(format!("“{argument}…”: only a plain number may begin with a dash."));
            }
            format!("There is no option {}.{}", shown::short(&argument), meant.unwrap_or_default())
        }
        ErrorKind::InvalidSubcommand => {
            let meant = of(ContextKind::SuggestedSubcommand).map(|s| format!(" Did you mean {s}?"));
            let command = of(ContextKind::InvalidSubcommand)?;
            format!("There is no command {}.{}", shown::short(&command), meant.unwrap_or_default())
        }
        ErrorKind::InvalidUtf8 => {
            "An argument that names no file is not text in UTF-8: type it anew.".into()
        }
        ErrorKind::MissingRequiredArgument => format!("{} is missing.", argument?),
        ErrorKind::ArgumentConflict => match of(ContextKind::PriorArg) {
            Some(prior) if Some(&prior) == argument.as_ref() => {
                format!("{prior} is given more than once.")
            }
            prior => format!("{} does not go together with {}.", argument?, prior?),
        },
        ErrorKind::TooFewValues | ErrorKind::WrongNumberOfValues => {
            let wanted = of(ContextKind::ExpectedNumValues).or(of(ContextKind::MinValues))?;
            format!("{} wants {wanted} values.", argument?)
        }
        _ => return None,
    };
    Some(sentence)
}

/// What stands in a message's context. An option is named without what stands for its value.
fn words(value: &ContextValue) -> String {
    let bare = |words: &String| match words.split_once(' ') {
        Some((option, _)) if option.starts_with('-') => option.to_owned(),
        _ => words.clone(),
    };
    match value {
        ContextValue::String(words) => bare(words),
        ContextValue::Strings(all) => {
            let all: Vec<String> = all.iter().map(bare).collect();
            match all.split_last() {
                Some((last, [])) => last.clone(),
                Some((last, others)) => format!("{} or {last}", others.join(", ")),
                None => String::new(),
            }
        }
        ContextValue::Number(number) => number.to_string(),
        _ => String::new(),
    }
}
