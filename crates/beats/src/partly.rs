//! A watch that runs for a part of a stretch only.
//!
//! Everything that a stretch is looked at through is an average over all of it. Where a watch runs for a
//! third of it, the rest is noise in every average, and the drift of its lines over the whole is known three
//! times worse. So the part in which it ran is heard by itself; and where nothing was heard, parts are looked
//! at before it is said that there is nothing.

use crate::company::share_used;
use crate::stretch::Heard;

/// Less than this share of a stretch is a part of it.
const PART: f64 = 0.8;
/// What is heard of a part begins and ends so many oscillations beyond the first and the last beat.
const BEYOND: f64 = 1.5;
/// The part must show the same oscillation as the whole did, relative: 86 s/d.
const SAME: f64 = 1e-3;
/// A stretch shorter than this, seconds, is one part.
const LEAST_S: f64 = 16.0;
/// ... and what is heard only there must stand so far above the noise, dB: the more places are looked at, the
/// likelier is one where chance looks like a watch. (It was 7 dB in the one of 500 without a watch.)
const LEAST_DB: f64 = 12.0;
/// ... with nearly every beat in time. (0.67 and 0.75 in two of 1,000 without a watch.)
const LEAST_USED: f64 = 0.85;
/// Where parts begin, as shares of a stretch; each is half of it.
const BEGIN_AT: [f64; 3] = [0.0, 0.25, 0.5];

/// Hears a stretch of `all_s` seconds again by the part in which its one watch ran, or by its parts where
/// nothing was heard. `hear` hears the part from one second of it to another.
pub(crate) fn heard(
    heard: Vec<Heard>,
    all_s: f64,
    mut hear: impl FnMut(f64, f64) -> Vec<Heard>,
) -> Vec<Heard> {
    let mut part = |from_s: f64, to_s: f64| {
        let heard = hear(from_s.max(0.0), to_s.min(all_s));
        <[Heard; 1]>::try_from(heard).ok().map(|[one]| one)
    };
    match &heard[..] {
        [] if all_s >= LEAST_S => BEGIN_AT
            .into_iter()
            .filter_map(|share| part(share * all_s, (share + 0.5) * all_s))
            .filter(|one| one.signal_to_noise_db > LEAST_DB && share_used(one) > LEAST_USED)
            .max_by_key(|one| one.beats.len())
            .into_iter()
            .collect(),
        [one] if one.running_s.1 - one.running_s.0 < PART * all_s => {
            let beyond_s = BEYOND * one.period_s;
            let again = part(one.running_s.0 - beyond_s, one.running_s.1 + beyond_s);
            match again.filter(|again| (again.period_s / one.period_s - 1.0).abs() < SAME) {
                Some(again) => vec![again],
                None => heard,
            }
        }
        _ => heard,
    }
}
