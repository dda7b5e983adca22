//! A movement's trains as they were counted at the bench, checked piece by piece.

use super::{Impossible, Ratio};
use std::collections::HashSet;

/// Most teeth that a wheel may have. No wheel in a clock has more; a slip of the keys does.
pub const MOST_TEETH: u32 = 10_000;

/// Most swings of the balance that a tooth of an escape wheel may take.
const MOST_BEATS_PER_TOOTH: u32 = 12;

/// Something that turns as one piece: an arbor with all that is fast on it, a pipe, a barrel drum.
/// What turns loose on an arbor is an arbor of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arbor {
    /// What it is called.
    pub name: String,
    /// Wheels and pinions on it.
    pub carries: Vec<Toothed>,
    /// Time of one turn in seconds, where it is known: 3600 for a centre arbor.
    pub turns_in_s: Option<Ratio>,
}

/// A wheel or a pinion.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Toothed {
    /// What it is called on its arbor: `wheel`, `pinion`, `cannon pinion`.
    pub name: String,
    /// Teeth or leaves, from 1 to [`MOST_TEETH`].
    pub teeth: u32,
}

/// Which wheel or pinion is meant: the place of its arbor among the arbors, and its own on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ToothedAt {
    /// Of its arbor.
    pub arbor: usize,
    /// Of the wheel or pinion on that arbor.
    pub toothed: usize,
}

/// Two that work into each other: what one turns, the other turns in the ratio of their teeth and
/// the other way round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mesh {
    /// The two, on different arbors.
    pub between: [ToothedAt; 2],
    /// One of them has its teeth on the inside of its rim: both turn the same way.
    pub inside: bool,
}

/// A balance (or a pendulum) and the escape wheel that it lets go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Balance {
    /// What it is called.
    pub name: String,
    /// Its escape wheel.
    pub escape: ToothedAt,
    /// Swings for each tooth that goes by: 2 with all usual escapements. A double three-legged
    /// gravity escape wheel counts as three teeth.
    pub beats_per_tooth: u32,
    /// Beats (single swings) per hour, where they are known.
    pub beats_per_hour: Option<Ratio>,
}

/// A hand, or a disc that shows something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    /// What it is called.
    pub name: String,
    /// The place among the arbors of that on which it sits.
    pub on: usize,
    /// Time in which it ought to turn once, seconds: 43200, 3600, 60, 86400.
    pub ought_to_turn_in_s: Ratio,
    /// It ought to turn against the clock, seen from the dial.
    pub anticlockwise: bool,
}

/// A barrel with its spring.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Barrel {
    /// What it is called.
    pub name: String,
    /// The place among the arbors of its drum, which carries the teeth.
    pub drum: usize,
    /// The place among the arbors of its own arbor, where another barrel turns that (barrels one
    /// after the other); `None` where it stands still while the movement runs.
    pub arbor: Option<usize>,
    /// Turns of the drum, for one turn of its arbor held still, from wound up to run down.
    pub turns: Option<Ratio>,
}

/// All that was counted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Parts {
    /// All that turns.
    pub arbors: Vec<Arbor>,
    /// What works into what.
    pub meshes: Vec<Mesh>,
    /// Balances with their escape wheels.
    pub balances: Vec<Balance>,
    /// Hands.
    pub hands: Vec<Hand>,
    /// Barrels.
    pub barrels: Vec<Barrel>,
}

/// Parts of which each by itself makes sense. Whether they work together is for
/// [`Running`](super::Running) to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Movement(Parts);

impl Movement {
    /// Checks each part by itself.
    ///
    /// # Errors
    /// The first thing that is impossible: a wheel without teeth, a mesh of an arbor with itself, a
    /// name that two share, and the like.
    pub fn new(parts: Parts) -> Result<Self, Impossible> {
        if parts.arbors.is_empty() {
            return Err(Impossible::NoArbors);
        }
        each_name_once("arbor", parts.arbors.iter().map(|a| &a.name))?;
        each_name_once("balance", parts.balances.iter().map(|b| &b.name))?;
        each_name_once("hand", parts.hands.iter().map(|h| &h.name))?;
        each_name_once("barrel", parts.barrels.iter().map(|b| &b.name))?;
        for arbor in &parts.arbors {
            each_name_once("wheel or pinion of one arbor", arbor.carries.iter().map(|t| &t.name))?;
            for toothed in &arbor.carries {
                if toothed.teeth == 0 || toothed.teeth > MOST_TEETH {
                    let name = format!("{} {}", arbor.name, toothed.name);
                    return Err(Impossible::Teeth { name, teeth: toothed.teeth });
                }
            }
        }
        let movement = Self(parts);
        movement.check_meshes()?;
        movement.check_places()?;
        Ok(movement)
    }

