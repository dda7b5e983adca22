//! What the user should know beside the numbers.

use crate::account::Listened;
use crate::breaks::Break;
use crate::rate_fit::Fitted;
use crate::reading::BalanceReading;
use crate::settings::Settings;
use crate::under_another::Hidden;
use crate::warning::{Warning, WarningCode};
use std::ops::RangeInclusive;

/// Beats below this many dB above the noise are worth a warning.
const QUIET_DB: f64 = 12.0;
/// Fewer beats than this carry no uncertainty worth the name.
const FEW_BEATS: u64 = 16;
/// A watch that ran to the end of the recording would be silent so long once in this many times.
const SILENT_BY_CHANCE: f64 = 1e-5;
/// Beats that may be missing at either end whatever the sound.
const BEATS_AT_THE_ENDS: f64 = 4.0;
/// A beat is not heard whole when it lies nearer than this to either end, seconds.
const AT_THE_EDGE_S: f64 = 0.1;
/// The sound of the last beat rings out within this, seconds.
const RINGS_S: f64 = 0.3;
/// So many places cut off are no accident.
const CLIPPED_PLACES: u64 = 20;

/// Amplitudes of watches that run, wound little or fully, degrees (common practice, no published
/// source).
const USUAL_AMPLITUDES_DEG: RangeInclusive<f64> = 150.0..=330.0;
/// Lift angles of nearly all watches, degrees (common practice, no published source).
const USUAL_LIFT_ANGLES_DEG: RangeInclusive<f64> = 36.0..=62.0;

/// How a balance is called in a sentence, as its subject.
pub(crate) fn who(index: usize, balances: usize) -> String {
    if balances > 1 { format!("Balance {}", letter(index)) } else { "The watch".to_owned() }
}

fn letter(index: usize) -> char {
    u8::try_from(index).ok().and_then(|i| b'A'.checked_add(i)).map_or('?', char::from)
}

/// Warnings about one balance.
pub(crate) fn of_balance(
    who: &str,
    f: &Fitted<'_>,
    b: &BalanceReading,
    heard: &Listened<'_>,
    under: &[Hidden],
    warnings: &mut Vec<Warning>,
) {
    let mut say = |code, message: String| warnings.push(Warning { code, message });
    starts_and_stops(who, f, heard, under, &mut say);
    if b.nominal.is_none() {
        say(
            WarningCode::BeatUnknown,
            format!(
                "{who} beats at no standard beat, so there is no rate; name its beats per hour if \
                 you know them."
            ),
        );
    }
    if b.signal_to_noise_db.is_some_and(|s| s < QUIET_DB) {
        say(
            WarningCode::TooQuiet,
            format!(
                "{who} hardly stands above the noise: bring the pickup closer or find a quieter \
                 place."
            ),
        );
    }
    if b.beats_used < FEW_BEATS {
        say(
            WarningCode::TooShort,
            format!("{who} gave too few beats to be sure of; record for longer."),
        );
    }
    if f.track.mean_note(|n| n.may_be_two) > 0.5 {
        say(WarningCode::OneOrTwo, one_or_two(who, b));
    }
    if f.track.is_blended() {
        say(
            WarningCode::Unresolved,
            format!(
                "{who}: the shocks of the beat do not keep together as those of one balance do: two \
                 balances may beat almost together, and this recording cannot part them. Record \
                 for longer or again later, stop one balance, or use two pickups."
            ),
        );
    } else {
        of_amplitude(who, b, &mut say);
    }
}

fn of_amplitude(who: &str, b: &BalanceReading, say: &mut impl FnMut(WarningCode, String)) {
    let lift_deg = b.lift_angle.deg();
    let Some(amplitude) = b.amplitude_deg else {
        let why = if USUAL_LIFT_ANGLES_DEG.contains(&lift_deg) {
            "unlocking and drop cannot be told apart in its averaged beat.".to_owned()
        } else {
            format!(
                "nothing in its averaged beat fits a lift angle of {lift_deg}°; few watches have \
                 one like it, so check it."
            )
        };
        say(WarningCode::AmplitudeUnknown, format!("{who} has no amplitude here: {why}"));
        return;
    };
    if !USUAL_AMPLITUDES_DEG.contains(&amplitude.value) {
        say(
            WarningCode::AmplitudeUnusual,
            format!(
                "{who} has an amplitude of {:.0}°, which is unusual: it may be so, but check the \
                 lift angle ({lift_deg}°) and the beat.",
                amplitude.value
            ),
        );
    }
}

/// What a step in the beats may be.
fn broken(b: &Break) -> String {
    let (time_s, ms) = (b.time_s, 1e3 * b.step_s.abs());
    let (what, late) = if b.step_s < 0.0 {
        ("sound is missing", "early")
    } else {
        ("something was put into the sound", "late")
    };
    let (or, whose, rate) = if b.balances == 1 {
        (", or the watch was jolted", "all beats", "The rate is that")
    } else {
        ("", "the beats of all balances", "The rates are those")
    };
    format!(
        "At about {time_s:.1} s {what}, some {ms:.1} ms (or whole beats more){or}: from there on \
         {whose} come {late} by that. {rate} of the pieces before and after."
    )
}

