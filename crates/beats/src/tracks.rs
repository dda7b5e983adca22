//! Which heard balance is which of those heard before.

use crate::breaks::Break;
use crate::multiples::{as_part_of, is_part_of};
use crate::place::Place;
use crate::stretch::Heard;
use crate::track::Track;

/// A balance is taken for one heard before where its beats come within this of the expectation.
const SAME_PLACE_S: f64 = 8e-3;
/// What jitter and ripple leave of a beat that is carried on, seconds: by so much, shared beats say more.
const CARRIED_ON_S: f64 = 0.2e-3;
/// One that was heard within this time before a stretch is looked for in it first, seconds.
const LATELY_S: f64 = 5.0;
/// A piece of a balance begins and ends later than another piece by this much at least, seconds ...
const PIECE_S: f64 = 2.0;
/// ... and both have the beats that they share within this of each other.
const ONE_BEAT_S: f64 = 3e-3;
/// A run that begins sooner than this after another's end is not the same watch set going anew.
const STOOD_STILL_S: f64 = 0.3;
/// Periods of a watch that stopped and was set going again differ by less than this: at a low
/// amplitude it may run minutes a day differently.
const SAME_WATCH: f64 = 6e-3;
/// Heard for less than this share of the time that a longer one was heard, and only while that one
/// was: a slip of the ear.
const SLIP_SHARE: f64 = 0.15;
/// ... in recordings with at least this much more.
const SLIP_S: f64 = 90.0;

/// The balances of a recording.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tracks {
    all: Vec<Track>,
    breaks: Vec<Break>,
}

impl Tracks {
    /// Oscillation frequencies of those heard shortly before this time.
    pub(crate) fn running_hz(&self, start_s: f64) -> Vec<f64> {
        self.all
            .iter()
            .filter(|t| t.last_heard_s() > start_s - LATELY_S)
            .map(|t| 1.0 / t.latest_period_s)
            .collect()
    }

    /// Adds what a stretch that begins at `start_s` heard: each balance to the nearest one heard
    /// before, the others to one that stood still, or as new ones.
    pub(crate) fn add(&mut self, heard: Vec<Heard>, start_s: f64) {
        let mut pairs: Vec<(usize, usize, Place)> = Vec::new();
        for (t, track) in self.all.iter().enumerate() {
            for (h, one) in heard.iter().enumerate() {
                let place = track.place(one, start_s).filter(|p| p.goes_on);
                pairs.extend(place.filter(|p| p.distance_s < SAME_PLACE_S).map(|p| (t, h, p)));
            }
        }
        let off_s = |place: &Place| match place.shares_beats {
            true => place.distance_s,
            false => place.distance_s + CARRIED_ON_S,
        };
        pairs.sort_by(|a, b| off_s(&a.2).total_cmp(&off_s(&b.2)));
        let mut taken = vec![false; heard.len()];
        let mut met = vec![false; self.all.len()];
        for (t, h, place) in pairs {
            if !met[t] && !taken[h] {
                (met[t], taken[h]) = (true, true);
                self.all[t].add(&heard[h], start_s, &place);
            }
        }
        let mut others: Vec<&Heard> =
            heard.iter().zip(&taken).filter(|(_, t)| !**t).map(|(h, _)| h).collect();
        others.retain(|one| !heard.iter().any(|other| is_part_of(one, other)));
        others.sort_by(|a, b| a.running_s.0.total_cmp(&b.running_s.0));
        for one in others {
            if self.is_some_beats_of_one(one, start_s, &met) {
                continue;
            }
            if !self.carries_further(one, start_s) && !self.set_going_anew(one, start_s) {
                self.all.extend(Track::begin(one, start_s));
            }
        }
    }

