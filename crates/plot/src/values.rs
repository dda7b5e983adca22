//! What the pictures are drawn from: plain values that say nothing of their origin.

/// Numbers beyond this (either way) are treated like NaN: a picture of them says nothing, and
/// sums of them would run out of range.
pub(crate) const LARGEST_DRAWN: f64 = 1e12;

/// Whether a number can be drawn at all.
pub(crate) fn drawable(number: f64) -> bool {
    number.is_finite() && number.abs() <= LARGEST_DRAWN
}

/// A number with its standard uncertainty (one standard deviation), both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// The number itself.
    pub value: f64,
    /// Its standard uncertainty; `None` where it is not known.
    pub sd: Option<f64>,
}

impl Value {
    /// A value whose uncertainty is known.
    pub const fn new(value: f64, sd: f64) -> Self {
        Self { value, sd: Some(sd) }
    }

    /// A value whose uncertainty is not known.
    pub const fn bare(value: f64) -> Self {
        Self { value, sd: None }
    }

    /// The uncertainty where it can be shown: finite and not negative.
    pub(crate) fn shown_sd(&self) -> Option<f64> {
        self.sd.filter(|sd| drawable(*sd) && *sd >= 0.0)
    }
}

/// Which of the two kinds of beat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// The first kind: drawn filled.
    Tick,
    /// The other: drawn hollow.
    Tock,
}

impl Side {
    /// The word for it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Tick => "tick",
            Self::Tock => "tock",
        }
    }
}

/// How a balance is told apart: by its letter, and by its place, which fixes the colour, the
/// shape of the badge and the line style. The same balance must have the same place everywhere.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Balance {
    /// What stands in the badge: one letter, two at most.
    pub letter: String,
    /// 0 for the first balance, 1 for the second, and so on. From the seventh on colours come
    /// again, with other line styles.
    pub place: usize,
}

impl Balance {
    /// The balance at this place, lettered A to Z in order (the letters come again after Z).
    pub fn nth(place: usize) -> Self {
        let letter = char::from(b'A' + (place % 26) as u8);
        Self { letter: letter.to_string(), place }
    }
}

/// How wide a picture may be, in CSS pixels, and how tall it should at least be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    width_px: f64,
    least_height_px: f64,
}

impl Size {
    /// The narrowest picture: the words need this much. Narrower wishes are widened to it.
    pub const NARROWEST_PX: f64 = 280.0;
    /// The widest picture. Wider wishes are cut to it.
    pub const WIDEST_PX: f64 = 2400.0;
    /// Below this width a picture is laid out for a phone.
    pub(crate) const PHONE_BELOW_PX: f64 = 540.0;

    /// A picture of this width in CSS pixels; a width that is no number gives the narrowest.
    pub fn new(width_px: f64) -> Self {
        let width_px = if width_px.is_finite() { width_px } else { Self::NARROWEST_PX };
        Self { width_px: width_px.clamp(Self::NARROWEST_PX, Self::WIDEST_PX), least_height_px: 0.0 }
    }

    /// As wide as fits a bench screen beside other things: 760 px.
    pub fn desktop() -> Self {
        Self::new(760.0)
    }

    /// As wide as a phone held upright: 360 px.
    pub fn phone() -> Self {
        Self::new(360.0)
    }

    /// As wide as a page to hand over: 900 px.
    pub fn page() -> Self {
        Self::new(900.0)
    }

    /// Makes `Drift`, `Course` and `PeriodogramPicture` at least this tall (up to 4,000 px). The
    /// height of the other pictures follows from what is in them.
    #[must_use]
    pub fn at_least_tall(mut self, height_px: f64) -> Self {
        self.least_height_px =
            if height_px.is_finite() { height_px.clamp(0.0, 4000.0) } else { 0.0 };
        self
    }

    /// Width in CSS pixels.
    pub fn width_px(self) -> f64 {
        self.width_px
    }

    /// Least height in CSS pixels; 0 where the picture chooses.
    pub fn least_height_px(self) -> f64 {
        self.least_height_px
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn absurd_sizes_are_brought_into_range() {
        assert_eq!(Size::new(f64::NAN).width_px(), Size::NARROWEST_PX);
        assert_eq!(Size::new(-5.0).width_px(), Size::NARROWEST_PX);
        assert_eq!(Size::new(1e9).width_px(), Size::WIDEST_PX);
        assert_eq!(Size::desktop().at_least_tall(f64::INFINITY).least_height_px(), 0.0);
    }

    #[test]
    fn letters_come_again_after_z() {
        assert_eq!(Balance::nth(1).letter, "B");
        assert_eq!(Balance::nth(26).letter, "A");
    }
}