fn one_or_two(who: &str, b: &BalanceReading) -> String {
    let beat = b.nominal.map(|n| n.per_hour());
    let beat = beat.or(b.measured_beats_per_hour.map(|m| m.value)).unwrap_or(0.0);
    format!(
        "{who} may be one balance at {} beats an hour, or two at {} that keep in step half a beat \
         apart: the two sound alike here. Listen again in some minutes, stop one balance, or say \
         how many there are.",
        grouped(beat),
        grouped(0.5 * beat)
    )
}

/// A number of beats with a comma for thousands.
pub(crate) fn grouped(beats: f64) -> String {
    let whole = beats.round() as u64;
    if whole < 1_000 {
        return whole.to_string();
    }
    format!("{},{:03}", whole / 1_000, whole % 1_000)
}

/// Warnings about the recording as a whole.
pub(crate) fn of_recording(
    any: bool,
    heard: &Listened<'_>,
    settings: &Settings,
    warnings: &mut Vec<Warning>,
) {
    if any && !settings.clock.calibrated {
        warnings.push(Warning {
            code: WarningCode::ClockUncalibrated,
            message: format!(
                "The recorder's clock has not been calibrated: every rate may be off by about \
                 {:.1} s/d on that account.",
                settings.clock.sd_s_per_d()
            ),
        });
    }
    for b in heard.breaks.iter().filter(|_| any) {
        warnings.push(Warning { code: WarningCode::SoundBroken, message: broken(b) });
    }
    if heard.clipped > CLIPPED_PLACES {
        warnings.push(Warning {
            code: WarningCode::Clipped,
            message: "The recording is clipped: turn the input down and record again.".into(),
        });
    }
}

/// How long a balance that runs may well not be heard, seconds: some beats always, more where
/// many of its beats are not heard anyway.
fn silence_by_chance_s(f: &Fitted<'_>) -> f64 {
    let heard = f.track.used as f64 / f.track.expected().max(1) as f64;
    let missed = (1.0 - heard).clamp(1e-6, 0.9);
    let in_a_row = SILENT_BY_CHANCE.ln() / missed.ln();
    AT_THE_EDGE_S + 0.5 * f.period_s * BEATS_AT_THE_ENDS.max(in_a_row)
}

fn starts_and_stops(
    who: &str,
    f: &Fitted<'_>,
    heard: &Listened<'_>,
    under: &[Hidden],
    say: &mut impl FnMut(WarningCode, String),
) {
    let runs = &f.track.runs;
    let (Some(first), Some(last)) = (runs.first(), runs.last()) else { return };
    let margin_s = silence_by_chance_s(f);
    let within_a_run = (first.first.time_s, first.last.time_s);
    let other = |from_s: f64, to_s: f64| under.iter().find(|h| h.time_s == (from_s, to_s));
    for h in under {
        let (from_s, to_s) = h.time_s;
        say(
            WarningCode::Unresolved,
            format!(
                "{who} is not heard by itself from {from_s:.1} s to {to_s:.1} s: its beats fall \
                 together with those of balance {}, whose readings leave that time out.",
                letter(h.under)
            ),
        );
    }
    let covered = |from_s: f64, to_s: f64| heard.quiet.is_louder((from_s, to_s), within_a_run);
    let begins_s = first.first.time_s;
    if begins_s > margin_s && other(0.0, begins_s).is_none() {
        if covered(0.0, begins_s) {
            say(
                WarningCode::TooQuiet,
                format!(
                    "{who} is heard from {begins_s:.1} s on; other sounds cover what was before."
                ),
            );
        } else {
            say(WarningCode::Started, format!("{who} started {begins_s:.1} s into the recording."));
        }
    }
    for pair in runs.windows(2) {
        let (from_s, to_s) = (pair[0].last.time_s, pair[1].first.time_s);
        if to_s - from_s < margin_s || other(from_s, to_s).is_some() {
            continue;
        }
        if covered(from_s + RINGS_S, to_s) {
            say(
                WarningCode::TooQuiet,
                format!("Other sounds cover {} from {from_s:.1} s to {to_s:.1} s.", object(who)),
            );
        } else {
            say(
                WarningCode::Stopped,
                format!(
                    "{who} stopped {from_s:.1} s into the recording, for {:.1} s.",
                    to_s - from_s
                ),
            );
            say(
                WarningCode::Started,
                format!("{who} started again {to_s:.1} s into the recording."),
            );
        }
    }
    let ends_s = last.last.time_s;
    if heard.duration_s - ends_s > margin_s && other(ends_s, heard.duration_s).is_none() {
        if covered(ends_s + RINGS_S, heard.duration_s) {
            say(
                WarningCode::TooQuiet,
                format!("{who} is heard until {ends_s:.1} s; other sounds cover what came after."),
            );
        } else {
            say(
                WarningCode::Stopped,
                format!("{who} stopped {ends_s:.1} s into the recording; what follows is silence."),
            );
        }
    }
}

/// The same as the object of a sentence.
fn object(who: &str) -> String {
    if who == "The watch" { "the watch".to_owned() } else { who.to_owned() }
}

#[cfg(test)]
mod tests;
