//! Which work, and what is left out, as they are written.

use crate::taken_out::part_id;
use crate::taking::{group, id, slug};
use crate::unfit::{At, Unfit};
use rebuild::{RuleId, ScrewsId};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// Work that a rule asks for, on what it asks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct WorkRef {
    /// The id of the rule.
    pub rule: String,
    /// On what.
    pub on: WorkOn,
}

/// On what work is done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum WorkOn {
    /// On one part.
    Part {
        /// Its id.
        part: String,
    },
    /// On a group.
    Group {
        /// Its name.
        group: String,
    },
    /// On the movement.
    Movement {},
}

/// What does not go in again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum LeftOut {
    /// A part.
    Part {
        /// Its id.
        part: String,
    },
    /// Some screws.
    Screws {
        /// The id of their set.
        set: String,
        /// How many.
        count: u16,
    },
}

impl TryFrom<WorkRef> for rebuild::WorkRef {
    type Error = Unfit;

    fn try_from(work: WorkRef) -> Result<Self, Unfit> {
        let on = match work.on {
            WorkOn::Part { part } => rebuild::WorkOn::Part(part_id(&part).at("on.part")?),
            WorkOn::Group { group: name } => rebuild::WorkOn::Group(group(&name).at("on.group")?),
            WorkOn::Movement {} => rebuild::WorkOn::Movement,
        };
        Ok(Self { rule: slug(&work.rule, RuleId::new).at("rule")?, on })
    }
}

impl From<&rebuild::WorkRef> for WorkRef {
    fn from(work: &rebuild::WorkRef) -> Self {
        let on = match &work.on {
            rebuild::WorkOn::Part(part) => WorkOn::Part { part: part.to_string() },
            rebuild::WorkOn::Group(group) => WorkOn::Group { group: group.to_string() },
            rebuild::WorkOn::Movement => WorkOn::Movement {},
        };
        Self { rule: work.rule.to_string(), on }
    }
}

impl TryFrom<LeftOut> for rebuild::LeftOut {
    type Error = Unfit;

    fn try_from(what: LeftOut) -> Result<Self, Unfit> {
        Ok(match what {
            LeftOut::Part { part } => Self::Part(part_id(&part).at("part")?),
            LeftOut::Screws { set, count } => {
                Self::Screws { set: id(&set, ScrewsId::from_uuid).at("set")?, count }
            }
        })
    }
}

impl From<&rebuild::LeftOut> for LeftOut {
    fn from(what: &rebuild::LeftOut) -> Self {
        match what {
            rebuild::LeftOut::Part(part) => Self::Part { part: part.to_string() },
            rebuild::LeftOut::Screws { set, count } => {
                Self::Screws { set: set.to_string(), count: *count }
            }
        }
    }
}
