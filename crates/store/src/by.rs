use jobs::Moment;
use std::time::{SystemTime, UNIX_EPOCH};

/// Who makes a change, and when: it stands in the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct By {
    /// Name of the device that it comes from, as people know it.
    pub device: String,
    /// When.
    pub at: Moment,
}

impl By {
    /// A change at a moment.
    #[must_use]
    pub fn at(device: impl Into<String>, at: Moment) -> Self {
        Self { device: device.into(), at }
    }

    /// A change that is made now.
    #[must_use]
    pub fn now(device: impl Into<String>) -> Self {
        Self::at(device, now())
    }
}

/// The present moment, by the computer's clock: the one place of this crate that reads it.
#[must_use]
pub fn now() -> Moment {
    // Before 1970 the clock is not set at all; zero is as good as any.
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Moment::from_ms(i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
}
