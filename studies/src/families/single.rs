//! One balance: in clear sound, and in sound as poor as comes to a bench.

use crate::draws::Draws;
use crate::recordings::Recording;
use truth::{Balance, Hum, Knocks, Noise, Room, Scenario, Voice, VoiceFamily};

/// Voices as a contact pickup hears them.
const CONTACT: [VoiceFamily; 3] = [VoiceFamily::Bright, VoiceFamily::Ringing, VoiceFamily::Rasping];

/// The beats of nearly all watches on a bench.
const USUAL_BEATS_PER_HOUR: [u32; 9] =
    [12_000, 14_400, 16_200, 18_000, 19_800, 21_600, 25_200, 28_800, 36_000];

/// A balance anywhere in the range that the project promises to read: all usual beats,
/// amplitude 150 to 330 degrees, beat error to 5 ms, lift angle 40 to 60 degrees.
pub(super) fn any_balance(d: &mut Draws) -> Balance {
    let beats_per_hour = f64::from(d.pick(&USUAL_BEATS_PER_HOUR));
    let sign = if d.chance(0.5) { 1.0 } else { -1.0 };
    Balance {
        beats_per_hour,
        rate_s_per_d: d.between(-120.0, 120.0),
        amplitude_deg: d.between(150.0, 330.0),
        amplitude_sd_deg: d.between(0.5, 2.5),
        beat_error_ms: sign * d.between(0.0, 5.0),
        lift_deg: d.between(40.0, 60.0).round(),
        loudness: d.between(0.3, 0.7),
        loudness_sd: d.between(0.03, 0.12),
        jitter_us: d.between(10.0, 60.0),
        offset_s: d.between(0.0, 2.0 * 3_600.0 / beats_per_hour),
        voice: Voice::new(d.pick(&CONTACT), d.word()),
        ..Balance::default()
    }
}

/// One balance, well picked up: its loudest shock stands 40 to 55 dB above the white noise of
/// the pickup. 20 to 60 s at 44.1, 48 or 96 kHz.
pub(crate) fn one(seed: u64) -> Recording {
    let mut d = Draws::new("one", seed);
    let balance = any_balance(&mut d);
    let kind = match balance.voice.family {
        VoiceFamily::Bright => "bright",
        VoiceFamily::Ringing => "ringing",
        VoiceFamily::Rasping => "rasping",
        VoiceFamily::Dull => "dull",
    };
    let noise_db = 20.0 * balance.loudness.log10() - d.between(40.0, 55.0);
    let scenario = Scenario::new(d.word())
        .with_duration_s(d.between(20.0, 60.0).round())
        .with_sample_rate_hz(d.pick(&[44_100, 48_000, 48_000, 96_000]))
        .with_clock_error_ppm(d.between(-50.0, 50.0))
        .with_balance(balance)
        .with_noise(Noise::White { rms_db: noise_db });
    Recording::new(kind, scenario)
}

/// What makes a recording hard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hardship {
    RoomNoise,
    Hum,
    Knocks,
    LowAmplitude,
    Dull,
    Reverberation,
    All,
}

impl Hardship {
    const EACH: [Self; 7] = [
        Self::RoomNoise,
        Self::Hum,
        Self::Knocks,
        Self::LowAmplitude,
        Self::Dull,
        Self::Reverberation,
        Self::All,
    ];

    fn name(self) -> &'static str {
        match self {
            Self::RoomNoise => "room noise",
            Self::Hum => "hum",
            Self::Knocks => "knocks",
            Self::LowAmplitude => "low amplitude",
            Self::Dull => "dull voice",
            Self::Reverberation => "reverberation",
            Self::All => "several at once",
        }
    }
}

/// The kinds of `hard`, in the order of the seeds.
pub(crate) fn hard_kinds() -> Vec<&'static str> {
    Hardship::EACH.iter().map(|h| h.name()).collect()
}

