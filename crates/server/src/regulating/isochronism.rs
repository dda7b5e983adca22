//! How the rate of a balance goes as the mainspring runs down.

use super::Given;
use crate::wire;
use beats::CoursePoint;
use bibliography::written_out;
use horology::isochronism::{Candidate, Match, Moment, candidates, observe, over_wind};
use horology::rate_sheet::{RateSheet, mean};
use jobs::Reading;
use regulate::{Boundary, Kept, Sheet, hours_since_wound};
use words::regulating as said;

/// A reading of so many seconds shows a course: the amplitude falls by some degrees in it (an hour;
/// our own choice).
const LONG_S: f64 = 3600.0;

const S_PER_H: f64 = 3600.0;

/// Heard so much before the end of a recording, a balance did not run to its end, s.
const SILENT_S: f64 = 60.0;

/// From spot readings in several states of wind; with the long readings that show more, and what
/// readings in which the watch stopped say of its running time.
pub(super) fn isochronism(
    given: &Given<'_>,
    parted: &[Boundary],
    sheet: &Sheet,
    in_order: &RateSheet,
    n: usize,
) -> wire::RegulatingIsochronism {
    let now = since_the_last_change(given, parted, &sheet.labels[n]);
    let stopped: Vec<String> = now.iter().filter_map(|kept| stopped(kept.reading)).collect();
    let long_readings: Vec<wire::RegulatingLongReading> =
        now.iter().filter(|kept| kept.reading.duration_s >= LONG_S).map(long_reading).collect();
    let told = |words: Vec<String>, candidates| wire::RegulatingIsochronism {
        words: words.into_iter().chain(stopped).collect(),
        candidates,
        long_readings,
    };
    let seen = match observe(in_order, n) {
        Ok(seen) => seen,
        Err(why) => return told(vec![said::sentence(&why.to_string())], Vec::new()),
    };
    let all_told = sheet.winds.iter().all(|wind| wind.hours.is_some());
    let candidate = |one: &Candidate| wire::RegulatingCandidate {
        words: said::isochronism_cause(one.cause).into(),
        matches: match one.matches {
            Match::Fits => wire::RegulatingMatch::Fits,
            Match::Open => wire::RegulatingMatch::Open,
            Match::Against => wire::RegulatingMatch::Against,
        },
        would: one.would.into(),
        test: one.test.into(),
        source: written_out(one.source),
    };
    told(said::isochronism(&seen, all_told), candidates(&seen).iter().map(candidate).collect())
}

fn since_the_last_change<'a>(
    given: &'a Given<'_>,
    parted: &[Boundary],
    label: &str,
) -> Vec<Kept<'a>> {
    let last = parted.iter().filter(|one| one.concerns(label)).map(|one| one.at).max();
    let is_now = |reading: &Reading| {
        last.is_none_or(|last| reading.taken >= last)
            && given.until.is_none_or(|until| reading.taken < until)
            && reading.balances.iter().any(|balance| balance.label == *label)
    };
    given.readings.iter().filter(|kept| is_now(kept.reading)).copied().collect()
}

fn long_reading(kept: &Kept<'_>) -> wire::RegulatingLongReading {
    let reading = kept.reading;
    let place = reading.position.map_or("position not told", quantities::Position::words);
    let parts = [place.to_owned(), reading.wind.clone(), words::duration(reading.duration_s)];
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    wire::RegulatingLongReading { reading_id: kept.id.to_string(), words: parts.join(", ") }
}

fn stopped(reading: &Reading) -> Option<String> {
    let code = beats::WarningCode::Stopped.name();
    reading.warnings.iter().find(|warning| warning.code == code)?;
    let at_most_h = hours_since_wound(&reading.wind).map(|h| h + reading.duration_s / S_PER_H);
    Some(said::stopped_in(&reading.wind, at_most_h))
}

/// What a balance shows in a long reading that was heard again.
pub(crate) fn over_wind_of(
    reading: &Reading,
    heard: &beats::Reading,
    label: &str,
) -> wire::RegulatingOverWind {
    let place = reading.balances.iter().position(|balance| balance.label == label);
    let Some(balance) = place.and_then(|place| heard.balances.get(place)) else {
        return wire::RegulatingOverWind {
            words: said::over_wind(None, None, None),
            has_picture: false,
        };
    };
    let moments = moments(&balance.rate_course, &balance.amplitude_course);
    let (_, last_s) = balance.running_s;
    let stopped_h = (last_s < heard.duration_s - SILENT_S).then_some(last_s / S_PER_H);
    let wound_h = hours_since_wound(&reading.wind);
    wire::RegulatingOverWind {
        words: said::over_wind(over_wind(&moments).as_ref(), wound_h, stopped_h),
        has_picture: !moments.is_empty(),
    }
}

/// Each stretch that has a rate, with the mean of the amplitudes that are nearer to it than to the
/// next.
fn moments(rates: &[CoursePoint], amplitudes: &[CoursePoint]) -> Vec<Moment> {
    let half_s =
        rates.windows(2).map(|two| two[1].time_s - two[0].time_s).fold(f64::NAN, f64::min) / 2.0;
    let moment = |rate: &CoursePoint| {
        let near = |point: &&CoursePoint| (point.time_s - rate.time_s).abs() <= half_s;
        let about_then = amplitudes.iter().filter(near).map(|point| point.value);
        Some(Moment {
            hours: rate.time_s / S_PER_H,
            rate_s_per_d: rate.value,
            amplitude_deg: mean(about_then)?,
        })
    };
    rates.iter().filter_map(moment).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::Measured;

    /// By hand: stretches about 10, 30 and 90 s are 20 s wide; what lies within 10 s of one is its own.
    #[test]
    fn amplitudes_join_the_rates_about_them() {
        let point = |time_s, value| CoursePoint { time_s, value: Measured::new(value, 0.1) };
        let rates = [point(10.0, 4.0), point(30.0, 3.0), point(90.0, 2.0)];
        let amplitudes =
            [point(5.0, 280.0), point(15.0, 278.0), point(28.0, 270.0), point(60.0, 100.0)];
        let joined = moments(&rates, &amplitudes);
        let told: Vec<(f64, f64)> =
            joined.iter().map(|m| (m.rate_s_per_d.value, m.amplitude_deg.value)).collect();
        assert_eq!(told, [(4.0, 279.0), (3.0, 270.0)]);
        assert_eq!(moments(&rates[..1], &amplitudes), []);
    }
}
