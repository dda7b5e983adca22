use super::{Speech, amplitude_of_db};
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::{PI, TAU};

/// A source-and-filter speaker: a glottal pulse train through three formants for vowels, noise
/// through one resonance for consonants. The formant ranges are those of vowels in G. E.
/// Peterson, H. L. Barney, "Control methods used in a study of the vowels", J. Acoust. Soc. Am.
/// 24 (1952), rounded; the rest is common practice, no published source.
pub(super) struct SpeechSource {
    speaker: Speaker,
    gain: f64,
}

/// Seconds of speech from which its loudness is taken.
const LISTEN_S: f64 = 12.0;

impl SpeechSource {
    pub(super) fn new(speech: &Speech, seed: u64, place: u64, sample_rate_hz: f64) -> Self {
        let draws = Draws::keyed(seed, Purpose::Noise, place, 0);
        let speaker = Speaker::new(speech.pitch_hz, draws, sample_rate_hz);
        let mut trial = speaker.clone();
        let samples = (LISTEN_S * sample_rate_hz) as usize;
        let energy: f64 = (0..samples).map(|_| trial.step()).map(|v| v * v).sum();
        let rms = (energy / samples as f64).sqrt();
        Self { speaker, gain: amplitude_of_db(speech.rms_db) / rms.max(1e-12) }
    }
}

