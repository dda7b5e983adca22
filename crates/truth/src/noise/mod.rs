//! Everything heard that is not a watch.

mod events;
mod hum;
mod music;
mod pink;
mod speech;
mod white;

use crate::mix::Source;
use crate::scenario::Scenario;

/// A noise. Levels are decibels against full scale: `20 log10(rms)` for steady noises,
/// `20 log10(peak)` of a typical event for the others; a balance of loudness 0.5 peaks at −6 dB.
#[derive(Debug, Clone, PartialEq)]
pub enum Noise {
    /// White noise, as a recorder's input makes; each channel has its own.
    White {
        /// Level, dB of the rms from 0 Hz to half the sample rate.
        rms_db: f64,
    },
    /// Pink noise (equal power in every octave), as a room makes; each channel has its own.
    Pink {
        /// Level, dB of the rms.
        rms_db: f64,
    },
    /// Mains hum.
    Hum(Hum),
    /// Knocks on the bench.
    Knocks(Knocks),
    /// Clicks at random.
    Clicks(Clicks),
    /// Speech-like sound.
    Speech(Speech),
    /// Music-like sound.
    Music(Music),
}

/// Mains hum with harmonics; the mains wander a little, as they do.
#[derive(Debug, Clone, PartialEq)]
pub struct Hum {
    /// 50 or 60, against true time, Hz.
    pub mains_hz: f64,
    /// Level of all of it, dB of the rms.
    pub rms_db: f64,
    /// Number of harmonics, the mains frequency itself included, 1 to 40.
    pub harmonics: u32,
}

/// Knocks on the bench: low dull thumps with some rattle, at random times.
#[derive(Debug, Clone, PartialEq)]
pub struct Knocks {
    /// How many a minute on average.
    pub per_minute: f64,
    /// Peak of a typical knock, dB; they vary by some 6 dB.
    pub peak_db: f64,
}

/// Short clicks at random times, each different.
#[derive(Debug, Clone, PartialEq)]
pub struct Clicks {
    /// How many a minute on average.
    pub per_minute: f64,
    /// Peak of a typical click, dB; they vary by some 6 dB.
    pub peak_db: f64,
}

/// Speech-like sound: syllables of voiced vowels with pitch and formants and unvoiced
/// consonants, in phrases with pauses between.
#[derive(Debug, Clone, PartialEq)]
pub struct Speech {
    /// Level, dB of the rms, pauses included.
    pub rms_db: f64,
    /// Middle pitch of the speaker, Hz.
    pub pitch_hz: f64,
}

/// Music-like sound: chords, a tune and drums on a steady tempo.
#[derive(Debug, Clone, PartialEq)]
pub struct Music {
    /// Quarter notes a minute, against true time.
    pub tempo_per_minute: f64,
    /// Spread of each note's and each drum's time, ms; 0 for a machine.
    pub timing_sd_ms: f64,
    /// Peak of a loud note, dB.
    pub notes_peak_db: f64,
    /// Peak of the loudest drum, dB.
    pub drums_peak_db: f64,
}

impl Noise {
    /// Whether it sounds in the room, and so is followed by the room's tail.
    pub(crate) fn sounds_in_the_room(&self) -> bool {
        matches!(self, Self::Knocks(_) | Self::Clicks(_) | Self::Speech(_) | Self::Music(_))
    }
}

/// What lays this noise, the `place`th of the scenario, into the mix.
pub(crate) fn source(noise: &Noise, scenario: &Scenario, place: u64) -> Box<dyn Source> {
    let (seed, channels) = (scenario.seed, scenario.channels);
    let rate = scenario.true_sample_rate_hz();
    match noise {
        Noise::White { rms_db } => Box::new(white::White::new(*rms_db, seed, place, channels)),
        Noise::Pink { rms_db } => Box::new(pink::Pink::new(*rms_db, seed, place, channels, rate)),
        Noise::Hum(hum) => Box::new(hum::HumSource::new(hum, seed, place)),
        Noise::Knocks(k) => Box::new(events::Events::knocks(k, seed, place)),
        Noise::Clicks(c) => Box::new(events::Events::clicks(c, seed, place)),
        Noise::Speech(s) => Box::new(speech::SpeechSource::new(s, seed, place, rate)),
        Noise::Music(m) => Box::new(music::MusicSource::new(m, seed, place)),
    }
}

/// Amplitude of a level in decibels.
pub(crate) fn amplitude_of_db(db: f64) -> f64 {
    libm::pow(10.0, db / 20.0)
}
