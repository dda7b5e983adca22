use std::fmt;

/// Something wrong with a recording that could be read all the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Damage {
    /// What is wrong.
    pub kind: DamageKind,
    /// Where, in seconds from the start of the file.
    pub at_s: f64,
    /// How much is missing, in seconds, where that is known. What is missing in the middle has
    /// been replaced by silence of that length.
    pub lost_s: Option<f64>,
}

/// What can be wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DamageKind {
    /// The file ends before it says it should; all that is there was read.
    CutShort,
    /// The recorder never wrote how long the recording is, as after a loss of power; it was read to
    /// the last byte.
    NotClosed,
    /// A stretch could not be read and is silence now, of the same length.
    Unreadable,
    /// A stretch could not be read and its length is not known: times after it may be early.
    LengthUnknown,
    /// Reading ended here although the file goes on.
    Abandoned,
    /// Sample values that are no numbers became silence.
    NotNumbers,
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let at_s = self.at_s;
        match (self.kind, self.lost_s) {
            (DamageKind::CutShort, Some(lost_s)) => {
                write!(f, "The recording ends at {at_s:.3} s, {lost_s:.3} s earlier than it says.")
            }
            (DamageKind::CutShort, None) => {
                write!(f, "The recording is cut off at {at_s:.3} s.")
            }
            (DamageKind::NotClosed, _) => write!(
                f,
                "The recorder did not finish this file; it was read to its last sample at {at_s:.3} s."
            ),
            (DamageKind::Unreadable, Some(lost_s)) => {
                write!(f, "{lost_s:.3} s at {at_s:.3} s cannot be read and count as silence.")
            }
            (DamageKind::Unreadable, None) => {
                write!(f, "A stretch at {at_s:.3} s cannot be read and counts as silence.")
            }
            (DamageKind::LengthUnknown, _) => write!(
                f,
                "A stretch of unknown length is missing at {at_s:.3} s: times after it may be wrong."
            ),
            (DamageKind::Abandoned, _) => {
                write!(f, "The recording is damaged at {at_s:.3} s and was read only so far.")
            }
            (DamageKind::NotNumbers, _) => {
                write!(f, "Values that are no numbers, first at {at_s:.3} s, count as silence.")
            }
        }
    }
}

/// Damage as it is met, with neighbours joined and a cap on how much is remembered.
#[derive(Debug, Default)]
pub(crate) struct DamageLog {
    entries: Vec<Damage>,
    beyond_cap: u64,
}

/// Entries kept; a file that is damaged in more places is described well enough by these.
const MOST_ENTRIES: usize = 100;

impl DamageLog {
    /// Notes damage, joined to the last entry where it only goes on.
    pub(crate) fn note(&mut self, kind: DamageKind, at_s: f64, lost_s: Option<f64>) {
        if let Some(last) = self.entries.last_mut()
            && last.kind == kind
        {
            match (last.lost_s, lost_s) {
                // Half a sample at the highest rate allowed: both ends are the same instant.
                (Some(before_s), Some(more_s))
                    if (last.at_s + before_s - at_s).abs() < 0.5 / 384_000.0 =>
                {
                    last.lost_s = Some(before_s + more_s);
                    return;
                }
                _ if kind == DamageKind::NotNumbers => return,
                _ => {}
            }
        }
        if self.entries.len() < MOST_ENTRIES {
            self.entries.push(Damage { kind, at_s, lost_s });
        } else {
            self.beyond_cap += 1;
        }
    }

    pub(crate) fn entries(&self) -> &[Damage] {
        &self.entries
    }

    pub(crate) fn beyond_cap(&self) -> u64 {
        self.beyond_cap
    }
}
