use super::finding::Where;
use crate::rate_sheet::RateSheet;
use quantities::{BeatFrequency, Measured};

/// A mean rate read before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Earlier {
    /// How many days ago.
    pub days_ago: f64,
    /// Mean rate then, s/d.
    pub mean_s_per_d: Measured,
}

/// A wave in the timing or in the amplitude that stands above its false-alarm level.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodicFault {
    /// Its period, s.
    pub period_s: Measured,
    /// Half of peak to peak in the timing, ms; nothing where it was seen in the amplitude.
    pub timing_ms: Option<Measured>,
    /// Half of peak to peak in the amplitude, degrees; nothing where it was seen in the timing.
    pub amplitude_deg: Option<Measured>,
    /// Where it was read, if that is known.
    pub place: Option<Where>,
}

/// All that is known of one balance of a watch. Only the sheet must be there; what is missing shows
/// no sign.
#[derive(Debug, Clone, Copy)]
pub struct Readings<'a> {
    /// The rate sheet.
    pub sheet: &'a RateSheet,
    /// Which balance, from 0.
    pub balance: usize,
    /// Its beat, for periods counted in beats.
    pub beat: Option<BeatFrequency>,
    /// Scatter of the rate within one reading beyond what its jitter explains, s/d, where it was
    /// seen.
    pub erratic_s_per_d: Option<Measured>,
    /// Waves found in a long reading.
    pub periods: &'a [PeriodicFault],
    /// Mean rates of earlier visits.
    pub earlier: &'a [Earlier],
    /// Daily rate shown by the hands, s/d, over the time in which the balance was read.
    pub hands_s_per_d: Option<Measured>,
    /// Daily rate on the wrist, s/d, and what the sheet made one expect.
    pub worn_and_expected_s_per_d: Option<(Measured, Measured)>,
}

impl<'a> Readings<'a> {
    /// A sheet and nothing else.
    #[must_use]
    pub fn of_sheet(sheet: &'a RateSheet, balance: usize) -> Self {
        Self {
            sheet,
            balance,
            beat: None,
            erratic_s_per_d: None,
            periods: &[],
            earlier: &[],
            hands_s_per_d: None,
            worn_and_expected_s_per_d: None,
        }
    }
}