/// One balance in poor sound; the seed's remainder by seven says what is poor. 20 to 60 s.
pub(crate) fn hard(seed: u64) -> Recording {
    let mut d = Draws::new("hard", seed);
    let hardship = Hardship::EACH[(seed % Hardship::EACH.len() as u64) as usize];
    let balance = any_balance(&mut d);
    let loud_db = 20.0 * balance.loudness.log10();
    let white = Noise::White { rms_db: loud_db - d.between(36.0, 50.0) };
    let room_noise = [
        Noise::White { rms_db: loud_db - d.between(26.0, 38.0) },
        Noise::Pink { rms_db: loud_db - d.between(22.0, 34.0) },
    ];
    let hum = Noise::Hum(Hum {
        mains_hz: d.pick(&[50.0, 60.0]),
        rms_db: loud_db - d.between(6.0, 26.0),
        harmonics: 1 + (d.word() % 12) as u32,
    });
    let knocks = Noise::Knocks(Knocks {
        per_minute: d.between(4.0, 20.0),
        peak_db: loud_db + d.between(-6.0, 6.0),
    });
    let low_deg = d.between(150.0, 180.0);
    let dull = Voice::new(VoiceFamily::Dull, d.word());
    let room = Room { tail_s: d.between(0.25, 0.8), wet_db: d.between(-9.0, 0.0) };
    let duration_s = d.between(20.0, 60.0).round();
    let of = |balance: Balance, noises: &[Noise], seed: u64| Scenario {
        balances: vec![balance],
        noises: noises.to_vec(),
        duration_s,
        ..Scenario::new(seed)
    };
    let seed = d.word();
    let with_white = |noise: Noise| [white.clone(), noise];
    let scenario = match hardship {
        Hardship::RoomNoise => of(balance, &room_noise, seed),
        Hardship::Hum => of(balance, &with_white(hum), seed),
        Hardship::Knocks => of(balance, &with_white(knocks), seed),
        Hardship::LowAmplitude => of(Balance { amplitude_deg: low_deg, ..balance }, &[white], seed),
        Hardship::Dull => of(Balance { voice: dull, ..balance }, &[white], seed),
        Hardship::Reverberation => of(balance, &[white], seed).with_room(room),
        Hardship::All => {
            let [hiss, rumble] = room_noise;
            of(balance, &[hiss, rumble, hum, knocks], seed)
        }
    };
    Recording::new(hardship.name(), scenario)
}

/// The kinds of `poor`, in the order of the seeds.
pub(crate) const POOR_KINDS: [&str; 4] = ["hiss", "hiss and knocks", "room", "room and knocks"];

/// One balance whose lesser shocks hardly stand out of the noise: 18,000 to 28,800 beats an hour,
/// amplitude 180 to 310 degrees, the loudest shock 10 to 26 dB above the noise as a whole. The seed's
/// remainder by four says of what kind that is. 20 to 60 s.
pub(crate) fn poor(seed: u64) -> Recording {
    let mut d = Draws::new("poor", seed);
    let kind = POOR_KINDS[(seed % POOR_KINDS.len() as u64) as usize];
    let balance = Balance {
        beats_per_hour: f64::from(d.pick(&[18_000, 19_800, 21_600, 25_200, 28_800])),
        amplitude_deg: d.between(180.0, 310.0),
        ..any_balance(&mut d)
    };
    let loud_db = 20.0 * balance.loudness.log10();
    let below_db = d.between(10.0, 26.0);
    let mut noises = vec![Noise::White { rms_db: loud_db - below_db }];
    if kind.starts_with("room") {
        noises = vec![
            Noise::White { rms_db: loud_db - below_db - d.between(4.0, 12.0) },
            Noise::Pink { rms_db: loud_db - below_db - d.between(-4.0, 4.0) },
        ];
    }
    if kind.ends_with("knocks") {
        noises.push(Noise::Knocks(Knocks {
            per_minute: d.between(10.0, 60.0),
            peak_db: loud_db + d.between(-6.0, 12.0),
        }));
    }
    let scenario = Scenario {
        balances: vec![balance],
        noises,
        duration_s: d.between(20.0, 60.0).round(),
        ..Scenario::new(d.word())
    };
    Recording::new(kind, scenario)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_can_be_laid_down() {
        for seed in 0..300 {
            for recording in [one(seed), hard(seed), poor(seed)] {
                assert_eq!(recording.scenario.check(), Ok(()), "seed {seed}");
            }
        }
    }

    #[test]
    fn every_hardship_has_its_turn() {
        let kinds: Vec<&str> = (0..7).map(|seed| hard(seed).kind).collect();
        assert_eq!(kinds, hard_kinds());
    }
}
