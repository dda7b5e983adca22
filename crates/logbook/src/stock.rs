//! The user's bottles in a file.

use crate::file::{ReadError, read};
use crate::limits::{MOST_BOTTLES, MOST_NAME};
use crate::taking::{id, list, readable};
use crate::unfit::{At, Unfit, Wrong};
use jiff::civil::Date;
use rebuild::{Bottle, BottleId, LubricantClass};
use serde::Deserialize;
use uuid::Uuid;

/// The form of a stock in a file.
pub const STOCK_SCHEMA: &str = "endshake.stock/1";

/// As it stands in a file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StockFile {
    #[serde(rename = "schema")]
    _schema: String,
    bottles: Vec<StockBottle>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StockBottle {
    id: Option<String>,
    class: String,
    name: String,
    opened: Option<String>,
    expires: Option<String>,
    #[serde(default)]
    used_up: bool,
}

/// The bottles of a file, in its order.
///
/// # Errors
///
/// Where it is no stock in the form `endshake.stock/1`, or a bottle cannot be taken as it is.
pub fn stock_from_json(bytes: &[u8]) -> Result<Vec<Bottle>, ReadError> {
    let file = read::<StockFile>(bytes, STOCK_SCHEMA)?;
    // A bottle without an id is told from the others by its place.
    let numbered: Vec<(u128, StockBottle)> = (1..).zip(file.bottles).collect();
    Ok(list(numbered, MOST_BOTTLES, |(number, bottle)| taken(number, bottle)).at("bottles")?)
}

fn taken(number: u128, bottle: StockBottle) -> Result<Bottle, Unfit> {
    readable(&bottle.name, MOST_NAME).at("name")?;
    if bottle.name.trim().is_empty() {
        return Err(Wrong::Blank).at("name");
    }
    let own = BottleId::from_uuid(Uuid::from_u128(number));
    let class = LubricantClass::from_code(&bottle.class).ok_or(Wrong::NotAClass);
    Ok(Bottle {
        id: bottle.id.map_or(Ok(own), |text| id(&text, BottleId::from_uuid)).at("id")?,
        class: class.at("class")?,
        name: bottle.name,
        opened: day(bottle.opened.as_deref()).at("opened")?,
        expires: day(bottle.expires.as_deref()).at("expires")?,
        gone: bottle.used_up,
    })
}

fn day(text: Option<&str>) -> Result<Option<Date>, Wrong> {
    let Some(text) = text else { return Ok(None) };
    // The library takes more than a day; what stands behind it would be passed over in silence.
    let date = text.parse::<Date>().ok().filter(|date| date.to_string() == text);
    date.map(Some).ok_or(Wrong::NotADay)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(bottle: &str) -> String {
        let file = format!("{{\"schema\": \"endshake.stock/1\", \"bottles\": [{bottle}]}}");
        stock_from_json(file.as_bytes()).unwrap_err().to_string()
    }

    /// The example of the documents.
    #[test]
    fn the_example_of_the_documents_is_read() {
        let page = include_str!("../../../docs/design/log-format.md");
        let (_, stock) = page.split_once("## A stock").unwrap();
        let (_, rest) = stock.split_once("```json\n").unwrap();
        let bottles = stock_from_json(rest.split_once("```").unwrap().0.as_bytes()).unwrap();
        let told: Vec<(&str, bool)> =
            bottles.iter().map(|bottle| (bottle.class.code(), bottle.gone)).collect();
        assert_eq!(told, [("thin-oil", false), ("thin-oil", true), ("grease", false)]);
        assert_eq!(bottles[0].opened, Some(Date::constant(2026, 1, 12)));
        assert_eq!(bottles[0].expires, Some(Date::constant(2028, 1, 31)));
        assert_eq!((bottles[2].opened, bottles[2].expires), (None, None));
        assert!(bottles[0].id != bottles[1].id);
    }

    #[test]
    fn a_bottle_that_does_not_fit_is_named_with_what_to_do() {
        let class = refused("{\"class\": \"snake-oil\", \"name\": \"x\"}");
        assert!(class.starts_with("bottles[0].class: there is no such class"), "{class}");
        assert!(class.contains("thin-oil") && class.contains("epilame"), "{class}");
        let name = refused("{\"class\": \"grease\", \"name\": \" \"}");
        assert!(name.starts_with("bottles[0].name: it is empty"), "{name}");
        for day in ["2026-13-01", "12.1.2026", "2026-01-12T10:00:00", "soon"] {
            let day = refused(&format!(
                "{{\"class\": \"grease\", \"name\": \"x\", \"expires\": \"{day}\"}}"
            ));
            assert!(day.starts_with("bottles[0].expires: this is not a day"), "{day}");
        }
        let more = refused("{\"class\": \"grease\", \"name\": \"x\", \"maker\": \"y\"}");
        assert!(more.contains("unknown field `maker`"), "{more}");
        let id = refused("{\"class\": \"grease\", \"name\": \"x\", \"id\": \"7\"}");
        assert!(id.starts_with("bottles[0].id: this is not an id"), "{id}");
    }
}
