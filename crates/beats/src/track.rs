//! One balance through the whole recording: what the stretches heard, put together in bounded
//! room.

use crate::faint_unlocking::Span;
use crate::groups::{Group, Groups};
use crate::place::{Place, Recent, anew, own_count, place};
use crate::stretch::{Heard, Picture};

/// Stretches kept before neighbours are put together.
const MOST_STRETCHES: usize = 6_000;
/// Two balances whose beats fall within this of each other all through the recording sound as
/// one, seconds.
const AS_ONE_S: f64 = 1.5e-3;
/// Beats remembered one by one, so that the next stretch can be put in its place.
const MOST_RECENT: usize = 200;

/// What one stretch said as a whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct StretchNote {
    /// From first to last beat, seconds.
    pub(crate) span_s: f64,
    pub(crate) signal_to_noise_db: f64,
    /// How loud its beats are, amplitude.
    pub(crate) strength: f64,
    pub(crate) onset_sd_s: f64,
    pub(crate) span_sd_s: f64,
    /// Usual time from unlocking to drop where single beats do not show it.
    pub(crate) faint_span: Option<Span>,
    /// One where the beats look like those of two balances, else zero.
    pub(crate) blended: f64,
    /// One where it may as well be two balances at half the beat, else zero.
    pub(crate) may_be_two: f64,
    /// How far the period may be off on that account, relative.
    pub(crate) period_doubt_relative: f64,
}

/// Time in which the watch ran without losing count of its beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Run {
    /// Time, seconds from the start of the recording, and number of its first beat ...
    pub(crate) first: Recent,
    /// ... and of its last.
    pub(crate) last: Recent,
}

impl Run {
    /// Beats that it made, heard or not.
    pub(crate) fn beats(&self) -> u64 {
        (self.last.beat - self.first.beat).max(0) as u64 + 1
    }
}

/// Where two stretches were put together by the beats that both heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seam {
    /// Which run of the track.
    pub(crate) run: u32,
    /// Seconds from the start of the recording.
    pub(crate) time_s: f64,
    /// How far the later stretch may be off against the earlier, seconds.
    pub(crate) sd_s: f64,
}

/// One balance through the recording.
#[derive(Debug, Clone)]
pub(crate) struct Track {
    /// The even beat that lateness is counted against: time of beat 0 and period of an
    /// oscillation, seconds of the recorder's clock.
    pub(crate) origin_s: f64,
    pub(crate) period_s: f64,
    pub(crate) groups: Groups,
    /// In order of time; never empty.
    pub(crate) runs: Vec<Run>,
    pub(crate) seams: Vec<Seam>,
    pub(crate) notes: Vec<StretchNote>,
    /// The pictures of the stretch with most beats so far.
    pub(crate) pictures: Option<[Picture; 2]>,
    /// Beats that enter the fit.
    pub(crate) used: u64,
    /// Latest period, seconds: where the next stretch looks first.
    pub(crate) latest_period_s: f64,
    recent: Vec<Recent>,
}

impl Track {
    /// Starts with what one stretch, beginning `start_s` into the recording, heard. `None` where
    /// that is nothing to start from.
    pub(crate) fn begin(heard: &Heard, start_s: f64) -> Option<Self> {
        let first = heard.beats.iter().find(|b| b.used)?;
        if !(heard.period_s > 0.0 && heard.period_s.is_finite()) {
            return None;
        }
        let at = Recent { beat: own_count(first), time_s: start_s + first.time_s };
        let mut track = Self {
            origin_s: at.time_s - at.beat as f64 * 0.5 * heard.period_s,
            period_s: heard.period_s,
            groups: Groups::default(),
            runs: Vec::new(),
            seams: Vec::new(),
            notes: Vec::new(),
            pictures: None,
            used: 0,
            latest_period_s: heard.period_s,
            recent: Vec::new(),
        };
        let place = Place {
            shift: 0,
            later_s: [0.0; 2],
            later_sd_s: 0.0,
            distance_s: 0.0,
            goes_on: false,
            shares_beats: false,
        };
        track.add(heard, start_s, &place);
        Some(track)
    }

    /// Where this heard balance falls, taken for this one; `None` where it cannot be this one.
    pub(crate) fn place(&self, heard: &Heard, start_s: f64) -> Option<Place> {
        place(&self.recent, self.latest_period_s, heard, start_s)
    }

    /// Where this heard balance falls if it is this one, fallen silent and set going anew.
    pub(crate) fn anew(&self, heard: &Heard, start_s: f64) -> Place {
        anew(&self.recent, self.latest_period_s, heard, start_s)
    }

    /// When it was last heard, seconds from the start of the recording.
    pub(crate) fn last_heard_s(&self) -> f64 {
        self.recent.last().map_or(f64::NEG_INFINITY, |r| r.time_s)
    }

