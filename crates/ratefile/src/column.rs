//! The columns of the table and their names.

/// A column. Each has a short name, and one that says its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Column {
    Position,
    Wind,
    Balance,
    Rate,
    Sd,
    Ahead,
    Days,
    Amplitude,
    AmplitudeSd,
    BeatError,
    BeatErrorSd,
    Move,
    Day,
}

/// Every name, the short one of each column first.
const NAMES: [(&str, Column); 22] = [
    ("position", Column::Position),
    ("wind", Column::Wind),
    ("balance", Column::Balance),
    ("label", Column::Balance),
    ("rate", Column::Rate),
    ("rate_s_per_d", Column::Rate),
    ("sd", Column::Sd),
    ("rate_sd_s_per_d", Column::Sd),
    ("ahead", Column::Ahead),
    ("ahead_s", Column::Ahead),
    ("ahead_sd_s", Column::Sd),
    ("days", Column::Days),
    ("amplitude", Column::Amplitude),
    ("amplitude_deg", Column::Amplitude),
    ("amplitude_sd", Column::AmplitudeSd),
    ("amplitude_sd_deg", Column::AmplitudeSd),
    ("beat_error", Column::BeatError),
    ("beat_error_ms", Column::BeatError),
    ("beat_error_sd", Column::BeatErrorSd),
    ("beat_error_sd_ms", Column::BeatErrorSd),
    ("move", Column::Move),
    ("day", Column::Day),
];

impl Column {
    pub(crate) fn named(name: &str) -> Option<Self> {
        let name = name.trim().to_lowercase();
        NAMES.iter().find(|(own, _)| *own == name).map(|(_, column)| *column)
    }

    /// Its short name.
    pub(crate) fn name(self) -> &'static str {
        NAMES.iter().find(|(_, column)| *column == self).map_or("", |(name, _)| *name)
    }
}

/// The short names, for whoever wrote another.
pub(crate) fn all_names() -> String {
    let mut names: Vec<&str> = Vec::new();
    for (_, column) in NAMES {
        if !names.contains(&column.name()) {
            names.push(column.name());
        }
    }
    names.join(", ")
}
