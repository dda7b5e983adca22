/// A moment, in milliseconds since 1970-01-01 00:00 UTC. Never read here: it comes in as a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(i64);

impl Moment {
    /// From milliseconds since 1970-01-01 00:00 UTC.
    #[must_use]
    pub const fn from_ms(ms: i64) -> Self {
        Self(ms)
    }

    /// Milliseconds since 1970-01-01 00:00 UTC.
    #[must_use]
    pub const fn ms(self) -> i64 {
        self.0
    }
}

impl std::fmt::Display for Moment {
    /// In the form of ISO 8601, UTC, to the millisecond; a bare count of milliseconds where the
    /// year is beyond four digits.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match jiff::Timestamp::from_millisecond(self.0) {
            Ok(timestamp) => write!(f, "{timestamp:.3}"),
            Err(_) => write!(f, "{} ms", self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected value from `date -u -d @1700000000` of GNU coreutils 9.1.
    #[test]
    fn a_moment_is_shown_in_utc() {
        assert_eq!(Moment::from_ms(1_700_000_000_120).to_string(), "2023-11-14T22:13:20.120Z");
    }

    #[test]
    fn two_moments_never_look_alike() {
        assert_ne!(
            Moment::from_ms(1_700_000_000_000).to_string(),
            Moment::from_ms(1_700_000_000_001).to_string()
        );
        assert_ne!(Moment::from_ms(i64::MAX).to_string(), Moment::from_ms(i64::MIN).to_string());
    }
}
