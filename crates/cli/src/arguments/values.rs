//! Values of options, read from words, with a sentence where the words are no such value.

use clap::ValueEnum;
use quantities::{BeatFrequency, ClockError, LiftAngle, Measured, OutOfRange, RecorderClock};
use std::str::FromStr;

/// A time in seconds, never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub(crate) struct Seconds(pub(crate) f64);

/// A moment of a recording and its true time, both in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MarkWords {
    pub(crate) recorder_s: f64,
    pub(crate) true_s: f64,
}

/// Which channels of a recording to listen to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ChannelWish {
    /// All, used together.
    All,
    /// One, counted from 1 as people do.
    Number(usize),
}

pub(crate) fn number(words: &str) -> Result<f64, String> {
    match words.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ if has_decimal_comma(words) => Err(WITH_A_POINT.into()),
        _ => Err("this is not a number".into()),
    }
}

/// A number above zero.
pub(crate) fn positive(words: &str) -> Result<f64, String> {
    match number(words)? {
        above if above > 0.0 => Ok(above),
        _ => Err("give a number above zero".into()),
    }
}

/// What stands before a standard uncertainty.
const GIVE_OR_TAKE: [&str; 3] = ["±", "+-", "+/-"];

/// A number and how well it is known: `0.90±0.01`, where a keyboard has no ± `0.90+-0.01`. A number
/// alone counts as exact.
pub(crate) fn measured(words: &str) -> Result<Measured, String> {
    let words = without_grouping(words);
    let parts = GIVE_OR_TAKE.iter().find_map(|mark| words.split_once(mark));
    let (value, sd) = parts.unwrap_or((&words, "0"));
    Ok(Measured::new(number(value)?, not_negative(sd)?))
}

/// The same above zero.
pub(crate) fn measured_positive(words: &str) -> Result<Measured, String> {
    match measured(words)? {
        above if above.value > 0.0 => Ok(above),
        _ => Err("give a number above zero".into()),
    }
}

/// Samples a second, whole.
#[cfg(feature = "capture")]
pub(crate) fn sample_rate(words: &str) -> Result<quantities::SampleRate, String> {
    quantities::SampleRate::from_hz(f64::from(hertz(words)?)).map_err(|e| e.to_string())
}

const WITH_A_POINT: &str = "write decimals with a point, like 1.5";

/// Whether this would be a number, or a time, with a point for its comma.
fn has_decimal_comma(words: &str) -> bool {
    let beside = |c: char| c.is_ascii_digit();
    words.split_once(',').is_some_and(|(before, behind)| {
        before.ends_with(beside) && behind.starts_with(beside) && !behind.contains(',')
    })
}

/// Whether the digits before a point stand in groups of three behind commas, as in 28,800.
fn is_grouped(words: &str) -> bool {
    let mut groups = words.trim().split('.').next().unwrap_or_default().split(',');
    let first = groups.next().is_some_and(|g| (1..=3).contains(&g.len()));
    first && groups.all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()))
}

/// The same number without the commas between its thousands: people write 28,800 as often as 28800.
pub(crate) fn without_grouping(words: &str) -> String {
    if is_grouped(words) { words.replace(',', "") } else { words.to_owned() }
}

pub(crate) fn lift_angle(words: &str) -> Result<LiftAngle, String> {
    LiftAngle::from_deg(number(words)?).map_err(|e| e.to_string())
}

pub(crate) fn beats_per_hour(words: &str) -> Result<BeatFrequency, String> {
    let beat = number(&without_grouping(words))?;
    let (least, most) = beats::HEARD_BEATS_PER_HOUR;
    if !(least..=most).contains(&beat) {
        let quantity = "the beat of a watch that is listened for";
        let told = OutOfRange { quantity, unit: "beats per hour", given: beat, least, most };
        return Err(told.to_string());
    }
    BeatFrequency::from_per_hour(beat).map_err(|e| e.to_string())
}

pub(crate) fn clock_error_ppm(words: &str) -> Result<ClockError, String> {
    ClockError::from_ppm(number(words)?).map_err(|e| e.to_string())
}

