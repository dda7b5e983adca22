//! What is heard, in lines for people.

use crate::text::{plain, rounded};
use audio::clock::AgainstComputer;
use beats::BalanceReading;
use live::{InHand, Level, Shown, Snapshot, State, settled};
use quantities::digits;

/// Most decimals of a rate, s/d, an amplitude, degrees, and a beat error, ms.
const DECIMALS: [usize; 3] = [2, 0, 2];
/// What the numbers of a balance are when nothing has settled yet.
const NOTHING: &str = "–";

/// Numbers of a balance as they were shown last.
pub(super) type ShownBefore = [Option<Shown>; 3];

/// One balance in one line, with the digits that have settled.
pub(super) fn balance(letter: &str, b: &BalanceReading, before: &mut ShownBefore) -> String {
    let values = [b.rate_s_per_d, b.amplitude_deg, b.beat_error_ms];
    for ((shown, value), most) in before.iter_mut().zip(values).zip(DECIMALS) {
        *shown = value.and_then(|value| settled(value, most, *shown));
    }
    let [rate, amplitude, beat_error] = *before;
    let nominal =
        b.nominal.map(|n| plain(n.per_hour(), if n.per_hour().fract() == 0.0 { 0 } else { 2 }));
    let beat = nominal.or_else(|| b.measured_beats_per_hour.map(|m| plain(m.value, 0)));
    let rate = match (rate, b.rate_s_per_d) {
        (Some(shown), _) => digits::signed(shown.number, shown.decimals),
        // So early that not even the seconds are known: to ten.
        (None, Some(rate)) => {
            format!("about {}", digits::signed((rate.value / 10.0).round() * 10.0, 0))
        }
        (None, None) => NOTHING.into(),
    };
    let unsigned = |shown: Option<Shown>| {
        shown.map_or_else(|| NOTHING.into(), |s| digits::plain(s.number, s.decimals))
    };
    let sd =
        b.rate_s_per_d.map_or_else(String::new, |rate| format!(" ± {}", rounded(rate, true).1));
    format!(
        "{letter}  {:>7}  {:>14} s/d  {:>4}°  {:>5} ms",
        beat.unwrap_or_else(|| NOTHING.into()),
        format!("{rate}{sd}"),
        unsigned(amplitude),
        unsigned(beat_error)
    )
}

/// How loud it is: the loudest of the last two seconds, of each channel.
pub(super) fn level(level: &Level) -> String {
    let channels = level.channels.iter().map(|c| {
        if c.held_peak_dbfs.is_finite() {
            format!("{} dB", plain(c.held_peak_dbfs, 0))
        } else {
            "silent".into()
        }
    });
    channels.collect::<Vec<String>>().join(" · ")
}

/// What the user could mend.
pub(super) fn hints(snapshot: &Snapshot) -> Vec<String> {
    let mut hints = Vec::new();
    match &snapshot.state {
        State::DeviceGone(why) => hints.push(why.clone()),
        State::Waiting => hints.push("No sound comes yet.".into()),
        State::Failed => hints.push("The program itself failed: please report it.".into()),
        State::Listening | State::Paused | State::Ended(_) => {}
    }
    hints.extend(snapshot.level.hint.map(|hint| hint.sentence().into()));
    if let Some(in_hand) = &snapshot.in_hand {
        hints.extend(in_hand.sound_failed.clone());
        if in_hand.lost_frames > 0 {
            let lost = plain(in_hand.lost_frames as f64, 0);
            hints.push(format!("{lost} samples were lost."));
        }
    }
    hints
}

/// How long it has been, and how much of what was wished.
pub(super) fn progress(in_hand: &InHand) -> String {
    let now = crate::text::duration(in_hand.seconds.floor()).replace(".0", "");
    match in_hand.wish.seconds {
        Some(whole) => format!("{now} of {}", crate::text::duration(whole).replace(".0", "")),
        None => now,
    }
}

/// The recorder's clock as the computer's has it.
pub(super) fn against_computer(clock: &AgainstComputer) -> String {
    let (number, sd) = rounded(clock.error_ppm, true);
    let span = crate::text::duration(clock.span_s);
    let words = format!(
        "Recorder's clock against the computer's: {number} ± {sd}\u{a0}ppm over {span}. It was not \
         used; --save-clock keeps it."
    );
    crate::text::joined(&crate::text::wrapped(&words, ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::{BeatFrequency, LiftAngle, Measured};

    fn reading(rate: Measured, amplitude: Measured) -> BalanceReading {
        BalanceReading {
            nominal: BeatFrequency::from_per_hour(28_800.0).ok(),
            measured_beats_per_hour: None,
            rate_s_per_d: Some(rate),
            rate_sd_with_clock_s_per_d: None,
            beat_error_ms: None,
            amplitude_deg: Some(amplitude),
            lift_angle: LiftAngle::USUAL,
            beats_used: 0,
            beats_expected: 0,
            signal_to_noise_db: None,
            running_s: (0.0, 0.0),
            drift: Vec::new(),
            amplitude_course: Vec::new(),
            rate_course: Vec::new(),
            averaged_beats: Vec::new(),
            timing_periodogram: None,
            amplitude_periodogram: None,
        }
    }

    #[test]
    fn digits_come_as_they_settle() {
        let mut before = ShownBefore::default();
        let mut line = |rate, sd| {
            let b = reading(Measured::new(rate, sd), Measured::new(271.4, 0.6));
            balance("A", &b, &mut before)
        };
        assert_eq!(line(14.2, 4.0), "A   28,800   about +10 ± 4 s/d   271°      – ms");
        assert_eq!(line(13.2, 0.8), "A   28,800       +13 ± 0.8 s/d   271°      – ms");
        assert_eq!(line(13.6, 0.7), "A   28,800       +13 ± 0.7 s/d   271°      – ms");
        assert_eq!(line(13.41, 0.08), "A   28,800    +13.4 ± 0.08 s/d   271°      – ms");
    }

    #[test]
    fn how_far_it_is() {
        let mut in_hand = InHand {
            wish: live::Wish::default(),
            seconds: 12.7,
            lost_frames: 0,
            sound_failed: None,
            finishing: false,
        };
        assert_eq!(progress(&in_hand).replace('\u{a0}', " "), "12 s");
        in_hand.wish.seconds = Some(90.0);
        assert_eq!(progress(&in_hand).replace('\u{a0}', " "), "12 s of 1 min 30 s");
    }
}
