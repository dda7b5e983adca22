//! What a page is sent of a watch that is heard live: only what is new, in digits that stand still.

use crate::convert::{heard_balance, heard_relation, heard_warnings};
use crate::wire::{
    AveragedBeatShape, Level, LiveBalance, LiveDrift, LiveFrame, LiveReading, LiveState,
};
use beats::{AveragedBeat, BalanceReading, DriftPoint, Side};
use live::{Heard, Shown, Snapshot, settled};
use quantities::Measured;
use std::collections::HashMap;
use std::sync::Arc;

/// Points of a balance's drift that are sent at most: more than a screen has columns.
const MOST_POINTS: usize = 1_600;
/// Values of an averaged beat that are sent at most.
const MOST_VALUES: usize = 600;
/// What digital silence is called; JSON has no minus infinity.
const SILENCE_DBFS: f64 = -120.0;
/// Most decimals of rate, amplitude and beat error.
const DECIMALS: [usize; 3] = [2, 1, 2];

/// Makes the frames of one page.
#[derive(Default)]
pub(crate) struct Frames {
    state: Option<LiveState>,
    heard: Option<Arc<Heard>>,
    shown: HashMap<(usize, usize), Shown>,
    /// Why the sound of the reading that is being taken is not complete, as it was told.
    sound_failed: Option<String>,
}

impl Frames {
    /// What is new.
    pub(crate) fn next(&mut self, snapshot: &Snapshot, state: LiveState) -> Vec<LiveFrame> {
        let mut frames = vec![LiveFrame::Level(level(snapshot))];
        if self.state.as_ref().is_none_or(|last| differs(last, &state)) {
            self.state = Some(state.clone());
            frames.push(LiveFrame::State(Box::new(state)));
        }
        let failed = snapshot.in_hand.as_ref().and_then(|in_hand| in_hand.sound_failed.clone());
        if failed != self.sound_failed {
            frames.extend(failed.clone().map(|message| LiveFrame::Failed { message }));
            self.sound_failed = failed;
        }
        if let Some(heard) = &snapshot.heard
            && self.heard.as_ref().is_none_or(|last| !Arc::ptr_eq(last, heard))
        {
            self.heard = Some(heard.clone());
            frames.push(LiveFrame::Reading(Box::new(self.reading(heard))));
        }
        frames
    }

    fn reading(&mut self, heard: &Heard) -> LiveReading {
        let reading = &heard.reading;
        let balances = reading.balances.iter().enumerate();
        let balances: Vec<LiveBalance> =
            balances.map(|(place, balance)| self.balance(place, balance, heard.from_s)).collect();
        self.shown.retain(|(place, _), _| *place < balances.len());
        let relation = reading.relation.as_ref();
        LiveReading {
            duration_s: reading.duration_s,
            from_s: heard.from_s,
            balances,
            relation: relation.map(heard_relation),
            relation_words: relation.map(|relation| {
                let (verdict, sentence) = words::relation(relation, reading.balances.len());
                format!("{verdict} {sentence}")
            }),
            warnings: heard_warnings(&reading.warnings),
            clock_words: words::clock(&heard.settings.clock),
        }
    }

    fn balance(&mut self, place: usize, balance: &BalanceReading, from_s: f64) -> LiveBalance {
        let mut shown = |of: usize, measured: Option<Measured>| {
            let before = self.shown.get(&(place, of)).copied();
            let now = measured.and_then(|m| settled(m, DECIMALS[of], before));
            match now {
                Some(now) => self.shown.insert((place, of), now),
                None => self.shown.remove(&(place, of)),
            };
            now
        };
        let rate = shown(0, balance.rate_s_per_d);
        let amplitude = shown(1, balance.amplitude_deg);
        let beat_error = shown(2, balance.beat_error_ms);
        LiveBalance {
            numbers: heard_balance(place, balance),
            rate_words: rate.map(|s| words::signed(s.number, s.decimals)),
            amplitude_words: amplitude.map(|s| words::plain(s.number, s.decimals)),
            beat_error_words: beat_error.map(|s| words::plain(s.number, s.decimals)),
            drift: drift(&balance.drift, from_s),
            averaged_beats: balance.averaged_beats.iter().map(|a| shape(balance, a)).collect(),
        }
    }
}

