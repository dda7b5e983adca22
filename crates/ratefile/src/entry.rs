use crate::unfit::Place;
use horology::rate_sheet::Wind;
use horology::regulator::Means;
use horology::stance::Stance;
use quantities::Measured;

/// One row of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// Where it stands.
    pub at: Place,
    /// Which balance, an index into [`crate::RateFile::balances`].
    pub balance: usize,
    /// Day of a chronometer's test, from 1, where it is said.
    pub day: Option<usize>,
    /// What it says.
    pub what: What,
}

/// What a row says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    /// A reading.
    Read(Reading),
    /// The hands were set: so far ahead of true time, s.
    Set(Measured),
    /// Something was moved.
    Moved {
        /// By what.
        by: By,
        /// How far: towards faster positive; of a stud, clockwise positive.
        amount: f64,
    },
}

/// A reading in a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Position; none in a list of daily rates that leaves it to the schedule.
    pub stance: Option<Stance>,
    /// State of wind.
    pub wind: Wind,
    /// What shows the rate.
    pub shown: Shown,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Beat error, ms, half the difference.
    pub beat_error_ms: Option<Measured>,
}

/// What shows the rate of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// The rate itself, s/d.
    Rate(Measured),
    /// How far the hands are ahead of true time, s, after so many days in this place.
    Ahead {
        /// s.
        ahead_s: Measured,
        /// Since the reading before.
        days: f64,
    },
}

/// By what something is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// What changes the rate.
    Rate(Means),
    /// The stud: what changes the beat error; degrees.
    Stud,
}

/// Uncertainties for what the file gives without one, one standard deviation each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsaid {
    /// Of a rate, s/d, and of a reading of the hands, s.
    pub rate_sd: f64,
    /// Of an amplitude, degrees.
    pub amplitude_sd_deg: f64,
    /// Of a beat error, ms.
    pub beat_error_sd_ms: f64,
}
