//! What is put right about a step or a part, as it is written: what is left out stays, what is null
//! empties.

use crate::choice::{Side, Verdict};
use crate::limits::{MOST_OF_A_KIND, MOST_PARTS};
use crate::taken_out::{
    Screws, from_assembly, groups, kind, part_id, part_ids, screws, traits, written,
};
use crate::taking::{id, list, name, note, sentence};
use crate::unfit::{At, Unfit};
use rebuild::{ScrewsId, StepId};
use serde::{Deserialize, Deserializer, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A field that is left out stays; one that is there and null empties.
fn there<'de, T, D>(field: D) -> Result<Option<Option<T>>, D::Error>
where
    T: Deserialize<'de>,
    D: Deserializer<'de>,
{
    Option::deserialize(field).map(Some)
}

/// What is put right about a step; what is left out stays.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct StepFix {
    /// From which side it came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Its groups.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub groups: Option<Vec<String>>,
    /// The part that it was taken from; null: from none.
    #[serde(default, deserialize_with = "there", skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<String>")]
    #[schema(value_type = Option<String>)]
    pub from_assembly: Option<Option<String>>,
    /// Its screws, all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screws: Option<Vec<Screws>>,
    /// Which way up it sat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way_up: Option<String>,
    /// The parts that it sat on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rested_on: Option<Vec<String>>,
    /// The parts that lay over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub was_under: Option<Vec<String>>,
    /// Whether it is under tension.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub under_tension: Option<bool>,
    /// Where it lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compartment: Option<String>,
    /// The note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What is put right about a part, or found; what is left out stays.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct PartFix {
    /// Its kind; null: of no kind.
    #[serde(default, deserialize_with = "there", skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<String>")]
    #[schema(value_type = Option<String>)]
    pub kind: Option<Option<String>>,
    /// What the user calls it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What rules may depend on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub traits: Option<Vec<String>>,
    /// The condition found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<String>,
    /// What is to become of it; null: not decided.
    #[serde(default, deserialize_with = "there", skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<Verdict>")]
    #[schema(value_type = Option<Verdict>)]
    pub verdict: Option<Option<Verdict>>,
}

/// A step that is split off from another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// Its id, a UUID made by whoever enters it.
    pub step: String,
    /// Its parts, of those of the step that is split.
    pub parts: Vec<String>,
    /// Its screws, of those of the step that is split.
    #[serde(default)]
    pub screws: Vec<String>,
}

impl TryFrom<StepFix> for rebuild::StepFix {
    type Error = Unfit;

    fn try_from(fix: StepFix) -> Result<Self, Unfit> {
        Ok(Self {
            side: fix.side.map(Into::into),
            groups: fix.groups.map(groups).transpose()?,
            from_assembly: fix.from_assembly.map(from_assembly).transpose()?,
            screws: fix.screws.map(screws).transpose()?,
            way_up: fix.way_up.map(sentence).transpose().at("way_up")?,
            rested_on: fix.rested_on.map(part_ids).transpose().at("rested_on")?,
            was_under: fix.was_under.map(part_ids).transpose().at("was_under")?,
            under_tension: fix.under_tension,
            compartment: fix.compartment.map(name).transpose().at("compartment")?,
            note: fix.note.map(note).transpose().at("note")?,
        })
    }
}

impl From<&rebuild::StepFix> for StepFix {
    fn from(fix: &rebuild::StepFix) -> Self {
        Self {
            side: fix.side.map(Into::into),
            groups: fix.groups.as_deref().map(written),
            from_assembly: fix.from_assembly.map(|part| part.map(|part| part.to_string())),
            screws: fix.screws.as_ref().map(|all| all.iter().map(Screws::from).collect()),
            way_up: fix.way_up.clone(),
            rested_on: fix.rested_on.as_deref().map(written),
            was_under: fix.was_under.as_deref().map(written),
            under_tension: fix.under_tension,
            compartment: fix.compartment.clone(),
            note: fix.note.clone(),
        }
    }
}

impl TryFrom<PartFix> for rebuild::PartFix {
    type Error = Unfit;

    fn try_from(fix: PartFix) -> Result<Self, Unfit> {
        Ok(Self {
            kind: fix.kind.map(kind).transpose()?,
            name: fix.name.map(name).transpose().at("name")?,
            traits: fix.traits.map(traits).transpose()?,
            condition: fix.condition.map(sentence).transpose().at("condition")?,
            verdict: fix.verdict.map(|verdict| verdict.map(Into::into)),
        })
    }
}

impl From<&rebuild::PartFix> for PartFix {
    fn from(fix: &rebuild::PartFix) -> Self {
        Self {
            kind: fix.kind.as_ref().map(|kind| kind.as_ref().map(ToString::to_string)),
            name: fix.name.clone(),
            traits: fix.traits.as_deref().map(written),
            condition: fix.condition.clone(),
            verdict: fix.verdict.map(|verdict| verdict.map(Into::into)),
        }
    }
}

impl TryFrom<Piece> for rebuild::Piece {
    type Error = Unfit;

    fn try_from(piece: Piece) -> Result<Self, Unfit> {
        Ok(Self {
            step: id(&piece.step, StepId::from_uuid).at("step")?,
            parts: list(piece.parts, MOST_PARTS, |part| part_id(&part)).at("parts")?,
            screws: list(piece.screws, MOST_OF_A_KIND, |set| id(&set, ScrewsId::from_uuid))
                .at("screws")?,
        })
    }
}

impl From<&rebuild::Piece> for Piece {
    fn from(piece: &rebuild::Piece) -> Self {
        Self {
            step: piece.step.to_string(),
            parts: written(&piece.parts),
            screws: written(&piece.screws),
        }
    }
}