/// Standard uncertainty of a clock.
pub(crate) fn clock_sd_ppm(words: &str) -> Result<f64, String> {
    RecorderClock::checked_sd_ppm(number(words)?).map_err(|e| e.to_string())
}

pub(crate) fn mark(words: &str) -> Result<MarkWords, String> {
    let wrong = "write the recorder's time, an equals sign and the true time: 12.5=10:00:00";
    let (recorded, true_time) = words.split_once('=').ok_or(wrong)?;
    if has_decimal_comma(recorded) || has_decimal_comma(true_time) {
        return Err(WITH_A_POINT.into());
    }
    let recorder_s = moment(recorded).ok_or(wrong)?;
    let true_s = moment(true_time).ok_or(wrong)?;
    Ok(MarkWords { recorder_s, true_s })
}

/// A time as [`Seconds`] has it, or like 10:00 (hours and minutes), 10:00:00.5.
fn moment(words: &str) -> Option<f64> {
    let words = words.trim();
    if !words.contains(':') {
        return words.parse::<Seconds>().ok().map(|s| s.0);
    }
    let mut parts = words.split(':');
    let hours: u32 = parts.next()?.parse().ok()?;
    let minutes: u32 = parts.next()?.parse().ok()?;
    let seconds: f64 = parts.next().map_or(Some(0.0), |s| s.parse().ok())?;
    if parts.next().is_some() || minutes >= 60 || !(0.0..60.0).contains(&seconds) {
        return None;
    }
    Some(f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + seconds)
}

/// A number that is not negative.
pub(crate) fn not_negative(words: &str) -> Result<f64, String> {
    match number(words)? {
        number if number >= 0.0 => Ok(number),
        _ => Err("give a number that is not negative".into()),
    }
}

pub(crate) fn seed(words: &str) -> Result<u64, String> {
    words.trim().parse().map_err(|_| "give a whole number, zero or more".into())
}

pub(crate) fn hertz(words: &str) -> Result<u32, String> {
    words.trim().parse().map_err(|_| "give a whole number of hertz, like 48000".into())
}

/// A whole number within these limits.
pub(crate) fn count<const LEAST: u16, const MOST: u16>(words: &str) -> Result<u16, String> {
    match words.trim().parse::<u16>() {
        Ok(number) if (LEAST..=MOST).contains(&number) => Ok(number),
        _ => Err(format!("give a whole number from {LEAST} to {MOST}")),
    }
}

impl FromStr for ChannelWish {
    type Err = String;

    fn from_str(words: &str) -> Result<Self, String> {
        match words.trim() {
            "all" => Ok(Self::All),
            number => match number.parse::<usize>() {
                Ok(number) if number > 0 => Ok(Self::Number(number)),
                _ => Err("give the number of a channel (the first is 1) or all".into()),
            },
        }
    }
}

impl FromStr for Seconds {
    type Err = String;

    /// `90`, `1.5`, `1m30s`, `2h`, `250ms`: a plain number is seconds.
    fn from_str(words: &str) -> Result<Self, String> {
        let wrong = || "give seconds, or hours, minutes and seconds like 1h5m or 1m30s".to_owned();
        let words = words.trim();
        if has_decimal_comma(words) {
            return Err(WITH_A_POINT.into());
        }
        if let Ok(seconds) = words.parse::<f64>() {
            return checked(seconds).ok_or_else(wrong);
        }
        let mut rest = words;
        let mut total_s = 0.0;
        let mut largest_left_s = f64::INFINITY;
        while !rest.is_empty() {
            let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').ok_or_else(wrong)?;
            let amount: f64 = rest[..digits].parse().map_err(|_| wrong())?;
            rest = &rest[digits..];
            let letters = rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len());
            let unit_s = match &rest[..letters] {
                "h" => 3600.0,
                "m" | "min" => 60.0,
                "s" => 1.0,
                "ms" => 0.001,
                _ => return Err(wrong()),
            };
            if unit_s >= largest_left_s {
                return Err(wrong());
            }
            largest_left_s = unit_s;
            total_s += amount * unit_s;
            rest = &rest[letters..];
        }
        if words.is_empty() { Err(wrong()) } else { checked(total_s).ok_or_else(wrong) }
    }
}

