use super::{Music, amplitude_of_db};
use crate::burst::{Burst, Partial, ReadyBurst};
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::TAU;

/// A small band: chords change with the bar, a tune walks over them, drums keep a pattern of
/// sixteenths that is drawn once.
pub(super) struct MusicSource {
    sixteenth_s: f64,
    timing_sd_s: f64,
    notes_peak: f64,
    drums_peak: f64,
    offset_s: f64,
    pattern: [Strokes; 16],
    chords: [[f64; 3]; 4],
    tune_step: i64,
    seed: u64,
    place: u64,
    next: u64,
    hit: Vec<f64>,
}

/// Which drums sound on a sixteenth, and how loud (0: not).
#[derive(Clone, Copy, Default)]
struct Strokes {
    low: f64,
    snare: f64,
    cymbal: f64,
}

/// Semitones of the major scale above its key note.
const SCALE: [i64; 7] = [0, 2, 4, 5, 7, 9, 11];

/// Equal temperament: a semitone is the twelfth root of two.
fn semitones_up(from_hz: f64, semitones: i64) -> f64 {
    from_hz * libm::pow(2.0, semitones as f64 / 12.0)
}

fn scale_hz(key_hz: f64, step: i64) -> f64 {
    let octave = step.div_euclid(7);
    semitones_up(key_hz, 12 * octave + SCALE[step.rem_euclid(7) as usize])
}

impl MusicSource {
    pub(super) fn new(music: &Music, seed: u64, place: u64) -> Self {
        let mut draws = Draws::keyed(seed, Purpose::Noise, place, 0);
        let key_hz = semitones_up(110.0, draws.below(12) as i64);
        let mut pattern = [Strokes::default(); 16];
        let cymbal_every = draws.pick(&[1, 2, 2, 4]);
        for (i, strokes) in pattern.iter_mut().enumerate() {
            let on_quarter = i % 4 == 0;
            if i % 8 == 0 || draws.chance(0.12) {
                strokes.low = draws.between(0.7, 1.0);
            }
            if i % 8 == 4 || draws.chance(0.05) {
                strokes.snare = draws.between(0.5, 0.9);
            }
            if i % cymbal_every == 0 {
                strokes.cymbal = if on_quarter { 0.4 } else { 0.25 } * draws.between(0.8, 1.2);
            }
        }
        let mut chords = [[0.0; 3]; 4];
        for chord in &mut chords {
            let root = draws.pick(&[0, 3, 4, 5]);
            *chord = [0, 2, 4].map(|third| scale_hz(key_hz, root + third));
        }
        Self {
            sixteenth_s: 15.0 / music.tempo_per_minute,
            timing_sd_s: music.timing_sd_ms * 1e-3,
            notes_peak: amplitude_of_db(music.notes_peak_db),
            drums_peak: amplitude_of_db(music.drums_peak_db),
            offset_s: draws.between(0.05, 1.0),
            pattern,
            chords,
            tune_step: 7,
            seed,
            place,
            next: 0,
            hit: Vec::new(),
        }
    }

    fn play(&mut self, number: u64, mix: &mut Mix) {
        let mut draws = Draws::keyed(self.seed, Purpose::Event, self.place, number);
        let even_s = self.offset_s + number as f64 * self.sixteenth_s;
        // Held at three deviations, and late only: what is drawn now must not lie in the past.
        let sd = self.timing_sd_s;
        let late = |draws: &mut Draws| even_s + sd * (3.0 + draws.normal().clamp(-3.0, 3.0));
        let strokes = self.pattern[(number % 16) as usize];
        if strokes.low > 0.0 {
            let at = late(&mut draws);
            low_drum(&mut draws, mix, at, self.drums_peak * strokes.low);
        }
        if strokes.snare > 0.0 {
            let at = late(&mut draws);
            let peak = self.drums_peak * strokes.snare;
            rattle(&mut self.hit, &mut draws, mix, at, peak, 2_500.0, 0.07);
        }
        if strokes.cymbal > 0.0 {
            let at = late(&mut draws);
            let peak = self.drums_peak * strokes.cymbal;
            rattle(&mut self.hit, &mut draws, mix, at, peak, 9_000.0, 0.03);
        }
        let bar = (number / 16) as usize;
        if number.is_multiple_of(16) {
            for frequency_hz in self.chords[bar % 4] {
                let at = late(&mut draws);
                note(&mut draws, mix, at, frequency_hz, 0.45 * self.notes_peak, 0.5);
            }
        }
        if number.is_multiple_of(2) && draws.chance(0.7) {
            self.tune_step = (self.tune_step + draws.below(5) as i64 - 2).clamp(4, 16);
            let root_hz = self.chords[bar % 4][0];
            let at = late(&mut draws);
            let peak = self.notes_peak * draws.between(0.6, 1.0);
            note(&mut draws, mix, at, scale_hz(root_hz, self.tune_step), peak, 0.2);
        }
    }
}

