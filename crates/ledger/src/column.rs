//! The columns and their names.

use quantities::Position;

/// A column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Column {
    Owner,
    Contact,
    Watch,
    Calibre,
    Serial,
    Mark,
    In,
    Out,
    Complaint,
    Done,
    Price,
    Currency,
    Rate(Position),
    RateSd,
}

/// Each with its name, the positions by their symbols of ISO 3158 excepted.
const NAMES: [(&str, Column); 13] = [
    ("owner", Column::Owner),
    ("contact", Column::Contact),
    ("watch", Column::Watch),
    ("calibre", Column::Calibre),
    ("serial", Column::Serial),
    ("mark", Column::Mark),
    ("in", Column::In),
    ("out", Column::Out),
    ("complaint", Column::Complaint),
    ("done", Column::Done),
    ("price", Column::Price),
    ("currency", Column::Currency),
    ("rate_sd", Column::RateSd),
];

impl Column {
    pub(crate) fn named(name: &str) -> Option<Self> {
        let name = name.trim();
        let lower = name.to_lowercase();
        let plain = NAMES.iter().find(|(own, _)| *own == lower).map(|(_, column)| *column);
        plain.or_else(|| Position::of_symbol(&name.to_uppercase()).map(Self::Rate))
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Rate(position) => position.symbol(),
            other => {
                NAMES.iter().find(|(_, column)| *column == other).map_or("", |(name, _)| *name)
            }
        }
    }
}

/// All names, for whoever wrote another.
pub(crate) fn all_names() -> String {
    let mut names: Vec<&str> = NAMES.iter().map(|(name, _)| *name).collect();
    names.push("and positions such as CH, FH, 3H");
    names.join(", ")
}
