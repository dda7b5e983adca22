/// Position of a watch while it is read.
///
/// Six have symbols of ISO 3158. The four upright ones half-way between them are named in the same
/// manner by the hour that is uppermost; the standard names none of these, the symbols are this
/// project's own.
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
    /// Half past one uppermost.
    H1_30,
    /// Half past four uppermost.
    H4_30,
    /// Half past seven uppermost.
    H7_30,
    /// Half past ten uppermost.
    H10_30,
}

impl Position {
    /// The six of ISO 3158, horizontal ones first.
    pub const STANDARD: [Self; 6] = [Self::CH, Self::FH, Self::H12, Self::H3, Self::H6, Self::H9];

    /// All ten: the six of the standard, then the four half-way ones.
    pub const ALL: [Self; 10] = [
        Self::CH,
        Self::FH,
        Self::H12,
        Self::H3,
        Self::H6,
        Self::H9,
        Self::H1_30,
        Self::H4_30,
        Self::H7_30,
        Self::H10_30,
    ];

    /// The symbol of ISO 3158, or one made in its manner.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::CH => "CH",
            Self::FH => "FH",
            Self::H12 => "12H",
            Self::H3 => "3H",
            Self::H6 => "6H",
            Self::H9 => "9H",
            Self::H1_30 => "1:30H",
            Self::H4_30 => "4:30H",
            Self::H7_30 => "7:30H",
            Self::H10_30 => "10:30H",
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
            Self::H1_30 => "1:30 up",
            Self::H4_30 => "4:30 up",
            Self::H7_30 => "7:30 up",
            Self::H10_30 => "10:30 up",
        }
    }

    /// The position of this symbol.
    #[must_use]
    pub fn of_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|position| position.symbol() == symbol)
    }
}
