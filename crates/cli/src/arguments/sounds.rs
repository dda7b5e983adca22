//! The parts of a simulated recording, as words.

use super::Seconds;
use super::keys::{Key, fill, numbers};
use super::values::{not_negative, number};
use truth::{Balance, Clicks, Hum, Knocks, Music, Path, Ripple, Room, Speech};
use truth::{SteppingReference, VoiceFamily};

/// A balance as typed; what is left open here depends on its place among the others.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct BalanceWords {
    pub(crate) balance: Balance,
    pub(crate) offset_s: Option<f64>,
    pub(crate) voice_seed: Option<u64>,
    /// None for a balance in poise.
    pub(crate) heavy: Option<HeavyWords>,
}

/// A heavy spot as typed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct HeavyWords {
    /// Mass times radius over the balance's moment of inertia, per mm.
    pub(crate) moment_by_inertia_per_mm: f64,
    /// Clockwise from 12, seen from the dial, with the balance at rest, degrees.
    pub(crate) towards_deg: f64,
}

/// A balance whose words have not all been read.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct BalanceDraft {
    balance: Balance,
    offset_s: Option<f64>,
    voice_seed: Option<u64>,
    heavy: HeavyWords,
    timing: RippleWords,
    amplitude: RippleWords,
    gains: Vec<f64>,
    delays_ms: Vec<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct RippleWords {
    size: f64,
    period_s: f64,
    phase_turns: f64,
}

impl Default for RippleWords {
    /// No ripple; where only its size is given, that of a wheel that turns once a minute.
    fn default() -> Self {
        Self { size: 0.0, period_s: 60.0, phase_turns: 0.0 }
    }
}

macro_rules! key {
    ($name:literal, $meaning:literal, |$target:ident, $words:ident| $set:expr) => {
        Key {
            name: $name,
            meaning: $meaning,
            set: |$target, $words| {
                $set;
                Ok(())
            },
        }
    };
}

/// Keys of `--balance`.
pub(crate) const BALANCE: &[Key<BalanceDraft>] = &[
    key!("bph", "beats per hour [28800]", |b, w| b.balance.beats_per_hour = number(w)?),
    key!("rate", "s/d, gaining is positive [0]", |b, w| b.balance.rate_s_per_d = number(w)?),
    key!("rate-change", "s/d an hour [0]", |b, w| b.balance.rate_change_s_per_d_per_h = number(w)?),
    key!("amplitude", "degrees [270]", |b, w| b.balance.amplitude_deg = number(w)?),
    key!("amplitude-sd", "spread from beat to beat, degrees [1.5]", |b, w| {
        b.balance.amplitude_sd_deg = number(w)?
    }),
    key!("amplitude-change", "degrees an hour [0]", |b, w| {
        b.balance.amplitude_change_deg_per_h = number(w)?
    }),
    key!("beat-error", "ms, half the difference of the intervals [0]", |b, w| {
        b.balance.beat_error_ms = number(w)?
    }),
    key!("heavy", "heavy spot: mass x radius / inertia, per mm [0]", |b, w| {
        b.heavy.moment_by_inertia_per_mm = not_negative(w)?
    }),
    key!("heavy-towards", "where it rests, degrees clockwise from 12 [0]", |b, w| {
        b.heavy.towards_deg = number(w)?
    }),
    key!("lift", "lift angle, degrees [52]", |b, w| b.balance.lift_deg = number(w)?),
    key!("loudness", "peak, 1 being full scale [0.5]", |b, w| b.balance.loudness = number(w)?),
    key!("loudness-sd", "spread from beat to beat, part of it [0.08]", |b, w| {
        b.balance.loudness_sd = number(w)?
    }),
    key!("jitter-us", "timing jitter, µs [30]", |b, w| b.balance.jitter_us = number(w)?),
    key!("ripple-ms", "wave in the timing, ms either way [0]", |b, w| b.timing.size = number(w)?),
    key!("ripple-period", "its period, s [60]", |b, w| b.timing.period_s = seconds(w)?),
    key!("ripple-phase", "its phase at the start, turns [0]", |b, w| {
        b.timing.phase_turns = number(w)?
    }),
    key!("ripple-deg", "wave in the amplitude, degrees either way [0]", |b, w| {
        b.amplitude.size = number(w)?
    }),
    key!("ripple-deg-period", "its period, s [60]", |b, w| b.amplitude.period_s = seconds(w)?),
    key!("offset", "when the first tick falls, s [apart from the others]", |b, w| {
        b.offset_s = Some(number(w)?)
    }),
    key!("start", "when it begins to run, s [runs already]", |b, w| {
        b.balance.starts_at_s = Some(seconds(w)?)
    }),
    key!("stop", "when it stops, s [runs to the end]", |b, w| {
        b.balance.stops_at_s = Some(seconds(w)?)
    }),
    key!("voice", "bright, ringing, rasping or dull [bright]", |b, w| {
        b.balance.voice.family = voice(w)?
    }),
    key!("voice-seed", "which voice of that family [one of its own]", |b, w| {
        b.voice_seed = Some(whole(w)?)
    }),
    key!("gains", "loudness on each channel, like 1:0.3 [all 1]", |b, w| b.gains = numbers(w)?),
    key!("delays-ms", "delay to each channel, like 0:0.05 [all 0]", |b, w| {
        b.delays_ms = numbers(w)?
    }),
];

