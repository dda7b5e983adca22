//! What stands on the command line.

use crate::command::Failure;
use std::path::PathBuf;

/// A study and its options, as typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Arguments {
    /// The words that are no options: the study first.
    pub(crate) words: Vec<String>,
    /// How many recordings (of each kind, where a study has kinds), where not the usual number.
    pub(crate) recordings: Option<u64>,
    /// Seed of the first recording; the others follow.
    pub(crate) first_seed: u64,
    /// Whether to fail where the result is short of its aim.
    pub(crate) check: bool,
    /// Folder for figures.
    pub(crate) figures: Option<PathBuf>,
    /// Where `case` writes the sound.
    pub(crate) wav: Option<PathBuf>,
    /// Length of the simulated day, hours.
    pub(crate) hours: Option<f64>,
    /// Folder of recordings of real timepieces.
    pub(crate) real: Option<PathBuf>,
    /// Number of balances that `case` tells the engine.
    pub(crate) balances: Option<usize>,
}

impl Arguments {
    pub(crate) fn read(arguments: &[String]) -> Result<Self, Failure> {
        let mut read = Self::default();
        let mut rest = arguments.iter();
        while let Some(word) = rest.next() {
            let mut value = || {
                rest.next()
                    .ok_or_else(|| Failure::WrongUse(format!("{word} wants a value after it")))
            };
            match word.as_str() {
                "--recordings" => read.recordings = Some(number(word, value()?)?),
                "--first-seed" => read.first_seed = number(word, value()?)?,
                "--figures" => read.figures = Some(value()?.into()),
                "--wav" => read.wav = Some(value()?.into()),
                "--real" => read.real = Some(value()?.into()),
                "--hours" => read.hours = Some(number(word, value()?)?),
                "--balances" => read.balances = Some(number(word, value()?)?),
                "--check" => read.check = true,
                other if other.starts_with("--") => {
                    let sentence = format!("there is no option {other}; see `studies help`");
                    return Err(Failure::WrongUse(sentence));
                }
                other => read.words.push(other.to_owned()),
            }
        }
        Ok(read)
    }
}

/// A number as typed.
pub(crate) fn number<T: std::str::FromStr>(of: &str, text: &str) -> Result<T, Failure> {
    text.parse().map_err(|_| Failure::WrongUse(format!("{of}: {text:?} is not a number that fits")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Result<Arguments, Failure> {
        Arguments::read(&words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn options_and_words() -> Result<(), Failure> {
        let a = read(&["one", "--recordings", "7", "--check"])?;
        assert_eq!((a.words, a.recordings, a.check), (vec!["one".to_owned()], Some(7), true));
        Ok(())
    }

    #[test]
    fn wrong_use_is_said() {
        for words in [&["--recordings"][..], &["--recordings", "many"], &["--nonsense"]] {
            assert!(matches!(read(words), Err(Failure::WrongUse(_))), "{words:?}");
        }
    }
}
