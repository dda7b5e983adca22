//! Values made of words like `bph=28800,rate=+5`. The keys, their meaning and what they set stand in
//! one table each, from which help and messages come too.

use super::values::number;
use crate::shown;

/// One key of a `T`.
pub(crate) struct Key<T> {
    /// As typed.
    pub(crate) name: &'static str,
    /// For the help, with unit and default.
    pub(crate) meaning: &'static str,
    /// Puts the value where it belongs.
    pub(crate) set: fn(&mut T, &str) -> Result<(), String>,
}

/// Fills `target` from words; an empty text leaves it as it is.
pub(crate) fn fill<T>(mut target: T, text: &str, keys: &[Key<T>]) -> Result<T, String> {
    let mut seen: Vec<&str> = Vec::new();
    for pair in text.split(',').map(str::trim).filter(|pair| !pair.is_empty()) {
        let Some((name, value)) = pair.split_once('=') else {
            if pair.starts_with(|c: char| c.is_ascii_digit()) {
                return Err(format!("“{pair}” has no key: write decimals with a point, like 1.5"));
            }
            return Err(format!("“{pair}” lacks its value: write {pair}=…; {}", list(keys)));
        };
        let (name, value) = (name.trim(), value.trim());
        let shortened = shown::short(value);
        let Some(key) = keys.iter().find(|key| key.name == name) else {
            return Err(format!("there is no key “{}”; {}", shown::short(name), list(keys)));
        };
        if seen.contains(&key.name) {
            return Err(format!("“{name}” is given twice"));
        }
        seen.push(key.name);
        (key.set)(&mut target, value).map_err(|what| format!("{name}={shortened}: {what}"))?;
    }
    Ok(target)
}

fn list<T>(keys: &[Key<T>]) -> String {
    let names: Vec<&str> = keys.iter().map(|key| key.name).collect();
    format!("the keys are {}", names.join(", "))
}

/// The keys with their meaning, a line each, for the help.
pub(crate) fn described<T>(keys: &[Key<T>]) -> String {
    let widest = keys.iter().map(|key| key.name.len()).max().unwrap_or(0);
    let lines = keys.iter().map(|key| format!("  {:widest$}  {}", key.name, key.meaning));
    lines.collect::<Vec<_>>().join("\n")
}

/// Numbers with colons between: one for each channel.
pub(crate) fn numbers(words: &str) -> Result<Vec<f64>, String> {
    words.split(':').map(number).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEYS: &[Key<(f64, f64)>] = &[
        Key {
            name: "rate",
            meaning: "s/d",
            set: |t, w| {
                t.0 = number(w)?;
                Ok(())
            },
        },
        Key {
            name: "lift",
            meaning: "degrees",
            set: |t, w| {
                t.1 = number(w)?;
                Ok(())
            },
        },
    ];

    fn filled(text: &str) -> Result<(f64, f64), String> {
        fill((0.0, 52.0), text, KEYS)
    }

    #[test]
    fn words_fill_what_they_name() {
        assert_eq!(filled("rate=+5"), Ok((5.0, 52.0)));
        assert_eq!(filled(" lift = 50 , rate=-1.5,"), Ok((-1.5, 50.0)));
        assert_eq!(filled(""), Ok((0.0, 52.0)));
    }

    #[test]
    fn messages_name_the_bad_key_and_list_the_good_ones() {
        let keys = "the keys are rate, lift";
        assert_eq!(filled("rat=5"), Err(format!("there is no key “rat”; {keys}")));
        assert_eq!(filled("rate"), Err(format!("“rate” lacks its value: write rate=…; {keys}")));
        let comma = filled("rate=1,5").unwrap_err();
        assert_eq!(comma, "“5” has no key: write decimals with a point, like 1.5");
        assert_eq!(filled("rate=fast"), Err("rate=fast: this is not a number".into()));
        assert_eq!(filled("rate=1,rate=2"), Err("“rate” is given twice".into()));
    }
}
