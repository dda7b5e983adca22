//! How a watch is held, with any point of the dial uppermost.

use quantities::Position;
use std::f64::consts::PI;
use std::fmt;

/// Upright, with some point of the dial uppermost.
///
/// The point is counted in whole degrees **clockwise from 12, as seen by whoever looks at the
/// dial**: 12H is 0, 3H is 90, 6H is 180, 9H is 270. It is the dial's own 12, wherever the crown
/// is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Upright(u16);

impl Upright {
    /// The four quarters: 12H, 3H, 6H, 9H.
    pub const FOUR: [Self; 4] = [Self(0), Self(90), Self(180), Self(270)];
    /// The quarters and the points half-way between them.
    pub const EIGHT: [Self; 8] =
        [Self(0), Self(45), Self(90), Self(135), Self(180), Self(225), Self(270), Self(315)];

    /// From the degree of the dial that is uppermost, clockwise from 12 seen from the dial; whole
    /// turns are taken off.
    #[must_use]
    pub fn from_uppermost_deg(deg: u16) -> Self {
        Self(deg % 360)
    }

    /// The degree of the dial that is uppermost, 0 to 359, clockwise from 12 seen from the dial.
    #[must_use]
    pub fn uppermost_deg(self) -> f64 {
        f64::from(self.0)
    }

    /// The position of a pocket watch, named by where its pendant points for whoever looks at the
    /// dial, for a pendant that sits at `pendant_at_deg` of the dial (12 is 0, 3 is 90).
    ///
    /// With the pendant at 12: up is 12H, right 9H, down 6H, left 3H (geometry).
    #[must_use]
    pub fn of_pendant(points: Pendant, pendant_at_deg: u16) -> Self {
        let turned_clockwise_deg = match points {
            Pendant::Up => 0,
            Pendant::Right => 90,
            Pendant::Down => 180,
            Pendant::Left => 270,
        };
        Self((pendant_at_deg % 360 + 360 - turned_clockwise_deg) % 360)
    }
}

/// Where the pendant of a pocket watch points, for whoever looks at the dial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pendant {
    /// Pendant up.
    Up,
    /// Pendant right.
    Right,
    /// Pendant down.
    Down,
    /// Pendant left.
    Left,
}

/// How a watch is held while it is read: flat on either side, or upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stance {
    /// Flat, dial up (CH).
    DialUp,
    /// Flat, dial down (FH).
    DialDown,
    /// The dial upright.
    Upright(Upright),
}

impl Stance {
    /// Whether the balance lies flat.
    #[must_use]
    pub fn is_flat(self) -> bool {
        matches!(self, Self::DialUp | Self::DialDown)
    }

    /// Whether it is one of the six positions of ISO 3158 (bib:iso3158).
    #[must_use]
    pub fn is_of_the_standard(self) -> bool {
        self.upright().is_none_or(|upright| Upright::FOUR.contains(&upright))
    }

    /// How it stands, where it is upright.
    #[must_use]
    pub fn upright(self) -> Option<Upright> {
        match self {
            Self::Upright(upright) => Some(upright),
            Self::DialUp | Self::DialDown => None,
        }
    }
}

impl From<Position> for Stance {
    fn from(position: Position) -> Self {
        match position {
            Position::CH => Self::DialUp,
            Position::FH => Self::DialDown,
            Position::H12 => Self::Upright(Upright(0)),
            Position::H3 => Self::Upright(Upright(90)),
            Position::H6 => Self::Upright(Upright(180)),
            Position::H9 => Self::Upright(Upright(270)),
            Position::H1_30 => Self::Upright(Upright(45)),
            Position::H4_30 => Self::Upright(Upright(135)),
            Position::H7_30 => Self::Upright(Upright(225)),
            Position::H10_30 => Self::Upright(Upright(315)),
        }
    }
}

/// The symbols of ISO 3158 (bib:iso3158). Between the quarters the hour that is uppermost, in the
/// same manner: `1:30H` (the standard names none; project convention).
impl fmt::Display for Stance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DialUp => write!(f, "{}", Position::CH.symbol()),
            Self::DialDown => write!(f, "{}", Position::FH.symbol()),
            Self::Upright(upright) => upright.fmt(f),
        }
    }
}

impl fmt::Display for Upright {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A degree is two minutes of the hour hand's way round.
        let minutes = 2 * u32::from(self.0);
        let hour = if minutes < 60 { 12 } else { minutes / 60 };
        match minutes % 60 {
            0 => write!(f, "{hour}H"),
            past => write!(f, "{hour}:{past:02}H"),
        }
    }
}

/// Radians of degrees.
pub(crate) fn radians(deg: f64) -> f64 {
    deg * (PI / 180.0)
}

/// Degrees of radians.
pub(crate) fn degrees(rad: f64) -> f64 {
    rad * (180.0 / PI)
}

/// The same direction within 0 to 360 degrees, 360 left out.
pub(crate) fn turn_deg(deg: f64) -> f64 {
    let within = deg.rem_euclid(360.0);
    // The remainder of a tiny negative number rounds up to a whole turn.
    if within >= 360.0 { 0.0 } else { within }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_of_the_standard() {
        for position in Position::ALL {
            let stance = Stance::from(position);
            assert_eq!(stance.to_string(), position.symbol());
            let of_the_standard = Position::STANDARD.contains(&position);
            assert_eq!(stance.is_of_the_standard(), of_the_standard, "{stance}");
        }
        assert_eq!(
            Upright::EIGHT.map(|u| u.to_string()),
            ["12H", "1:30H", "3H", "4:30H", "6H", "7:30H", "9H", "10:30H"]
        );
    }

    /// Pendant at 12: up, right, down, left are 12H, 9H, 6H, 3H (geometry; held right, the watch
    /// has been turned a quarter clockwise, which brings 9 to the top).
    #[test]
    fn pendant_positions() {
        let of = |points| Upright::of_pendant(points, 0).to_string();
        assert_eq!(
            [Pendant::Up, Pendant::Right, Pendant::Down, Pendant::Left].map(of),
            ["12H", "9H", "6H", "3H"]
        );
        // A hunter's pendant sits at 3.
        assert_eq!(Upright::of_pendant(Pendant::Up, 90).to_string(), "3H");
        assert_eq!(Upright::of_pendant(Pendant::Left, 90).to_string(), "6H");
    }

    #[test]
    fn directions_stay_within_a_turn() {
        assert_eq!(turn_deg(-90.0), 270.0);
        assert_eq!(turn_deg(720.0), 0.0);
        assert!(turn_deg(-1e-18) < 360.0);
    }
}