    fn check_meshes(&self) -> Result<(), Impossible> {
        let mut seen = HashSet::new();
        for mesh in &self.0.meshes {
            let [one, other] = mesh.between;
            self.check_toothed(one)?;
            self.check_toothed(other)?;
            let names = || [self.toothed_name(one), self.toothed_name(other)];
            if one.arbor == other.arbor {
                return Err(Impossible::MeshOnOneArbor { names: names() });
            }
            if !seen.insert((one, other)) || seen.contains(&(other, one)) {
                return Err(Impossible::MeshTwice { names: names() });
            }
        }
        Ok(())
    }

    fn check_places(&self) -> Result<(), Impossible> {
        let mut escapes = HashSet::new();
        for balance in &self.0.balances {
            self.check_toothed(balance.escape)?;
            if !(1..=MOST_BEATS_PER_TOOTH).contains(&balance.beats_per_tooth) {
                return Err(Impossible::BeatsPerTooth {
                    balance: balance.name.clone(),
                    given: balance.beats_per_tooth,
                    most: MOST_BEATS_PER_TOOTH,
                });
            }
            if !escapes.insert(balance.escape) {
                return Err(Impossible::TwoOnOneEscapeWheel {
                    name: self.toothed_name(balance.escape),
                });
            }
        }
        for hand in &self.0.hands {
            self.check_arbor(hand.on)?;
        }
        for barrel in &self.0.barrels {
            self.check_arbor(barrel.drum)?;
            if let Some(arbor) = barrel.arbor {
                self.check_arbor(arbor)?;
                if arbor == barrel.drum {
                    return Err(Impossible::BarrelOnItself { barrel: barrel.name.clone() });
                }
            }
        }
        Ok(())
    }

    fn check_arbor(&self, place: usize) -> Result<(), Impossible> {
        let there = place < self.0.arbors.len();
        there.then_some(()).ok_or(Impossible::NoSuchPlace { place })
    }

    fn check_toothed(&self, at: ToothedAt) -> Result<(), Impossible> {
        self.check_arbor(at.arbor)?;
        let there = at.toothed < self.0.arbors[at.arbor].carries.len();
        there.then_some(()).ok_or(Impossible::NoSuchPlace { place: at.toothed })
    }

    /// All parts.
    #[must_use]
    pub fn parts(&self) -> &Parts {
        &self.0
    }

    /// Teeth of a wheel or leaves of a pinion.
    pub(crate) fn teeth(&self, at: ToothedAt) -> u32 {
        self.0.arbors[at.arbor].carries[at.toothed].teeth
    }

    /// `third pinion`: the arbor and what it carries.
    #[must_use]
    pub fn toothed_name(&self, at: ToothedAt) -> String {
        let arbor = &self.0.arbors[at.arbor];
        format!("{} {}", arbor.name, arbor.carries[at.toothed].name)
    }

    /// The same movement with another number of teeth at one place.
    ///
    /// # Errors
    /// Where no wheel can have so many teeth.
    pub(crate) fn with_teeth(&self, at: ToothedAt, teeth: u32) -> Result<Self, Impossible> {
        let mut parts = self.0.clone();
        self.check_toothed(at)?;
        parts.arbors[at.arbor].carries[at.toothed].teeth = teeth;
        Self::new(parts)
    }
}

fn each_name_once<'a>(
    what: &'static str,
    names: impl Iterator<Item = &'a String>,
) -> Result<(), Impossible> {
    let mut seen = HashSet::new();
    for name in names {
        if name.trim().is_empty() {
            return Err(Impossible::NoName { what });
        }
        if !seen.insert(name) {
            return Err(Impossible::SameName { what, name: name.clone() });
        }
    }
    Ok(())
}
