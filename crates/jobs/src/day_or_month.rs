use jiff::civil::Date;
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A day of the calendar, or a month of it where nobody knows the day: when the next service is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DayOrMonth {
    /// A day, as 2031-06-15.
    Day(Date),
    /// A month, as 2031-06; its first day stands for it.
    Month(Date),
}

/// A text that is neither.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "\"{0}\" is neither a day such as 2031-06-15 nor a month such as 2031-06; please enter it so."
)]
pub struct NeitherDayNorMonth(pub String);

impl DayOrMonth {
    /// The first day that it may mean.
    #[must_use]
    pub const fn first_day(self) -> Date {
        match self {
            Self::Day(day) | Self::Month(day) => day,
        }
    }
}

impl fmt::Display for DayOrMonth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Day(day) => day.fmt(f),
            Self::Month(day) => write!(f, "{:04}-{:02}", day.year(), day.month()),
        }
    }
}

impl FromStr for DayOrMonth {
    type Err = NeitherDayNorMonth;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        // The calendar's own reading takes more forms than these two, a time of the day among them.
        let plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
        let read = |day: &str| day.parse::<Date>().ok().filter(|_| plain);
        match text.len() {
            10 => read(text).map(Self::Day),
            7 => read(&format!("{text}-01")).map(Self::Month),
            _ => None,
        }
        .ok_or_else(|| NeitherDayNorMonth(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_and_a_month_come_back_as_they_were() {
        for text in ["2031-06-15", "2031-06", "2032-02-29"] {
            assert_eq!(
                text.parse::<DayOrMonth>().map(|read| read.to_string()),
                Ok(text.to_owned())
            );
        }
        assert_eq!("2031-06".parse(), Ok(DayOrMonth::Month(jiff::civil::date(2031, 6, 1))));
        assert_ne!("2031-06".parse::<DayOrMonth>(), "2031-06-01".parse());
    }

    #[test]
    fn what_is_neither_is_refused() {
        for text in
            ["", "2031", "2031-13", "2031-02-30", "20310615", "2031-6-15", "2031-06-1T", "é-é-é"]
        {
            assert!(text.parse::<DayOrMonth>().is_err(), "{text}");
        }
    }
}
