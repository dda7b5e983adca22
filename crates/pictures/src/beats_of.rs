//! Beat pictures from a reading.

use crate::side;
use beats::{AveragedBeat, BalanceReading};
use plot::{Balance, BeatPicture, BeatTrace, ScaleMark, Value};
use quantities::{Amplitude, BeatFrequency, LiftAngle};

/// One Beat picture a balance; none of a balance without averaged beats.
#[must_use]
pub fn beats(balances: &[BalanceReading]) -> Vec<BeatPicture> {
    let with_place = balances.iter().enumerate();
    let heard = with_place.filter(|(_, balance)| !balance.averaged_beats.is_empty());
    heard.map(|(place, balance)| picture(place, balance)).collect()
}

fn picture(place: usize, balance: &BalanceReading) -> BeatPicture {
    let beat = beat_of(balance);
    BeatPicture {
        balance: Balance::nth(place),
        note: format!("lift angle {}°", balance.lift_angle.deg()),
        traces: balance
            .averaged_beats
            .iter()
            .map(|averaged| trace(averaged, balance, beat))
            .collect(),
    }
}

/// The beat that a balance was taken for, or else that it was measured at.
fn beat_of(balance: &BalanceReading) -> Option<BeatFrequency> {
    balance.nominal.or_else(|| {
        let measured = balance.measured_beats_per_hour?;
        BeatFrequency::from_per_hour(measured.value).ok()
    })
}

/// Where the drop would stand in an averaged beat of this balance at each ten degrees of amplitude;
/// empty where its unlocking is not known.
#[must_use]
pub fn amplitude_scale(balance: &BalanceReading, averaged: &AveragedBeat) -> Vec<ScaleMark> {
    match (averaged.unlocking_ms, beat_of(balance)) {
        (Some(unlocking_ms), Some(beat)) => scale(balance.lift_angle, beat, unlocking_ms),
        _ => Vec::new(),
    }
}

fn trace(
    averaged: &AveragedBeat,
    balance: &BalanceReading,
    beat: Option<BeatFrequency>,
) -> BeatTrace {
    BeatTrace {
        side: side(averaged.side),
        start_ms: averaged.start_ms,
        step_ms: averaged.step_ms,
        mean: averaged.mean.clone(),
        spread: averaged.spread.clone(),
        unlocking_ms: averaged.unlocking_ms,
        impulse_ms: averaged.impulse_ms,
        drop_ms: averaged.drop_ms,
        scale: amplitude_scale(balance, averaged),
        amplitude_deg: amplitude(averaged, balance.lift_angle, beat),
    }
}

/// Marks every ten degrees, over all that a balance can swing.
fn scale(lift: LiftAngle, beat: BeatFrequency, unlocking_ms: f64) -> Vec<ScaleMark> {
    let amplitudes = (2..=40).map(|tens| f64::from(10 * tens));
    let marks = amplitudes.filter_map(|amplitude_deg| {
        // Amplitudes too small to unlock have no place on the scale.
        let amplitude = Amplitude::from_deg(amplitude_deg);
        let after_s = horology::time_s_from_amplitude(lift, beat, amplitude).ok()?;
        Some(ScaleMark { at_ms: unlocking_ms + after_s * 1000.0, amplitude_deg })
    });
    marks.collect()
}

/// The amplitude of this side by itself; its uncertainty is only known for both together.
fn amplitude(
    averaged: &AveragedBeat,
    lift: LiftAngle,
    beat: Option<BeatFrequency>,
) -> Option<Value> {
    let took_s = (averaged.drop_ms? - averaged.unlocking_ms?) / 1000.0;
    horology::amplitude_deg_from_time(lift, beat?, took_s).ok().map(Value::bare)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 7.675 ms for 270 degrees at 28,800 beats per hour and a lift angle of 52 degrees:
    /// dt = T/pi asin(lift / 2A) by Python's math module, outside this project.
    #[test]
    fn marks_stand_where_the_drop_would() {
        let beat = BeatFrequency::from_per_hour(28_800.0).unwrap();
        let lift = LiftAngle::from_deg(52.0).unwrap();
        let marks = scale(lift, beat, -1.5);
        let at = marks.iter().find(|m| m.amplitude_deg == 270.0).unwrap().at_ms;
        // The table is printed to a microsecond.
        assert!((at - (7.675 - 1.5)).abs() < 0.000_6, "{at}");
        assert!(marks.windows(2).all(|pair| pair[0].at_ms > pair[1].at_ms));
        assert!(marks.first().is_some_and(|m| m.amplitude_deg > 26.0));
    }
}
