//! What came out in one go, as it is written.

use crate::choice::{Side, ThreadHand, Verdict};
use crate::limits::{MOST_OF_A_KIND, MOST_PARTS, MOST_SCREW_MM};
use crate::taking::{group, id, list, name, note, sentence, slug};
use crate::unfit::{At, Unfit, Wrong};
use rebuild::{KindId, PartId, PhotoRef, ScrewsId, StepId, TraitId};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// What came out in one go, and how it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct TakenOut {
    /// Its id, a UUID made by whoever enters it.
    pub step: String,
    /// The parts; one at least.
    pub parts: Vec<LogPart>,
    /// From which side.
    pub side: Side,
    /// The groups it belongs to, by name; none: common to all.
    #[serde(default)]
    pub groups: Vec<String>,
    /// The part that it was taken from after that had come out as a whole.
    #[serde(default)]
    pub from_assembly: Option<String>,
    /// The screws that held it.
    #[serde(default)]
    pub screws: Vec<Screws>,
    /// Which way up it sat; empty where it is plain.
    #[serde(default)]
    pub way_up: String,
    /// The parts that it sat on.
    #[serde(default)]
    pub rested_on: Vec<String>,
    /// The parts that lay over it.
    #[serde(default)]
    pub was_under: Vec<String>,
    /// Whether it was, or is, under tension.
    #[serde(default)]
    pub under_tension: bool,
    /// In which compartment of the tray it lies.
    #[serde(default)]
    pub compartment: String,
    /// Photos of how it was, by their ids.
    #[serde(default)]
    pub photos: Vec<String>,
    /// What else there is to say.
    #[serde(default)]
    pub note: String,
}

/// One part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct LogPart {
    /// Its id, a UUID made by whoever enters it.
    pub id: String,
    /// Its kind, where it is one of the vocabulary: `escape-wheel`.
    #[serde(default)]
    pub kind: Option<String>,
    /// What the user calls it; may be empty where it has a kind.
    #[serde(default)]
    pub name: String,
    /// What rules may depend on: `capped-jewel`.
    #[serde(default)]
    pub traits: Vec<String>,
    /// The condition found.
    #[serde(default)]
    pub condition: String,
    /// What is to become of it; null: not decided.
    #[serde(default)]
    pub verdict: Option<Verdict>,
}

/// Like screws that came out with a step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct Screws {
    /// Their id, a UUID made by whoever enters them.
    pub id: String,
    /// How many; one at least.
    pub count: u16,
    /// Length under the head or over all, in mm, where it was measured.
    #[serde(default)]
    pub length_mm: Option<f64>,
    /// How they look: "flat head, blued".
    #[serde(default)]
    pub look: String,
    /// Which way they turn.
    pub thread: ThreadHand,
    /// Where they belong: "two near the centre".
    #[serde(default)]
    pub place: String,
}

impl TryFrom<TakenOut> for rebuild::TakenOut {
    type Error = Unfit;

    fn try_from(out: TakenOut) -> Result<Self, Unfit> {
        Ok(Self {
            step: id(&out.step, StepId::from_uuid).at("step")?,
            parts: list(out.parts, MOST_PARTS, rebuild::Part::try_from).at("parts")?,
            side: out.side.into(),
            groups: groups(out.groups)?,
            from_assembly: from_assembly(out.from_assembly)?,
            screws: screws(out.screws)?,
            way_up: sentence(out.way_up).at("way_up")?,
            rested_on: part_ids(out.rested_on).at("rested_on")?,
            was_under: part_ids(out.was_under).at("was_under")?,
            under_tension: out.under_tension,
            compartment: name(out.compartment).at("compartment")?,
            photos: list(out.photos, MOST_OF_A_KIND, |photo| id(&photo, PhotoRef::from_uuid))
                .at("photos")?,
            note: note(out.note).at("note")?,
        })
    }
}

pub(crate) fn part_id(part: &str) -> Result<PartId, Wrong> {
    id(part, PartId::from_uuid)
}

