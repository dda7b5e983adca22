//! Numbers of teeth, and how one that is missing is written.

use horology::train::MOST_TEETH;
use horology::train::missing::{MOST_SOUGHT, USUAL_LEAVES, USUAL_TEETH};
use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::fmt;
use std::ops::RangeInclusive;

/// A number of teeth as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Teeth {
    Counted(u32),
    /// Missing, with the numbers that it may be where they are written.
    Missing(Option<RangeInclusive<u32>>),
}

/// What to write.
const WANTED: &str = "a whole number of teeth, \"?\" where it is missing, or from which to which like \
                      \"60-90\"";

/// The numbers that a missing wheel or pinion, written as `?` or `60-90`, may have; nothing where it
/// is written otherwise. What is called a pinion has leaves.
#[must_use]
pub fn teeth_in_words(text: &str, is_pinion: bool) -> Option<RangeInclusive<u32>> {
    let range = missing(text)?;
    Some(range.unwrap_or(if is_pinion { USUAL_LEAVES } else { USUAL_TEETH }))
}

fn missing(text: &str) -> Option<Option<RangeInclusive<u32>>> {
    let text = text.trim();
    if text == "?" {
        return Some(None);
    }
    let (least, most) = text.split_once(['-', '–'])?;
    let (least, most) = (least.trim().parse().ok()?, most.trim().parse().ok()?);
    (1 <= least && least <= most && most <= MOST_SOUGHT).then_some(Some(least..=most))
}

impl<'de> Deserialize<'de> for Teeth {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reading;

        impl Visitor<'_> for Reading {
            type Value = Teeth;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(WANTED)
            }

            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Teeth, E> {
                match u32::try_from(number) {
                    Ok(teeth) if (1..=MOST_TEETH).contains(&teeth) => Ok(Teeth::Counted(teeth)),
                    _ => Err(E::custom(format_args!(
                        "a wheel cannot have {number} teeth: count again; 1 to {MOST_TEETH} are taken"
                    ))),
                }
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Teeth, E> {
                missing(text)
                    .map(Teeth::Missing)
                    .ok_or_else(|| E::custom(format_args!("write {WANTED}, of 1 to {MOST_SOUGHT}")))
            }
        }

        deserializer.deserialize_any(Reading)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_teeth_as_people_write_them() {
        assert_eq!(teeth_in_words("?", true), Some(USUAL_LEAVES));
        assert_eq!(teeth_in_words(" ? ", false), Some(USUAL_TEETH));
        assert_eq!(teeth_in_words("60-90", false), Some(60..=90));
        assert_eq!(teeth_in_words("8 – 8", true), Some(8..=8));
        for wrong in ["", "??", "60", "90-60", "0-5", "1-1001", "a-b", "-5"] {
            assert_eq!(teeth_in_words(wrong, false), None, "{wrong}");
        }
    }
}