    /// Adds what a piece of sound heard that begins at a break: each balance to the one that it is
    /// when the step is taken out, as a run of its own.
    pub(crate) fn add_beyond(&mut self, found: Break, heard: Vec<Heard>) {
        let start_s = found.time_s;
        let mut met = vec![false; self.all.len()];
        let mut others = Vec::new();
        for one in heard {
            let places = self
                .all
                .iter()
                .enumerate()
                .filter_map(|(t, track)| Some((t, track.place(&one, start_s - found.step_s)?)));
            let nearest = places
                .filter(|(t, p)| !met[*t] && p.goes_on && p.distance_s < SAME_PLACE_S)
                .min_by(|a, b| a.1.distance_s.total_cmp(&b.1.distance_s));
            match nearest {
                Some((t, place)) => {
                    met[t] = true;
                    let anew =
                        Place { goes_on: false, later_s: [0.0; 2], later_sd_s: 0.0, ..place };
                    self.all[t].add(&one, start_s, &anew);
                }
                None => others.push(one),
            }
        }
        self.breaks.push(found);
        if !others.is_empty() {
            self.add(others, start_s);
        }
    }

    /// Where the sound is broken, or a balance jumped.
    pub(crate) fn breaks(&self) -> &[Break] {
        &self.breaks
    }

    /// Adds what is every second, third or fourth oscillation of one not met in this stretch.
    fn is_some_beats_of_one(&mut self, heard: &Heard, start_s: f64, met: &[bool]) -> bool {
        let found = self.all.iter().enumerate().find_map(|(t, track)| {
            let part = as_part_of(heard, track.latest_period_s)
                .filter(|_| met.get(t).is_some_and(|met| !met))?;
            let place = track.place(&part, start_s).filter(|p| p.goes_on)?;
            (place.distance_s < SAME_PLACE_S).then_some((t, part, place))
        });
        let Some((t, part, place)) = found else { return false };
        self.all[t].add(&part, start_s, &place);
        true
    }

    /// Adds what goes on where another ends: a balance whose period changes within a stretch may be
    /// heard in two pieces that share some beats, and so may one that was covered for a while.
    fn carries_further(&mut self, heard: &Heard, start_s: f64) -> bool {
        let (Some(first), Some(last)) = (heard.beats.first(), heard.beats.last()) else {
            return true;
        };
        let (begins_s, ends_s) = (start_s + first.time_s, start_s + last.time_s);
        let mut found: Vec<(usize, Place)> = Vec::new();
        for (t, track) in self.all.iter().enumerate() {
            let Some(place) = track.place(heard, start_s).filter(|p| p.goes_on) else { continue };
            let piece = place.shares_beats
                && first.time_s > PIECE_S
                && ends_s > track.last_heard_s() + PIECE_S
                && place.distance_s < ONE_BEAT_S;
            if piece || track.last_heard_s() < begins_s {
                found.push((t, place));
            }
        }
        let nearest = found.into_iter().min_by(|a, b| a.1.distance_s.total_cmp(&b.1.distance_s));
        let Some((t, place)) = nearest else { return false };
        self.all[t].add(heard, start_s, &place);
        true
    }

    /// Adds a balance to one that fell silent before it began, if there is such a one.
    fn set_going_anew(&mut self, heard: &Heard, start_s: f64) -> bool {
        let Some(first) = heard.beats.first() else { return true };
        let begins_s = start_s + first.time_s;
        let off = |t: &Track| (heard.period_s / t.latest_period_s - 1.0).abs();
        let silent = self
            .all
            .iter_mut()
            .filter(|t| t.last_heard_s() + STOOD_STILL_S < begins_s && off(t) < SAME_WATCH)
            .min_by(|a, b| off(a).total_cmp(&off(b)));
        let Some(track) = silent else { return false };
        let place = track.anew(heard, start_s);
        track.add(heard, start_s, &place);
        true
    }

    /// Whether there is one with such a period, seconds.
    pub(crate) fn any(&self, such: impl Fn(f64) -> bool) -> bool {
        self.all.iter().any(|t| such(t.latest_period_s))
    }

    /// Those that are no slip of the ear.
    pub(crate) fn believed(&self) -> Vec<&Track> {
        self.all.iter().filter(|t| !self.all.iter().any(|other| is_slip(t, other))).collect()
    }
}

/// Whether a balance was heard for a moment only, and only while another was heard for long.
fn is_slip(one: &Track, other: &Track) -> bool {
    let short =
        one.heard_s() < SLIP_SHARE * other.heard_s() && other.heard_s() - one.heard_s() > SLIP_S;
    short
        && one.runs.iter().all(|run| {
            other
                .runs
                .iter()
                .any(|o| o.first.time_s <= run.last.time_s && run.first.time_s <= o.last.time_s)
        })
}

#[cfg(test)]
mod tests;