/// Seconds that only go on are told twice a second; a page counts those of listening from the levels.
fn differs(last: &LiveState, now: &LiveState) -> bool {
    let stands = |state: &LiveState| {
        let half = |seconds: f64| (2.0 * seconds).floor();
        let mut still = LiveState { elapsed_s: 0.0, ..state.clone() };
        if let Some(taking) = &mut still.taking {
            taking.elapsed_s = half(taking.elapsed_s);
            taking.sd_s_per_d = None;
        }
        if let Some(quartz) = &mut still.quartz {
            quartz.elapsed_s = half(quartz.elapsed_s);
        }
        still
    };
    stands(last) != stands(now)
}

fn level(snapshot: &Snapshot) -> Level {
    let channels = &snapshot.level.channels;
    let lost = snapshot.lost_frames;
    let hint = match snapshot.level.hint {
        Some(hint) => Some(hint.sentence().to_owned()),
        None => (lost > 0).then(|| format!("{} samples were lost.", words::plain(lost as f64, 0))),
    };
    Level {
        elapsed_s: snapshot.elapsed_s,
        peak_dbfs: channels.iter().map(|c| c.peak_dbfs.max(SILENCE_DBFS)).collect(),
        rms_dbfs: channels.iter().map(|c| c.rms_dbfs.max(SILENCE_DBFS)).collect(),
        clipped_samples: snapshot.level.clipped,
        lost_samples: lost,
        hint,
    }
}

fn drift(points: &[DriftPoint], from_s: f64) -> LiveDrift {
    let each = points.len().div_ceil(MOST_POINTS).max(1);
    // An odd step, so that ticks and tocks both stay.
    let kept: Vec<&DriftPoint> = points.iter().step_by(each | 1).collect();
    LiveDrift {
        time_s: kept.iter().map(|p| from_s + p.time_s).collect(),
        gain_ms: kept.iter().map(|p| p.gain_ms).collect(),
        tock: kept.iter().map(|p| p.side == Side::Tock).collect(),
        used: kept.iter().map(|p| p.used).collect(),
    }
}

fn shape(balance: &BalanceReading, averaged: &AveragedBeat) -> AveragedBeatShape {
    let each = averaged.mean.len().div_ceil(MOST_VALUES).max(1);
    // The loudest of each few, so that no shock is lost between two columns.
    let thinned = |values: &[f64]| -> Vec<f64> {
        values.chunks(each).map(|few| few.iter().copied().fold(0.0, f64::max)).collect()
    };
    let scale = pictures::amplitude_scale(balance, averaged);
    AveragedBeatShape {
        tock: averaged.side == Side::Tock,
        start_ms: averaged.start_ms,
        step_ms: averaged.step_ms * each as f64,
        mean: thinned(&averaged.mean),
        spread: thinned(&averaged.spread),
        unlocking_ms: averaged.unlocking_ms,
        impulse_ms: averaged.impulse_ms,
        drop_ms: averaged.drop_ms,
        amplitude_scale: scale.iter().map(|mark| (mark.at_ms, mark.amplitude_deg)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_drift_is_thinned_and_keeps_both_sides() {
        let point = |n: usize| DriftPoint {
            time_s: n as f64 * 0.125,
            gain_ms: 0.0,
            residual_ms: 0.0,
            side: if n.is_multiple_of(2) { Side::Tick } else { Side::Tock },
            used: true,
        };
        let points: Vec<DriftPoint> = (0..6_400).map(point).collect();
        let thinned = drift(&points, 10.0);
        assert!(thinned.time_s.len() <= MOST_POINTS && thinned.time_s.len() > MOST_POINTS / 2);
        assert_eq!(thinned.time_s[0], 10.0);
        let tocks = thinned.tock.iter().filter(|tock| **tock).count();
        assert!(tocks.abs_diff(thinned.tock.len() / 2) <= 1);
        assert_eq!(drift(&points[..3], 0.0).time_s.len(), 3);
    }
}