impl Source for MusicSource {
    fn lay(&mut self, mix: &mut Mix) {
        while self.offset_s + self.next as f64 * self.sixteenth_s < mix.chunk_end_s() {
            self.play(self.next, mix);
            self.next += 1;
        }
    }
}

fn strike(burst: &mut Burst, mix: &mut Mix, at_s: f64, peak: f64) {
    let own = burst.peak();
    burst.scale(peak / own);
    mix.strike(at_s, &ReadyBurst::new(burst, mix.sample_rate_hz()), 1.0, &[], None);
}

/// A tone with seven harmonics, higher ones softer and sooner gone.
fn note(draws: &mut Draws, mix: &mut Mix, at_s: f64, hz: f64, peak: f64, decay_s: f64) {
    let partials = (1..=7)
        .map(|k| {
            let k = f64::from(k);
            Partial {
                frequency_hz: hz * k,
                decay_s: decay_s / k.sqrt(),
                amplitude: draws.between(0.4, 1.0) / k,
                phase: draws.between(0.0, TAU),
            }
        })
        .collect();
    strike(&mut Burst { rise_s: draws.between(2e-3, 8e-3), partials }, mix, at_s, peak);
}

fn low_drum(draws: &mut Draws, mix: &mut Mix, at_s: f64, peak: f64) {
    let partials = [(52.0, 0.09, 1.0), (95.0, 0.05, 0.6), (1_800.0, 0.003, 0.25)]
        .map(|(hz, decay_s, amplitude)| Partial {
            frequency_hz: hz * draws.between(0.98, 1.02),
            decay_s,
            amplitude,
            phase: draws.between(0.0, 0.5),
        })
        .to_vec();
    strike(&mut Burst { rise_s: 0.6e-3, partials }, mix, at_s, peak);
}

/// Noise about a middle frequency that dies away: a snare, a cymbal. New noise each time.
fn rattle(
    hit: &mut Vec<f64>,
    draws: &mut Draws,
    mix: &mut Mix,
    at_s: f64,
    peak: f64,
    middle_hz: f64,
    decay_s: f64,
) {
    let rate = mix.sample_rate_hz();
    // A resonance of second order, as wide as two thirds of its middle frequency, driven by
    // white noise: variance of an AR(2) process (Box, Jenkins, *Time Series Analysis*, 3.2).
    let middle_hz = middle_hz.min(0.4 * rate);
    let radius = libm::exp(-std::f64::consts::PI * 0.66 * middle_hz / rate);
    let a1 = 2.0 * radius * libm::cos(TAU * middle_hz / rate);
    let a2 = -radius * radius;
    let variance = (1.0 - a2) / ((1.0 + a2) * ((1.0 - a2) * (1.0 - a2) - a1 * a1));
    // Such noise peaks at about three times its rms.
    let gain = peak / (3.0 * variance.sqrt());
    let length = (9.0 * decay_s * rate) as usize;
    let fall = libm::exp(-1.0 / (decay_s * rate));
    let (mut y1, mut y2, mut size) = (0.0, 0.0, gain);
    hit.clear();
    hit.extend((0..length).map(|_| {
        let y = draws.normal() + a1 * y1 + a2 * y2;
        y2 = y1;
        y1 = y;
        size *= fall;
        size * y
    }));
    let (frame, _) = mix.place(at_s);
    for channel in 0..mix.channels() {
        mix.add(channel, frame, hit, 1.0);
    }
}