/// Keys of `--reference`.
pub(crate) const REFERENCE: &[Key<SteppingReference>] = &[
    key!("period", "from step to step, s [1]", |r, w| r.period_s = seconds(w)?),
    key!("error-ppm", "by how much it runs fast [0]", |r, w| r.error_ppm = number(w)?),
    key!("offset", "when the first step falls, s [0.3]", |r, w| r.offset_s = number(w)?),
    key!("jitter-us", "timing jitter, µs [20]", |r, w| r.jitter_us = number(w)?),
    key!("loudness", "peak, 1 being full scale [0.5]", |r, w| r.loudness = number(w)?),
    key!("alternate", "every second step against the others [0.8]", |r, w| {
        r.alternate_loudness = number(w)?
    }),
    key!("voice-seed", "which voice [1]", |r, w| r.voice_seed = whole(w)?),
];

/// Keys of `--hum`.
pub(crate) const HUM: &[Key<Hum>] = &[
    key!("mains", "Hz [50]", |h, w| h.mains_hz = number(w)?),
    key!("level", "dB of the rms [-30]", |h, w| h.rms_db = number(w)?),
    key!("harmonics", "how many [8]", |h, w| h.harmonics = small(w)?),
];

/// Keys of `--knocks`.
pub(crate) const KNOCKS: &[Key<Knocks>] = &[
    key!("per-minute", "how many [6]", |k, w| k.per_minute = number(w)?),
    key!("level", "dB of the peak [-10]", |k, w| k.peak_db = number(w)?),
];

/// Keys of `--clicks`.
pub(crate) const CLICKS: &[Key<Clicks>] = &[
    key!("per-minute", "how many [60]", |k, w| k.per_minute = number(w)?),
    key!("level", "dB of the peak [-12]", |k, w| k.peak_db = number(w)?),
];

/// Keys of `--speech`.
pub(crate) const SPEECH: &[Key<Speech>] = &[
    key!("level", "dB of the rms [-30]", |s, w| s.rms_db = number(w)?),
    key!("pitch", "Hz [130]", |s, w| s.pitch_hz = number(w)?),
];

/// Keys of `--music`.
pub(crate) const MUSIC: &[Key<Music>] = &[
    key!("tempo", "quarter notes a minute [120]", |m, w| m.tempo_per_minute = number(w)?),
    key!("timing-ms", "spread of the players' timing, ms [0]", |m, w| m.timing_sd_ms = number(w)?),
    key!("notes", "dB of the peak [-18]", |m, w| m.notes_peak_db = number(w)?),
    key!("drums", "dB of the peak [-14]", |m, w| m.drums_peak_db = number(w)?),
];

/// Keys of `--room`.
pub(crate) const ROOM: &[Key<Room>] = &[
    key!("tail", "time to fall by 60 dB, s [0.4]", |r, w| r.tail_s = seconds(w)?),
    key!("level", "echoes against the direct sound, dB [-6]", |r, w| r.wet_db = number(w)?),
];

pub(crate) fn balance(words: &str) -> Result<BalanceWords, String> {
    let mut filled = fill(BalanceDraft::default(), words, BALANCE)?;
    let ripple = |words: RippleWords| {
        (words.size != 0.0).then_some(Ripple {
            semi_amplitude: words.size,
            period_s: words.period_s,
            phase_turns: words.phase_turns,
        })
    };
    filled.balance.timing_ripple_ms.extend(ripple(filled.timing));
    filled.balance.amplitude_ripple_deg.extend(ripple(filled.amplitude));
    filled.balance.paths = paths(&filled.gains, &filled.delays_ms)?;
    let BalanceDraft { balance, offset_s, voice_seed, heavy, .. } = filled;
    let heavy = (heavy.moment_by_inertia_per_mm > 0.0).then_some(heavy);
    Ok(BalanceWords { balance, offset_s, voice_seed, heavy })
}

fn paths(gains: &[f64], delays_ms: &[f64]) -> Result<Vec<Path>, String> {
    if !gains.is_empty() && !delays_ms.is_empty() && gains.len() != delays_ms.len() {
        return Err(format!(
            "gains are given for {} channels, delays-ms for {}",
            gains.len(),
            delays_ms.len()
        ));
    }
    let channels = gains.len().max(delays_ms.len());
    let path = |channel: usize| Path {
        gain: gains.get(channel).copied().unwrap_or(Path::DIRECT.gain),
        delay_ms: delays_ms.get(channel).copied().unwrap_or(Path::DIRECT.delay_ms),
    };
    Ok((0..channels).map(path).collect())
}

pub(crate) fn reference(words: &str) -> Result<SteppingReference, String> {
    fill(SteppingReference::default(), words, REFERENCE)
}

