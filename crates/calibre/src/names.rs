//! Which arbor, wheel or pinion a name stands for.

use crate::unfit::Wrong;
use horology::train::{Arbor, Barrel, ToothedAt};

/// So many names are shown where one is not found.
const SHOWN: usize = 12;

/// Most characters of a name.
const LONGEST: usize = 60;

/// A name that can stand in a line.
pub(crate) fn checked(name: &str) -> Result<(), Wrong> {
    let fits = name.chars().count() <= LONGEST && !name.chars().any(char::is_control);
    fits.then_some(()).ok_or(Wrong::Name { most: LONGEST })
}

/// The arbor of this name.
pub(crate) fn arbor(arbors: &[Arbor], name: &str) -> Result<usize, Wrong> {
    checked(name)?;
    arbors.iter().position(|arbor| arbor.name == name).ok_or_else(|| {
        no_such("arbor", name, arbors.iter().map(|arbor| arbor.name.clone()).collect())
    })
}

/// The barrel of this name.
pub(crate) fn barrel(barrels: &[Barrel], name: &str) -> Result<usize, Wrong> {
    checked(name)?;
    barrels.iter().position(|barrel| barrel.name == name).ok_or_else(|| {
        no_such("barrel", name, barrels.iter().map(|barrel| barrel.name.clone()).collect())
    })
}

/// The wheel or pinion of this name: that of its arbor and, behind a space, its own. Where the arbor
/// carries only one, the arbor's name will do.
pub(crate) fn toothed(arbors: &[Arbor], name: &str) -> Result<ToothedAt, Wrong> {
    let mut found = Vec::new();
    let mut all = Vec::new();
    for (arbor, carrying) in arbors.iter().enumerate() {
        if carrying.name == name && carrying.carries.len() == 1 {
            found.push(ToothedAt { arbor, toothed: 0 });
        }
        for (toothed, carried) in carrying.carries.iter().enumerate() {
            let full = format!("{} {}", carrying.name, carried.name);
            if full == name {
                found.push(ToothedAt { arbor, toothed });
            }
            all.push(full);
        }
    }
    match found[..] {
        [one] => Ok(one),
        _ if checked(name).is_err() => Err(Wrong::Name { most: LONGEST }),
        [] => Err(no_such("wheel or pinion", name, all)),
        _ => Err(Wrong::Ambiguous { name: name.to_owned() }),
    }
}

fn no_such(what: &'static str, name: &str, mut names: Vec<String>) -> Wrong {
    let more = names.len().saturating_sub(SHOWN);
    names.truncate(SHOWN);
    let there = match (names.is_empty(), more) {
        (true, _) => "there is none at all".to_owned(),
        (false, 0) => format!("there are {}", names.join(", ")),
        (false, more) => format!("there are {} and {more} more", names.join(", ")),
    };
    Wrong::NoSuch { what, name: name.to_owned(), there }
}
