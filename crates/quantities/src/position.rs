/// Position of a watch while it is read, by the symbols of ISO 3158.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Position {
    /// Dial up.
    CH,
    /// Dial down.
    FH,
    /// 12 uppermost.
    H12,
    /// 3 uppermost.
    H3,
    /// 6 uppermost.
    H6,
    /// 9 uppermost.
    H9,
}

impl Position {
    /// All six, horizontal ones first.
    pub const ALL: [Self; 6] = [Self::CH, Self::FH, Self::H12, Self::H3, Self::H6, Self::H9];

    /// The symbol of ISO 3158.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::CH => "CH",
            Self::FH => "FH",
            Self::H12 => "12H",
            Self::H3 => "3H",
            Self::H6 => "6H",
            Self::H9 => "9H",
        }
    }

    /// Plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::CH => "dial up",
            Self::FH => "dial down",
            Self::H12 => "12 up",
            Self::H3 => "3 up",
            Self::H6 => "6 up",
            Self::H9 => "9 up",
        }
    }
}