pub(crate) fn hum(words: &str) -> Result<Hum, String> {
    fill(Hum { mains_hz: 50.0, rms_db: -30.0, harmonics: 8 }, words, HUM)
}

pub(crate) fn knocks(words: &str) -> Result<Knocks, String> {
    fill(Knocks { per_minute: 6.0, peak_db: -10.0 }, words, KNOCKS)
}

pub(crate) fn clicks(words: &str) -> Result<Clicks, String> {
    fill(Clicks { per_minute: 60.0, peak_db: -12.0 }, words, CLICKS)
}

pub(crate) fn speech(words: &str) -> Result<Speech, String> {
    fill(Speech { rms_db: -30.0, pitch_hz: 130.0 }, words, SPEECH)
}

pub(crate) fn music(words: &str) -> Result<Music, String> {
    let music = Music {
        tempo_per_minute: 120.0,
        timing_sd_ms: 0.0,
        notes_peak_db: -18.0,
        drums_peak_db: -14.0,
    };
    fill(music, words, MUSIC)
}

pub(crate) fn room(words: &str) -> Result<Room, String> {
    fill(Room { tail_s: 0.4, wet_db: -6.0 }, words, ROOM)
}

fn seconds(words: &str) -> Result<f64, String> {
    words.parse::<Seconds>().map(|s| s.0)
}

fn whole(words: &str) -> Result<u64, String> {
    words.parse().map_err(|_| "give a whole number, zero or more".into())
}

fn small(words: &str) -> Result<u32, String> {
    words.parse().map_err(|_| "give a whole number, zero or more".into())
}

fn voice(words: &str) -> Result<VoiceFamily, String> {
    match words {
        "bright" => Ok(VoiceFamily::Bright),
        "ringing" => Ok(VoiceFamily::Ringing),
        "rasping" => Ok(VoiceFamily::Rasping),
        "dull" => Ok(VoiceFamily::Dull),
        _ => Err("the voices are bright, ringing, rasping and dull".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_balance_in_words() {
        let words = balance(
            "bph=21600,rate=+5,amplitude=280,beat-error=0.2,lift=50,loudness=1,jitter-us=20,\
             ripple-ms=0.1,ripple-period=1m,start=2,stop=20,gains=1:0.3,voice=dull",
        );
        let b = words.unwrap().balance;
        let numbers = [
            b.beats_per_hour,
            b.rate_s_per_d,
            b.amplitude_deg,
            b.beat_error_ms,
            b.lift_deg,
            b.loudness,
            b.jitter_us,
        ];
        assert_eq!(numbers, [21_600.0, 5.0, 280.0, 0.2, 50.0, 1.0, 20.0]);
        let ripple = Ripple { semi_amplitude: 0.1, period_s: 60.0, phase_turns: 0.0 };
        assert_eq!(b.timing_ripple_ms, [ripple]);
        assert_eq!((b.starts_at_s, b.stops_at_s), (Some(2.0), Some(20.0)));
        assert_eq!(b.paths, [Path::DIRECT, Path { gain: 0.3, delay_ms: 0.0 }]);
        assert_eq!(b.voice.family, VoiceFamily::Dull);
    }

    #[test]
    fn nothing_said_means_the_defaults_that_the_help_names() {
        assert_eq!(balance("").unwrap().balance, Balance::default());
        assert_eq!(reference("").unwrap(), SteppingReference::default());
        // What the help says in brackets is what an empty text gives: written out, it must come
        // to the same.
        let said = "bph=28800,rate=0,rate-change=0,amplitude=270,amplitude-sd=1.5,\
            amplitude-change=0,beat-error=0,lift=52,loudness=0.5,loudness-sd=0.08,jitter-us=30,\
            ripple-ms=0,ripple-deg=0,voice=bright,\
            heavy=0,heavy-towards=0";
        assert_eq!(balance(said).unwrap(), BalanceWords::default());
        let said = "period=1,error-ppm=0,offset=0.3,jitter-us=20,loudness=0.5,alternate=0.8,\
            voice-seed=1";
        assert_eq!(reference(said).unwrap(), SteppingReference::default());
        assert_eq!(hum("mains=50,level=-30,harmonics=8"), hum(""));
        assert_eq!(knocks("per-minute=6,level=-10"), knocks(""));
        assert_eq!(clicks("per-minute=60,level=-12"), clicks(""));
        assert_eq!(speech("level=-30,pitch=130"), speech(""));
        assert_eq!(music("tempo=120,timing-ms=0,notes=-18,drums=-14"), music(""));
        assert_eq!(room("tail=0.4,level=-6"), room(""));
    }

    #[test]
    fn contradictions_are_refused() {
        assert!(balance("gains=1:0.3,delays-ms=0:0:0").unwrap_err().contains("2 channels"));
        assert!(balance("voice=loud").unwrap_err().contains("bright, ringing"));
        assert!(balance("voice-seed=-1").is_err());
        assert!(hum("harmonics=1.5").is_err());
    }
}