    /// Adds what a stretch heard of this balance, at its place.
    pub(crate) fn add(&mut self, heard: &Heard, start_s: f64, place: &Place) {
        let beat_s = 0.5 * self.period_s;
        let mut goes_on = place.goes_on && !self.runs.is_empty();
        let (mut first_s, mut last_s) = (f64::INFINITY, f64::NEG_INFINITY);
        for b in &heard.beats {
            let beat = own_count(b) + place.shift;
            if self.recent.last().is_some_and(|last| beat <= last.beat) || !b.time_s.is_finite() {
                continue;
            }
            let side = beat.rem_euclid(2) as usize;
            let time_s = start_s + b.time_s - place.later_s[side];
            let at = Recent { beat, time_s };
            match self.runs.last_mut() {
                Some(run) if goes_on => run.last = at,
                _ => self.runs.push(Run { first: at, last: at }),
            }
            goes_on = true;
            let late_s = time_s - self.origin_s - beat as f64 * beat_s;
            let run = (self.runs.len() - 1) as u32;
            self.groups.push(side, Group::of(beat, late_s, b.unlocking_to_drop_s, run, b.used));
            self.used += u64::from(b.used);
            self.recent.push(at);
            if self.recent.len() > 2 * MOST_RECENT {
                self.recent.drain(..MOST_RECENT);
            }
            (first_s, last_s) = (first_s.min(time_s), last_s.max(time_s));
        }
        if last_s < first_s {
            return;
        }
        if place.goes_on && place.later_sd_s > 0.0 {
            let run = (self.runs.len() - 1) as u32;
            self.seams.push(Seam { run, time_s: first_s, sd_s: place.later_sd_s });
        }
        self.latest_period_s = heard.period_s;
        self.note(StretchNote {
            span_s: (last_s - first_s).max(beat_s),
            signal_to_noise_db: heard.signal_to_noise_db,
            strength: heard.strength,
            onset_sd_s: heard.onset_sd_s,
            span_sd_s: heard.span_sd_s,
            faint_span: heard.faint_span,
            blended: f64::from(heard.blended),
            may_be_two: f64::from(heard.may_be_two),
            period_doubt_relative: heard.period_doubt_relative,
        });
        let beats = |p: &[Picture; 2]| p[0].beats + p[1].beats;
        if self.pictures.as_ref().is_none_or(|p| beats(&heard.pictures) >= beats(p)) {
            let mut pictures = heard.pictures.clone();
            // Tick and tock may have changed names.
            if place.shift.rem_euclid(2) == 1 {
                pictures.swap(0, 1);
            }
            self.pictures = Some(pictures);
        }
    }

    fn note(&mut self, note: StretchNote) {
        self.notes.push(note);
        if self.notes.len() > MOST_STRETCHES {
            self.notes = self.notes.chunks(2).map(mean_of_notes).collect();
        }
    }

    /// Leaves these beats (first, last) out of whatever is reckoned from the beats.
    pub(crate) fn leave_out(&mut self, beats: (f64, f64)) {
        self.used = self.used.saturating_sub(self.groups.leave_out(beats));
    }

    /// Beats that it made while it ran, heard or not.
    pub(crate) fn expected(&self) -> u64 {
        self.runs.iter().map(Run::beats).sum()
    }

    /// Seconds in which it was heard.
    pub(crate) fn heard_s(&self) -> f64 {
        self.notes.iter().map(|n| n.span_s).sum()
    }

    /// Whether its beats mostly looked like those of two balances.
    pub(crate) fn is_blended(&self) -> bool {
        self.mean_note(|n| n.blended) > 0.5
    }

    /// Periods of two balances that sound as one may differ by as much as lets their beats run
    /// through each other's unnoticed: taken as evenly distributed, one standard deviation of it,
    /// relative.
    pub(crate) fn hidden_relative(&self) -> f64 {
        AS_ONE_S / self.heard_s().max(1.0) / 12f64.sqrt()
    }

    /// Mean of a stretch's word, weighted by how long it was.
    pub(crate) fn mean_note(&self, of: fn(&StretchNote) -> f64) -> f64 {
        mean_over(&self.notes, of)
    }

    /// Usual time from unlocking to drop by the stretches in which single beats do not show it.
    pub(crate) fn faint_span(&self) -> Option<Span> {
        mean_faint_span(&self.notes)
    }

    /// Time of a beat number on the even beat, seconds from the start of the recording.
    pub(crate) fn even_s(&self, beat: f64) -> f64 {
        self.origin_s + beat * 0.5 * self.period_s
    }
}

fn mean_over(notes: &[StretchNote], of: fn(&StretchNote) -> f64) -> f64 {
    let weight: f64 = notes.iter().map(|n| n.span_s).sum();
    notes.iter().map(|n| of(n) * n.span_s).sum::<f64>() / weight.max(f64::MIN_POSITIVE)
}

/// Mean over the stretches that have one, weighted by how long they were. What makes one of them
/// wrong may well be in all, so that the mean is no surer than they are.
fn mean_faint_span(notes: &[StretchNote]) -> Option<Span> {
    let (mut time_s, mut length, mut sd) = (0.0, 0.0, 0.0);
    for (span, weight) in notes.iter().filter_map(|n| Some((n.faint_span?, n.span_s))) {
        time_s += weight;
        length += weight * span.length;
        sd += weight * span.sd;
    }
    (time_s > 0.0).then(|| Span { length: length / time_s, sd: sd / time_s })
}

fn mean_of_notes(notes: &[StretchNote]) -> StretchNote {
    let mean = |of| mean_over(notes, of);
    StretchNote {
        span_s: notes.iter().map(|n| n.span_s).sum(),
        signal_to_noise_db: mean(|n| n.signal_to_noise_db),
        strength: mean(|n| n.strength),
        onset_sd_s: mean(|n| n.onset_sd_s),
        span_sd_s: mean(|n| n.span_sd_s),
        faint_span: mean_faint_span(notes),
        blended: mean(|n| n.blended),
        may_be_two: mean(|n| n.may_be_two),
        period_doubt_relative: mean(|n| n.period_doubt_relative),
    }
}
