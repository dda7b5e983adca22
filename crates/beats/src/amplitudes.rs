//! The amplitude of every beat, its mean and its course.

use crate::faint_unlocking::Span;
use crate::neighbours::{Seen, near_neighbours};
use crate::rate_fit::Fitted;
use crate::reading::CoursePoint;
use quantities::{Amplitude, BeatFrequency, LiftAngle, Measured};

/// Fewer timed beats than this have no amplitude worth the name.
const LEAST_BEATS: f64 = 4.0;
/// Beats farther from their neighbours than this many standard deviations were mistimed.
const FARTHEST_SD: f64 = 4.0;
/// Points of the course.
const MOST_POINTS: usize = 400;

/// Amplitude of one beat or group of beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Swing {
    /// Seconds from the start of the recording.
    pub(crate) time_s: f64,
    pub(crate) deg: f64,
    /// 0 tick, 1 tock.
    pub(crate) side: usize,
    /// Beats that it is the mean of.
    pub(crate) beats: f64,
}

/// All amplitudes of a balance.
pub(crate) struct Amplitudes {
    /// In order of time, without those that were mistimed. Empty where single beats show none.
    pub(crate) swings: Vec<Swing>,
    /// Their mean and what the timing of single beats leaves of its deviation.
    mean_deg: Measured,
    /// Standard deviation of one beat about its neighbours.
    scatter_deg: f64,
    /// Time from unlocking to drop that their mean stands for, seconds.
    pub(crate) span_s: f64,
    /// What all have in common: how far the beginning of unlocking and drop may be off.
    shared_sd_deg: f64,
}

impl Amplitudes {
    /// `None` where unlocking and drop are timed in too few beats.
    pub(crate) fn of(f: &Fitted<'_>, lift: LiftAngle, beat: BeatFrequency) -> Option<Self> {
        let out_of_beat = horology::amplitude_factor_out_of_beat(beat, f.tock_late_s.0);
        let mut swings: Vec<Swing> = f
            .track
            .groups
            .iter()
            .filter(|(_, g)| g.spans > 0)
            .filter_map(|(side, g)| {
                let deg =
                    out_of_beat * horology::amplitude_deg_from_time(lift, beat, g.span_s).ok()?;
                Some(Swing { time_s: f.track.even_s(g.beat), deg, side, beats: g.spans.into() })
            })
            .collect();
        swings.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        let seen: Vec<Seen> =
            swings.iter().map(|s| Seen { value: s.deg, side: s.side, beats: s.beats }).collect();
        let (near, scatter_deg) = near_neighbours(&seen, FARTHEST_SD);
        let mut near = near.into_iter();
        swings.retain(|_| near.next().unwrap_or(false));
        let beats: f64 = swings.iter().map(|s| s.beats).sum();
        if beats < LEAST_BEATS {
            return Self::of_averaged_beat(f.track.faint_span()?, lift, beat, out_of_beat);
        }
        let mean = swings.iter().map(|s| s.deg * s.beats).sum::<f64>() / beats;
        let centred = Amplitude::from_deg(mean / out_of_beat);
        let span_s = horology::time_s_from_amplitude(lift, beat, centred).ok()?;
        let mean_deg = Measured::new(mean, scatter_deg / beats.sqrt());
        let slope = horology::amplitude_sensitivity_deg_per_s(lift, beat, span_s).ok()?;
        let shared_sd_deg = slope.abs() * f.track.mean_note(|n| n.span_sd_s);
        Some(Self { swings, mean_deg, scatter_deg, span_s, shared_sd_deg })
    }

    /// Where single beats do not show it: a mean without a course.
    fn of_averaged_beat(
        span: Span,
        lift: LiftAngle,
        beat: BeatFrequency,
        out_of_beat: f64,
    ) -> Option<Self> {
        let deg = horology::amplitude_deg_from_time(lift, beat, span.length).ok()?;
        let slope = horology::amplitude_sensitivity_deg_per_s(lift, beat, span.length).ok()?;
        Some(Self {
            swings: Vec::new(),
            mean_deg: Measured::new(out_of_beat * deg, 0.0),
            scatter_deg: 0.0,
            span_s: span.length,
            shared_sd_deg: slope.abs() * span.sd,
        })
    }

    /// Mean over the recording. Its deviation holds what the timing of single beats leaves and what
    /// is common to all; that the amplitude itself changes with time is no uncertainty of it.
    pub(crate) fn mean_deg(&self) -> Measured {
        self.mean_deg.with_added_sd(self.shared_sd_deg)
    }

    /// Amplitude against time, up to some hundred points.
    pub(crate) fn course(&self) -> Vec<CoursePoint> {
        let per_point = self.swings.len().div_ceil(MOST_POINTS).max(4);
        self.swings
            .chunks(per_point)
            .map(|c| {
                let beats: f64 = c.iter().map(|s| s.beats).sum();
                let mean =
                    |of: fn(&Swing) -> f64| c.iter().map(|s| s.beats * of(s)).sum::<f64>() / beats;
                let value = Measured::new(mean(|s| s.deg), self.scatter_deg / beats.sqrt());
                CoursePoint {
                    time_s: mean(|s| s.time_s),
                    value: value.with_added_sd(self.shared_sd_deg),
                }
            })
            .collect()
    }
}