impl Source for SpeechSource {
    fn lay(&mut self, mix: &mut Mix) {
        let mut wave = vec![0.0; mix.chunk_mut(0).len()];
        for value in &mut wave {
            *value = self.gain * self.speaker.step();
        }
        for channel in 0..mix.channels() {
            for (sum, value) in mix.chunk_mut(channel).iter_mut().zip(&wave) {
                *sum += value;
            }
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Sounding {
    Pause,
    Consonant,
    Vowel,
}

#[derive(Clone)]
struct Speaker {
    draws: Draws,
    sample_rate_hz: f64,
    pitch_hz: f64,
    /// Syllables a second.
    pace: f64,
    sounding: Sounding,
    samples_left: u64,
    syllables_left: u64,
    level: f64,
    target_level: f64,
    level_per_sample: f64,
    syllable_pitch_hz: f64,
    glide_per_sample: f64,
    glottis: f64,
    last_flow: f64,
    formants: [Resonance; 3],
    hiss: Resonance,
}

impl Speaker {
    fn new(pitch_hz: f64, mut draws: Draws, sample_rate_hz: f64) -> Self {
        let pace = draws.between(3.0, 5.5);
        let mut speaker = Self {
            draws,
            sample_rate_hz,
            pitch_hz,
            pace,
            sounding: Sounding::Pause,
            samples_left: 0,
            syllables_left: 0,
            level: 0.0,
            target_level: 0.0,
            level_per_sample: 1.0 - libm::exp(-1.0 / (0.012 * sample_rate_hz)),
            syllable_pitch_hz: pitch_hz,
            glide_per_sample: 1.0,
            glottis: 0.0,
            last_flow: 0.0,
            formants: [Resonance::default(); 3],
            hiss: Resonance::default(),
        };
        speaker.samples_left = speaker.samples(0.3);
        speaker
    }

    fn samples(&mut self, mean_s: f64) -> u64 {
        (mean_s * self.draws.between(0.6, 1.5) * self.sample_rate_hz) as u64 + 1
    }

    /// Goes on to the next pause, consonant or vowel.
    fn next_sound(&mut self) {
        let syllable_s = 1.0 / self.pace;
        if self.sounding == Sounding::Consonant {
            self.begin_vowel(0.65 * syllable_s);
        } else if self.syllables_left == 0 {
            self.sounding = Sounding::Pause;
            self.target_level = 0.0;
            self.samples_left = self.samples(0.6);
            self.syllables_left = 2 + self.draws.below(11);
        } else {
            self.syllables_left -= 1;
            if self.draws.chance(0.75) {
                self.begin_consonant(0.3 * syllable_s);
            } else {
                self.begin_vowel(0.8 * syllable_s);
            }
        }
    }

    fn begin_consonant(&mut self, mean_s: f64) {
        self.sounding = Sounding::Consonant;
        self.target_level = self.draws.between(0.08, 0.4);
        let centre = self.draws.between_by_ratio(1_800.0, 7_500.0);
        self.hiss = Resonance::new(centre, 0.4 * centre, self.sample_rate_hz);
        // Plosives set in at once, fricatives swell.
        if self.draws.chance(0.4) {
            self.level = 1.5 * self.target_level;
            self.target_level *= 0.2;
        }
        self.samples_left = self.samples(mean_s);
    }

    fn begin_vowel(&mut self, mean_s: f64) {
        self.sounding = Sounding::Vowel;
        self.target_level = self.draws.between(0.5, 1.0);
        let rate = self.sample_rate_hz;
        let places = [
            (self.draws.between(270.0, 850.0), 70.0),
            (self.draws.between(850.0, 2_300.0), 100.0),
            (self.draws.between(2_350.0, 3_100.0), 150.0),
        ];
        for (formant, (centre, width)) in self.formants.iter_mut().zip(places) {
            formant.retune(centre, width, rate);
        }
        self.samples_left = self.samples(mean_s);
        self.syllable_pitch_hz = self.pitch_hz * self.draws.between(0.85, 1.25);
        let turn = self.draws.between(0.8, 1.1);
        self.glide_per_sample = libm::exp(libm::log(turn) / self.samples_left as f64);
    }

    fn step(&mut self) -> f64 {
        if self.samples_left == 0 {
            self.next_sound();
        }
        self.samples_left -= 1;
        self.level += self.level_per_sample * (self.target_level - self.level);
        match self.sounding {
            Sounding::Pause => self.formants_ring(0.0) * self.level,
            Sounding::Consonant => {
                let noise = self.draws.normal();
                self.hiss.step(noise) * self.level + 0.2 * self.formants_ring(0.0) * self.level
            }
            Sounding::Vowel => {
                let flow = self.flow();
                self.formants_ring(flow) * self.level
            }
        }
    }

    fn formants_ring(&mut self, source: f64) -> f64 {
        let weights = [1.0, 0.6, 0.3];
        self.formants.iter_mut().zip(weights).map(|(f, w)| w * f.step(source)).sum()
    }

    /// Change of the air flow through the glottis: opens slowly, shuts quickly, stays shut, with
    /// a little breath in it (the pulse of A. E. Rosenberg, J. Acoust. Soc. Am. 49, 1971).
    fn flow(&mut self) -> f64 {
        self.syllable_pitch_hz *= self.glide_per_sample;
        self.glottis += self.syllable_pitch_hz / self.sample_rate_hz;
        if self.glottis >= 1.0 {
            self.glottis -= 1.0;
            // Cycles differ by about a hundredth.
            self.syllable_pitch_hz *= 1.0 + 0.01 * self.draws.normal();
        }
        let (opening, closing) = (0.4, 0.16);
        let p = self.glottis;
        let flow = if p < opening {
            let u = p / opening;
            u * u * (3.0 - 2.0 * u)
        } else if p < opening + closing {
            let u = (p - opening) / closing;
            1.0 - u * u
        } else {
            0.0
        };
        let change = flow - self.last_flow;
        self.last_flow = flow;
        change * self.sample_rate_hz / (TAU * self.pitch_hz) + 0.02 * self.draws.normal()
    }
}

/// A resonance of second order with unit gain at its centre, roughly.
#[derive(Clone, Copy, Default)]
struct Resonance {
    a1: f64,
    a2: f64,
    gain: f64,
    y1: f64,
    y2: f64,
}

impl Resonance {
    fn new(centre_hz: f64, width_hz: f64, sample_rate_hz: f64) -> Self {
        let mut resonance = Self::default();
        resonance.retune(centre_hz, width_hz, sample_rate_hz);
        resonance
    }

    fn retune(&mut self, centre_hz: f64, width_hz: f64, sample_rate_hz: f64) {
        let centre_hz = centre_hz.min(0.45 * sample_rate_hz);
        let radius = libm::exp(-PI * width_hz / sample_rate_hz);
        let angle = TAU * centre_hz / sample_rate_hz;
        self.a1 = 2.0 * radius * libm::cos(angle);
        self.a2 = -radius * radius;
        self.gain = (1.0 - radius) * 2.0 * libm::sin(angle).max(0.05);
    }

    fn step(&mut self, x: f64) -> f64 {
        let y = self.gain * x + self.a1 * self.y1 + self.a2 * self.y2;
        // Keeps the ringing out of the slow denormal range.
        let y = if y.abs() < 1e-30 { 0.0 } else { y };
        self.y2 = self.y1;
        self.y1 = y;
        y
    }
}
