//! The beats of one balance over the whole recording, in bounded room.
//!
//! While beats are few they are kept one by one; when there are more than fit, neighbours are
//! averaged two by two. A day at ten beats a second ends as groups of some dozen beats.

use crate::stretch::{Heard, Picture};

/// Groups kept of each side before neighbours are put together.
const MOST_GROUPS: usize = 24_000;
/// Stretches kept before neighbours are put together.
const MOST_STRETCHES: usize = 6_000;

/// Beats of one side next to each other, averaged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Group {
    /// Mean oscillation number.
    pub(crate) turn: f64,
    /// Mean lateness against the track's own even beat, seconds.
    pub(crate) late_s: f64,
    /// Mean time from unlocking to drop, seconds; NaN where none was timed.
    pub(crate) span_s: f64,
    /// Beats in it.
    pub(crate) beats: u32,
    /// Of them with unlocking and drop timed.
    pub(crate) spans: u32,
    /// Whether it enters the fit.
    pub(crate) used: bool,
}

/// What one stretch said as a whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct StretchNote {
    /// Middle of the beats heard, seconds from the start of the recording.
    pub(crate) middle_s: f64,
    /// From first to last beat, seconds.
    pub(crate) span_s: f64,
    pub(crate) signal_to_noise_db: f64,
    pub(crate) onset_sd_s: f64,
    pub(crate) span_sd_s: f64,
    pub(crate) scatter_s: f64,
}

/// One balance through the recording.
#[derive(Debug, Clone)]
pub(crate) struct Track {
    /// The even beat that lateness is counted against: time of tick 0 and period, seconds of the
    /// recorder's clock.
    pub(crate) origin_s: f64,
    pub(crate) period_s: f64,
    /// Ticks, tocks.
    pub(crate) groups: [Vec<Group>; 2],
    per_group: u32,
    last_turn: [i64; 2],
    /// First and last beat of every unbroken run, seconds from the start.
    pub(crate) runs_s: Vec<(f64, f64)>,
    pub(crate) expected: u64,
    pub(crate) notes: Vec<StretchNote>,
    /// The pictures of the stretch with most beats so far.
    pub(crate) pictures: Option<[Picture; 2]>,
    pub(crate) strength: f64,
    pub(crate) shocks: usize,
    /// Latest period, seconds: where the next stretch looks first.
    pub(crate) latest_period_s: f64,
    latest: (f64, i64),
}

impl Track {
    /// Starts with what one stretch, beginning `start_s` into the recording, heard.
    pub(crate) fn begin(heard: &Heard, start_s: f64) -> Option<Self> {
        let first = heard.beats.iter().find(|b| !b.is_tock && b.used)?;
        let mut track = Self {
            origin_s: start_s + first.time_s - first.turn as f64 * heard.period_s,
            period_s: heard.period_s,
            groups: [Vec::new(), Vec::new()],
            per_group: 1,
            last_turn: [i64::MIN; 2],
            runs_s: Vec::new(),
            expected: 0,
            notes: Vec::new(),
            pictures: None,
            strength: heard.strength,
            shocks: heard.shocks,
            latest_period_s: heard.period_s,
            latest: (start_s + first.time_s, first.turn),
        };
        track.add(heard, start_s);
        Some(track)
    }

    /// Tick number of a time, going on from the latest beat at the latest period.
    fn turn_at(&self, time_s: f64) -> f64 {
        self.latest.1 as f64 + (time_s - self.latest.0) / self.latest_period_s
    }

    /// How far, in seconds, this heard balance is from where the track expects it; either side
    /// may have become the tick.
    pub(crate) fn distance_s(&self, heard: &Heard, start_s: f64) -> f64 {
        if (heard.period_s / self.latest_period_s - 1.0).abs() > 2e-3 {
            return f64::INFINITY;
        }
        let Some(first) = heard.beats.iter().find(|b| b.used) else { return f64::INFINITY };
        let turns = 2.0 * self.turn_at(start_s + first.time_s);
        (turns - turns.round()).abs() * 0.5 * self.latest_period_s
    }