pub(crate) fn part_ids(parts: Vec<String>) -> Result<Vec<PartId>, Unfit> {
    list(parts, MOST_PARTS, |part| part_id(&part))
}

pub(crate) fn groups(groups: Vec<String>) -> Result<Vec<rebuild::Group>, Unfit> {
    list(groups, MOST_OF_A_KIND, |name| group(&name)).at("groups")
}

pub(crate) fn from_assembly(part: Option<String>) -> Result<Option<PartId>, Unfit> {
    part.map(|part| part_id(&part)).transpose().at("from_assembly")
}

pub(crate) fn screws(screws: Vec<Screws>) -> Result<Vec<rebuild::Screws>, Unfit> {
    list(screws, MOST_OF_A_KIND, rebuild::Screws::try_from).at("screws")
}

pub(crate) fn kind(kind: Option<String>) -> Result<Option<KindId>, Unfit> {
    kind.map(|kind| slug(&kind, KindId::new)).transpose().at("kind")
}

pub(crate) fn traits(traits: Vec<String>) -> Result<Vec<TraitId>, Unfit> {
    list(traits, MOST_OF_A_KIND, |word| slug(&word, TraitId::new)).at("traits")
}

/// Ids and names as they are written.
pub(crate) fn written<T: ToString>(all: &[T]) -> Vec<String> {
    all.iter().map(ToString::to_string).collect()
}

impl From<&rebuild::TakenOut> for TakenOut {
    fn from(out: &rebuild::TakenOut) -> Self {
        Self {
            step: out.step.to_string(),
            parts: out.parts.iter().map(LogPart::from).collect(),
            side: out.side.into(),
            groups: written(&out.groups),
            from_assembly: out.from_assembly.map(|part| part.to_string()),
            screws: out.screws.iter().map(Screws::from).collect(),
            way_up: out.way_up.clone(),
            rested_on: written(&out.rested_on),
            was_under: written(&out.was_under),
            under_tension: out.under_tension,
            compartment: out.compartment.clone(),
            photos: written(&out.photos),
            note: out.note.clone(),
        }
    }
}

impl TryFrom<LogPart> for rebuild::Part {
    type Error = Unfit;

    fn try_from(part: LogPart) -> Result<Self, Unfit> {
        Ok(Self {
            id: part_id(&part.id).at("id")?,
            kind: kind(part.kind)?,
            name: name(part.name).at("name")?,
            traits: traits(part.traits)?,
            condition: sentence(part.condition).at("condition")?,
            verdict: part.verdict.map(Into::into),
        })
    }
}

impl From<&rebuild::Part> for LogPart {
    fn from(part: &rebuild::Part) -> Self {
        Self {
            id: part.id.to_string(),
            kind: part.kind.as_ref().map(ToString::to_string),
            name: part.name.clone(),
            traits: written(&part.traits),
            condition: part.condition.clone(),
            verdict: part.verdict.map(Into::into),
        }
    }
}

impl TryFrom<Screws> for rebuild::Screws {
    type Error = Unfit;

    fn try_from(screws: Screws) -> Result<Self, Unfit> {
        Ok(Self {
            id: id(&screws.id, ScrewsId::from_uuid).at("id")?,
            count: screws.count,
            length_mm: length(screws.length_mm).at("length_mm")?,
            look: sentence(screws.look).at("look")?,
            thread: screws.thread.into(),
            place: sentence(screws.place).at("place")?,
        })
    }
}

fn length(length_mm: Option<f64>) -> Result<Option<f64>, Wrong> {
    let odd = |mm: f64| !(mm > 0.0 && mm <= MOST_SCREW_MM);
    if length_mm.is_some_and(odd) { Err(Wrong::NotALength) } else { Ok(length_mm) }
}

impl From<&rebuild::Screws> for Screws {
    fn from(screws: &rebuild::Screws) -> Self {
        Self {
            id: screws.id.to_string(),
            count: screws.count,
            length_mm: screws.length_mm,
            look: screws.look.clone(),
            thread: screws.thread.into(),
            place: screws.place.clone(),
        }
    }
}
