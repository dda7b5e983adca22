//! From text to a movement.

use crate::counted::MeshSize;
use crate::entry::{
    ArborEntry, BalanceEntry, BarrelEntry, HandEntry, MainspringEntry, MeshEntry, Sheet,
};
use crate::known::{BalanceKnown, Mainspring};
use crate::names;
use crate::teeth::Teeth;
use crate::unfit::{Unfit, Wrong};
use horology::train::missing::{USUAL_LEAVES, USUAL_TEETH, Unknown};
use horology::train::{
    Arbor, Balance, Barrel, Hand, Impossible, Mesh, Movement, Parts, Ratio, Toothed, ToothedAt,
};
use toml::Spanned;

/// The largest file that is read, in bytes: that of a clock with a hundred arbors is a tenth of it.
pub const MOST_BYTES: usize = 1 << 17;

/// What is called so has leaves.
const PINION: &str = "pinion";

/// Beats for each tooth where nothing is written.
const USUAL_BEATS_PER_TOOTH: u32 = 2;

/// A movement as it was written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibre {
    /// What the file calls it; may be empty.
    pub title: String,
    /// The movement. Where teeth are missing, 1 stands in their place.
    pub movement: Movement,
    /// Wheels and pinions whose teeth are missing.
    pub unknowns: Vec<Unknown>,
    /// What was measured of each balance, as the movement's balances.
    pub balances: Vec<BalanceKnown>,
    /// Mainsprings, one a barrel at most.
    pub mainsprings: Vec<Mainspring>,
    /// How large each mesh is and the line of its entry, as the movement's meshes.
    pub mesh_sizes: Vec<(usize, MeshSize)>,
}

/// Reads a calibre.
///
/// # Errors
/// The first thing that is wrong, with its line.
pub fn read(text: &str) -> Result<Calibre, Unfit> {
    if text.len() > MOST_BYTES {
        return Err(Unfit { line: None, wrong: Wrong::TooLong { most: MOST_BYTES } });
    }
    let sheet: Sheet = toml::from_str(text).map_err(|error| Unfit {
        line: error.span().map(|span| line_of(text, span.start)),
        wrong: Wrong::Form(in_our_words(error.message())),
    })?;
    let mut reading = Reading {
        text,
        parts: Parts::default(),
        unknowns: Vec::new(),
        balances: Vec::new(),
        mainsprings: Vec::new(),
        mesh_sizes: Vec::new(),
    };
    for entry in sheet.arbor {
        reading.arbor(entry)?;
    }
    for entry in sheet.mesh {
        reading.mesh(entry)?;
    }
    for entry in sheet.balance {
        reading.balance(entry)?;
    }
    for entry in sheet.hand {
        reading.hand(entry)?;
    }
    for entry in sheet.barrel {
        reading.barrel(entry)?;
    }
    for entry in sheet.mainspring {
        reading.mainspring(entry)?;
    }
    let movement = Movement::new(reading.parts)
        .map_err(|impossible| Unfit { line: None, wrong: Wrong::Impossible(impossible) })?;
    Ok(Calibre {
        title: sheet.title.trim().to_owned(),
        movement,
        unknowns: reading.unknowns,
        balances: reading.balances,
        mainsprings: reading.mainsprings,
        mesh_sizes: reading.mesh_sizes,
    })
}

struct Reading<'a> {
    text: &'a str,
    parts: Parts,
    unknowns: Vec<Unknown>,
    balances: Vec<BalanceKnown>,
    mainsprings: Vec<Mainspring>,
    mesh_sizes: Vec<(usize, MeshSize)>,
}

