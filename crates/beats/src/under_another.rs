//! Times in which a balance is not heard because its beats fall together with another's.
//!
//! Two balances whose beats run through each other are heard as one for a while. The one that is
//! missing did not stop, and what is heard of the other is the sound of both.

use crate::rate_fit::{Fitted, RunLine};
use crate::track::Track;

/// Beats nearer to another's than this can be heard as one beat: unlocking of the one to drop of the
/// other, seconds ...
const TOGETHER_S: f64 = 12e-3;
/// ... and this share of a beat.
const TOGETHER_SHARE: f64 = 0.1;
/// Shorter silences are of single beats, seconds.
const LEAST_S: f64 = 0.5;
/// The other is heard all through the time but for this at its ends, seconds.
const BUT_FOR_S: f64 = 3.0;
/// Periods that differ by more than this (relative) are those of different beats, which keep
/// together for some beats only.
const SAME_BEAT: f64 = 2e-3;

/// A time in which one balance lies under another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hidden {
    /// Which balance is not heard, and which is heard in its place.
    pub(crate) balance: usize,
    pub(crate) under: usize,
    /// From and to, seconds from the start of the recording.
    pub(crate) time_s: (f64, f64),
}

/// All such times.
pub(crate) fn hidden(fitted: &[Fitted<'_>], duration_s: f64) -> Vec<Hidden> {
    let mut found = Vec::new();
    for (balance, f) in fitted.iter().enumerate() {
        for (time_s, line) in silences(f, duration_s) {
            let under = (0..fitted.len())
                .find(|&k| k != balance && lies_under(f, line, &fitted[k], time_s));
            found.extend(under.map(|under| Hidden { balance, under, time_s }));
        }
    }
    found
}

/// When a balance is not heard, with the line of the run next to it.
fn silences<'a>(
    f: &'a Fitted<'_>,
    duration_s: f64,
) -> impl Iterator<Item = ((f64, f64), RunLine)> + 'a {
    let runs = &f.track.runs;
    let line = |run: usize| f.lines.iter().find(|l| l.run as usize == run).copied();
    let begins = runs.first().map(|r| (0.0, r.first.time_s)).zip(line(0));
    let between = runs.windows(2).enumerate().filter_map(move |(k, pair)| {
        Some(((pair[0].last.time_s, pair[1].first.time_s), line(k).or_else(|| line(k + 1))?))
    });
    let ends = runs.last().map(|r| (r.last.time_s, duration_s)).zip(line(runs.len().max(1) - 1));
    begins.into_iter().chain(between).chain(ends).filter(|((from, to), _)| to - from > LEAST_S)
}

/// Whether the beats of `f`, its line carried on, fall together with those of `other` all through a
/// time in which `other` is heard.
fn lies_under(
    f: &Fitted<'_>,
    line: RunLine,
    other: &Fitted<'_>,
    (from_s, to_s): (f64, f64),
) -> bool {
    let beat_s = 0.5 * f.period_s;
    if (f.period_s / other.period_s - 1.0).abs() > SAME_BEAT {
        return false;
    }
    let Some(run) = other
        .track
        .runs
        .iter()
        .position(|r| r.first.time_s < from_s + BUT_FOR_S && r.last.time_s > to_s - BUT_FOR_S)
    else {
        return false;
    };
    let Some(others) = other.lines.iter().find(|l| l.run as usize == run) else { return false };
    let reach_s = TOGETHER_S.min(TOGETHER_SHARE * beat_s);
    [from_s, 0.5 * (from_s + to_s), to_s].into_iter().all(|at_s| {
        let lag_s = f.beat_near_s(&line, at_s) - other.beat_near_s(others, at_s);
        let lag_s = lag_s.rem_euclid(beat_s);
        lag_s.min(beat_s - lag_s) < reach_s
    })
}

/// Tracks without the beats in which another balance is hidden; `None` for those that hold no such.
pub(crate) fn without_what_holds_two(
    fitted: &[Fitted<'_>],
    hidden: &[Hidden],
) -> Vec<Option<Track>> {
    (0..fitted.len())
        .map(|k| {
            let mut of_this = hidden.iter().filter(|h| h.under == k).peekable();
            of_this.peek()?;
            let mut track = fitted[k].track.clone();
            for h in of_this {
                let number = |time_s: f64| (time_s - track.origin_s) / (0.5 * track.period_s);
                let beats = (number(h.time_s.0), number(h.time_s.1));
                track.leave_out(beats);
            }
            Some(track)
        })
        .collect()
}
