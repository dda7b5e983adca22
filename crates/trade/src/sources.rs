//! Who says so: a text of the bibliography by its key, a text named in full, common practice, or
//! memory.

use crate::value::{Text, without_stop};
use bibliography::LEAD;
use rebuild::Source;
use serde::Deserialize;
use serde::de::{Deserializer, Error, MapAccess, Visitor, value::MapAccessDeserializer};
use std::fmt;

/// A source as it stands under a rule.
#[derive(Debug)]
pub(crate) struct WhoSaysSo(pub(crate) Source);

impl<'de> serde::Deserialize<'de> for WhoSaysSo {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Reads).map(Self)
    }
}

struct Reads;

impl<'de> Visitor<'de> for Reads {
    type Value = Source;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "\"common practice\", \"from memory\", or a text as { author = ..., title = ..., place = ... }",
        )
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Source, E> {
        match text {
            "common practice" => Ok(Source::CommonPractice),
            "from memory" => Ok(Source::FromMemory),
            _ => match text.strip_prefix(LEAD) {
                Some(citation) => cited(citation).map_err(E::custom),
                None => Err(E::custom(format!(
                    "\"{text}\" is no source; write \"common practice\", \"from memory\", or a text as \
                     {{ author = ..., title = ..., place = ... }}"
                ))),
            },
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Source, A::Error> {
        let InFull { author, title, place } = InFull::deserialize(MapAccessDeserializer::new(map))?;
        let author = author.map_or_else(String::new, |author| author.0);
        Ok(Source::Published { author, title: title.0, place: place.0 })
    }
}

/// A text that is named in full.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InFull {
    author: Option<Text>,
    title: Text,
    place: Text,
}

/// A citation: the key, then the place.
fn cited(citation: &str) -> Result<Source, String> {
    let (key, place) = citation.split_once(' ').unwrap_or((citation, ""));
    let Some(listed) = bibliography::text(key) else {
        return Err(format!("the bibliography has no \"{key}\""));
    };
    let place = without_stop(place.trim());
    if place.is_empty() {
        return Err(format!("say where in \"{key}\" it stands: \"{LEAD}{key} chapter 3\""));
    }
    let seen = listed.seen.remark().map_or_else(String::new, |remark| format!(" ({remark})"));
    Ok(Source::Published {
        author: listed.author.clone(),
        title: listed.title_and_year(),
        place: format!("{place}{seen}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_citation_is_looked_up() {
        let Ok(Source::Published { author, title, place }) = cited("lewis1896 57-58") else {
            panic!("not found");
        };
        assert_eq!(author, "W. T. Lewis");
        assert_eq!(title, "Friction, Lubrication and the Lubricants in Horology (1896)");
        assert_eq!(place, "57-58");
    }

    #[test]
    fn what_was_not_read_says_so() {
        let Ok(Source::Published { place, .. }) = cited("tm9-1575 par. 42g") else {
            panic!("not found");
        };
        assert_eq!(place, "par. 42g (from a report of it)");
    }

    #[test]
    fn a_citation_without_its_place_or_of_nobody_is_refused() {
        assert!(cited("lewis1896").is_err());
        assert!(cited("nobody 3").is_err());
    }
}