    /// Adds what a stretch heard of this balance.
    pub(crate) fn add(&mut self, heard: &Heard, start_s: f64) {
        let Some(first) = heard.beats.iter().find(|b| b.used) else { return };
        let at_first = self.turn_at(start_s + first.time_s);
        // Tick and tock may have changed names between stretches.
        let swapped =
            (2.0 * (at_first - if first.is_tock { 0.5 } else { 0.0 })).round() as i64 % 2 != 0;
        let half = |is_tock: bool| if is_tock { 0.5 } else { 0.0 };
        let first_side = first.is_tock != swapped;
        let shift = (at_first - half(first_side)).round() as i64 - first.turn
            + if swapped && first.is_tock { 0 } else { 0 };
        let mut added = 0u64;
        for b in &heard.beats {
            let is_tock = b.is_tock != swapped;
            // A swapped tock of turn n is the tick of turn n + 1 where the first was a tick.
            let carry = match (swapped, first.is_tock, b.is_tock) {
                (true, false, true) => 1,
                (true, true, false) => -1,
                _ => 0,
            };
            let turn = b.turn + shift + carry;
            let side = usize::from(is_tock);
            if turn <= self.last_turn[side] {
                continue;
            }
            self.last_turn[side] = turn;
            added += 1;
            let time_s = start_s + b.time_s;
            let late_s = time_s - self.origin_s - (turn as f64 + half(is_tock)) * self.period_s;
            self.push(side, turn as f64, late_s, b.unlocking_to_drop_s, b.used);
            if !is_tock {
                self.latest = (time_s, turn);
            }
        }
        self.latest_period_s = heard.period_s;
        let run = (start_s + heard.running_s.0, start_s + heard.running_s.1);
        let new_expected = match self.runs_s.last_mut() {
            Some(last) if run.0 <= last.1 + 12.0 * self.period_s => {
                let was = last.1;
                last.1 = last.1.max(run.1);
                ((last.1 - was) / (0.5 * self.period_s)).round().max(0.0) as u64
            }
            _ => {
                self.runs_s.push(run);
                heard.expected
            }
        };
        self.expected += new_expected.max(added.min(new_expected));
        self.note(StretchNote {
            middle_s: 0.5 * (run.0 + run.1),
            span_s: run.1 - run.0,
            signal_to_noise_db: heard.signal_to_noise_db,
            onset_sd_s: heard.onset_sd_s,
            span_sd_s: heard.span_sd_s,
            scatter_s: heard.scatter_s,
        });
        let beats = |p: &[Picture; 2]| p[0].beats + p[1].beats;
        if self.pictures.as_ref().is_none_or(|p| beats(&heard.pictures) >= beats(p)) {
            let mut pictures = heard.pictures.clone();
            if swapped {
                pictures.swap(0, 1);
            }
            self.pictures = Some(pictures);
        }
    }

    fn push(&mut self, side: usize, turn: f64, late_s: f64, span_s: Option<f64>, used: bool) {
        let beat = Group {
            turn,
            late_s,
            span_s: span_s.unwrap_or(f64::NAN),
            beats: 1,
            spans: u32::from(span_s.is_some()),
            used,
        };
        let per_group = self.per_group;
        let groups = &mut self.groups[side];
        match groups.last_mut() {
            Some(last) if per_group > 1 && last.beats < per_group => {
                if used {
                    *last = joined(last, &beat);
                }
            }
            _ => {
                if used || per_group == 1 {
                    groups.push(beat);
                }
            }
        }
        if groups.len() > MOST_GROUPS {
            self.per_group *= 2;
            for groups in &mut self.groups {
                halve(groups);
            }
        }
    }

    fn note(&mut self, note: StretchNote) {
        self.notes.push(note);
        if self.notes.len() > MOST_STRETCHES {
            self.notes = self
                .notes
                .chunks(2)
                .map(|pair| {
                    let n = pair.len() as f64;
                    let mean = |f: fn(&StretchNote) -> f64| pair.iter().map(f).sum::<f64>() / n;
                    StretchNote {
                        middle_s: mean(|s| s.middle_s),
                        span_s: pair.iter().map(|s| s.span_s).sum(),
                        signal_to_noise_db: mean(|s| s.signal_to_noise_db),
                        onset_sd_s: mean(|s| s.onset_sd_s),
                        span_sd_s: mean(|s| s.span_sd_s),
                        scatter_s: mean(|s| s.scatter_s),
                    }
                })
                .collect();
        }
    }

    /// Beats that enter the fit.
    pub(crate) fn used(&self) -> u64 {
        self.groups.iter().flatten().filter(|g| g.used).map(|g| u64::from(g.beats)).sum()
    }

    /// Mean of a stretch's word, weighted by how long it was.
    pub(crate) fn mean_note(&self, of: fn(&StretchNote) -> f64) -> f64 {
        let weight: f64 = self.notes.iter().map(|n| n.span_s).sum();
        self.notes.iter().map(|n| of(n) * n.span_s).sum::<f64>() / weight.max(f64::MIN_POSITIVE)
    }
}

fn joined(a: &Group, b: &Group) -> Group {
    let (na, nb) = (f64::from(a.beats), f64::from(b.beats));
    let (sa, sb) = (f64::from(a.spans), f64::from(b.spans));
    let span_s = match (a.spans, b.spans) {
        (0, _) => b.span_s,
        (_, 0) => a.span_s,
        _ => (sa * a.span_s + sb * b.span_s) / (sa + sb),
    };
    Group {
        turn: (na * a.turn + nb * b.turn) / (na + nb),
        late_s: (na * a.late_s + nb * b.late_s) / (na + nb),
        span_s,
        beats: a.beats + b.beats,
        spans: a.spans + b.spans,
        used: true,
    }
}

fn halve(groups: &mut Vec<Group>) {
    let used: Vec<Group> = groups.iter().filter(|g| g.used).copied().collect();
    *groups = used
        .chunks(2)
        .map(|pair| match pair {
            [a, b] => joined(a, b),
            _ => pair[0],
        })
        .collect();
}