impl Reading<'_> {
    fn arbor(&mut self, entry: Spanned<ArborEntry>) -> Result<(), Unfit> {
        let at = entry.span().start;
        let entry = entry.into_inner();
        self.name(&entry.name, at)?;
        // Said here, since what names it below would have two meanings.
        if self.parts.arbors.iter().any(|arbor| arbor.name == entry.name) {
            let twice = Impossible::SameName { what: "arbor", name: entry.name };
            return Err(self.unfit(at, Wrong::Impossible(twice)));
        }
        let arbor = self.parts.arbors.len();
        let mut carries = Vec::new();
        for (name, teeth) in entry.carries {
            self.name(&name, at)?;
            let teeth = match teeth {
                Teeth::Counted(teeth) => teeth,
                Teeth::Missing(range) => {
                    let usual = if name.contains(PINION) { USUAL_LEAVES } else { USUAL_TEETH };
                    let at = ToothedAt { arbor, toothed: carries.len() };
                    self.unknowns.push(Unknown { at, teeth: range.unwrap_or(usual) });
                    1
                }
            };
            carries.push(Toothed { name, teeth });
        }
        let turns_in_s = entry.turns_in.map(|time| time.0);
        self.parts.arbors.push(Arbor { name: entry.name, carries, turns_in_s });
        Ok(())
    }

    fn mesh(&mut self, entry: Spanned<MeshEntry>) -> Result<(), Unfit> {
        let line = line_of(self.text, entry.span().start);
        let entry = entry.into_inner();
        self.mesh_sizes.push((line, MeshSize::of(&entry)));
        let [one, other] = &entry.between;
        let between = [self.toothed(one)?, self.toothed(other)?];
        self.parts.meshes.push(Mesh { between, inside: entry.inside });
        Ok(())
    }

    fn balance(&mut self, entry: Spanned<BalanceEntry>) -> Result<(), Unfit> {
        let at = entry.span().start;
        let entry = entry.into_inner();
        self.name(&entry.name, at)?;
        let escape = self.toothed(&entry.escape)?;
        let known = BalanceKnown::of(&entry, line_of(self.text, at));
        self.balances.push(known.map_err(|error| self.unfit(at, Wrong::Balance(error)))?);
        self.parts.balances.push(Balance {
            name: entry.name,
            escape,
            beats_per_tooth: entry.beats_per_tooth.unwrap_or(USUAL_BEATS_PER_TOOTH),
            beats_per_hour: entry.beats_per_hour.map(|beats| beats.0),
        });
        Ok(())
    }

    fn hand(&mut self, entry: Spanned<HandEntry>) -> Result<(), Unfit> {
        let at = entry.span().start;
        let entry = entry.into_inner();
        self.name(&entry.name, at)?;
        let shows: Option<Ratio> = entry.shows.and_then(|shows| shows.turn_s());
        let ought_to_turn_in_s = match (shows, entry.turns_in) {
            (Some(turn_s), None) => turn_s,
            (None, Some(time)) => time.0,
            _ => return Err(self.unfit(at, Wrong::Hand)),
        };
        let on = self.arbor_at(&entry.on)?;
        let anticlockwise = entry.anticlockwise;
        self.parts.hands.push(Hand { name: entry.name, on, ought_to_turn_in_s, anticlockwise });
        Ok(())
    }

    fn barrel(&mut self, entry: Spanned<BarrelEntry>) -> Result<(), Unfit> {
        let at = entry.span().start;
        let entry = entry.into_inner();
        self.name(&entry.name, at)?;
        let drum = self.arbor_at(&entry.drum)?;
        let arbor = match &entry.arbor {
            Some(name) => Some(self.arbor_at(name)?),
            None => None,
        };
        let turns = entry.turns.map(|turns| turns.0);
        self.parts.barrels.push(Barrel { name: entry.name, drum, arbor, turns });
        Ok(())
    }

    fn mainspring(&mut self, entry: Spanned<MainspringEntry>) -> Result<(), Unfit> {
        let line = line_of(self.text, entry.span().start);
        let entry = entry.into_inner();
        let at = entry.barrel.span().start;
        let barrel = names::barrel(&self.parts.barrels, entry.barrel.get_ref())
            .map_err(|wrong| self.unfit(at, wrong))?;
        if self.mainsprings.iter().any(|other| other.barrel == barrel) {
            return Err(self.unfit(at, Wrong::TwoSprings { barrel: entry.barrel.into_inner() }));
        }
        self.mainsprings.push(Mainspring::of(&entry, barrel, line));
        Ok(())
    }

    fn name(&self, name: &str, at: usize) -> Result<(), Unfit> {
        names::checked(name).map_err(|wrong| self.unfit(at, wrong))
    }

    fn arbor_at(&self, name: &Spanned<String>) -> Result<usize, Unfit> {
        names::arbor(&self.parts.arbors, name.get_ref())
            .map_err(|wrong| self.unfit(name.span().start, wrong))
    }

    fn toothed(&self, name: &Spanned<String>) -> Result<ToothedAt, Unfit> {
        names::toothed(&self.parts.arbors, name.get_ref())
            .map_err(|wrong| self.unfit(name.span().start, wrong))
    }

    fn unfit(&self, at: usize, wrong: Wrong) -> Unfit {
        Unfit { line: Some(line_of(self.text, at)), wrong }
    }
}

/// The line, counted from 1, in which a byte stands.
fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count()
}

/// What the reader says, in one line and with the words of the documents.
fn in_our_words(message: &str) -> String {
    let plain: String = message.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let message = plain.replace("unknown field", "unknown key");
    let message = message.replace("missing field", "missing key");
    message.trim().trim_end_matches('.').chars().take(300).collect()
}