/// Ten years: no recording is longer.
const LONGEST_S: f64 = 10.0 * 366.0 * 24.0 * 3600.0;

fn checked(seconds: f64) -> Option<Seconds> {
    (0.0..=LONGEST_S).contains(&seconds).then_some(Seconds(seconds))
}

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum TextOrJson {
    /// For people.
    Text,
    /// One JSON object.
    Json,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_as_people_write_them() {
        for (words, seconds) in [
            ("0", 0.0),
            ("90", 90.0),
            ("1.5", 1.5),
            ("1m30s", 90.0),
            ("1min30s", 90.0),
            ("2h", 7200.0),
            ("1h5m", 3900.0),
            ("250ms", 0.25),
            ("1s500ms", 1.5),
            ("0.5m", 30.0),
        ] {
            assert_eq!(words.parse::<Seconds>().unwrap(), Seconds(seconds), "{words}");
        }
        for wrong in [
            "", " ", "-1", "1x", "s", "1m1m", "30s1m", "1m30", "inf", "NaN", "1e400", "1e9", "..s",
            "ü",
        ] {
            assert!(wrong.parse::<Seconds>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn channels_are_counted_from_one() {
        assert_eq!("all".parse(), Ok(ChannelWish::All));
        assert_eq!("2".parse(), Ok(ChannelWish::Number(2)));
        for wrong in ["0", "-1", "left", ""] {
            assert!(wrong.parse::<ChannelWish>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn marks_as_people_write_them() {
        let of = |words| mark(words).map(|m| (m.recorder_s, m.true_s));
        assert_eq!(of("12.5=10:00:00"), Ok((12.5, 36_000.0)));
        assert_eq!(of("8h12.25s = 18:30"), Ok((28_812.25, 66_600.0)));
        assert_eq!(of("1:00:00.5=0"), Ok((3_600.5, 0.0)));
        for wrong in ["", "5", "=", "1=", "1=10:60", "1=10:00:60", "1=1:2:3:4", "1=-1", "a=b"] {
            assert!(of(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn sentences_say_the_range() {
        assert_eq!(lift_angle("abc").unwrap_err(), "this is not a number");
        assert_eq!(
            lift_angle("5").unwrap_err(),
            "lift angle must lie between 10 and 120 degrees, not 5"
        );
        assert_eq!(beats_per_hour("28,800").unwrap().per_hour(), 28_800.0);
        assert_eq!(beats_per_hour("18000").unwrap().per_hour(), 18_000.0);
        assert_eq!(
            beats_per_hour("3600").unwrap_err(),
            "the beat of a watch that is listened for must lie between 7200 and 72000 beats per hour, \
             not 3600"
        );
    }

    #[test]
    fn numbers_with_their_uncertainty() {
        for words in ["0.90±0.01", "0.90+-0.01", "0.90 +/- 0.01"] {
            assert_eq!(measured(words), Ok(Measured::new(0.90, 0.01)), "{words}");
        }
        assert_eq!(measured("-3"), Ok(Measured::new(-3.0, 0.0)));
        assert_eq!(measured_positive("18,000"), Ok(Measured::new(18_000.0, 0.0)));
        for wrong in ["", "±", "1±", "1±-1", "±1", "1±1±1", "1,5", "x"] {
            assert!(measured(wrong).is_err(), "{wrong}");
        }
        assert!(measured_positive("0±1").is_err());
    }

    /// Half the world writes 1,5: it is told, not taken for something else.
    #[test]
    fn a_decimal_comma_is_told() {
        for told in [
            number("1,5").unwrap_err(),
            lift_angle("52,5").unwrap_err(),
            beats_per_hour("21600,5").unwrap_err(),
            "1,5".parse::<Seconds>().unwrap_err(),
            "1m2,5s".parse::<Seconds>().unwrap_err(),
            mark("12,5=10:00:00").unwrap_err(),
        ] {
            assert_eq!(told, WITH_A_POINT);
        }
    }
}
