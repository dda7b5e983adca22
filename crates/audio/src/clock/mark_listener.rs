use super::intake::Intake;
use super::marks::Mark;
use quantities::SampleRate;
use signal::{Symmetric, power_envelope, robust};
use thiserror::Error;

/// Where in a recording a sharp sound is to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarkPlace {
    /// About when, recorder's seconds from the first sample, as one reads it off a player.
    pub near_s: f64,
    /// How far off that may be, seconds, up to 30. The sharpest rise within is taken, so where
    /// several like sounds follow each other (the pips of a time signal), less than half of what
    /// lies between them.
    pub within_s: f64,
}

/// A sharp sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundMark {
    /// When it sets in, recorder's seconds from the first sample.
    pub recorder_s: f64,
    /// One standard deviation of that, seconds, from how steeply it rises.
    pub sd_s: f64,
    /// How far it rises above what was before, dB.
    pub rise_db: f64,
}

impl FoundMark {
    /// As a mark for [`super::error_from_marks`]: it truly came at `true_s`, which is known to one
    /// standard deviation `sd_s`.
    #[must_use]
    pub fn at_true(self, true_s: f64, sd_s: f64) -> Mark {
        Mark { recorder_s: self.recorder_s, true_s, sd_s: self.sd_s.hypot(sd_s) }
    }
}

/// Why a mark was not found.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MarkNotFound {
    /// A place that cannot be searched.
    #[error(
        "{near_s} s ± {within_s} s cannot be searched for a mark: give a time from the start of \
         the recording and at most 30 s to either side."
    )]
    BadPlace {
        /// As given.
        near_s: f64,
        /// As given.
        within_s: f64,
    },
    /// The recording ends before it.
    #[error("The recording ends before {near_s} s, where a mark was to be found.")]
    BeyondEnd {
        /// As given.
        near_s: f64,
    },
    /// Nothing stands out.
    #[error(
        "No sharp sound is heard within {within_s} s of {near_s} s: set the mark with something \
         louder or say more exactly where it is."
    )]
    Nothing {
        /// As given.
        near_s: f64,
        /// As given.
        within_s: f64,
    },
}

/// Longest reach to either side of a place, seconds.
const LONGEST_REACH_S: f64 = 30.0;
/// Bands that a rise is looked for in, Hz: a clap stands out of a room's rumble in another than a
/// pip out of hiss.
const BANDS_HZ: [(f64, f64); 3] = [(300.0, 1_200.0), (1_200.0, 4_800.0), (4_800.0, 19_200.0)];
/// Length of the filters for them, seconds.
const FILTER_S: f64 = 0.005;
/// How much the starts that different bands give of one sound differ, one standard deviation (seen
/// in simulated sounds).
const BANDS_DIFFER_S: f64 = 0.000_08;
/// A value of the loudness that rises are looked for in, seconds.
const CELL_S: f64 = 0.000_125;
/// What was before, and what comes after, when a rise is judged, seconds.
const BEFORE_S: f64 = 0.05;
const AFTER_S: f64 = 0.005;
/// Least rise of a mark, dB: noise averaged over [`AFTER_S`] does not come near it.
const LEAST_RISE_DB: f64 = 12.0;
/// Sound starts at this part of the power that it reaches in [`AFTER_S`], and is surely there at
/// that part: the rise between them is what the time is uncertain by.
const STARTS: f32 = 0.05;
const SURELY: f32 = 0.5;

/// Finds sharp sounds (a clap, a pip, a knock) in a recording, block by block. Several channels are
/// mixed. Memory holds no more than what lies within the places that are being passed.
pub struct MarkListener {
    intake: Intake,
    places: Vec<MarkPlace>,
    found: Vec<Option<Result<FoundMark, MarkNotFound>>>,
    buffer: Vec<f32>,
    from: u64,
}

impl MarkListener {
    /// For interleaved samples of so many channels (0 counts as 1) at a nominal rate.
    #[must_use]
    pub fn new(rate: SampleRate, channels: usize, places: &[MarkPlace]) -> Self {
        // So small a budget that one channel fits: the mean of all.
        let budget = (2.0 * LONGEST_REACH_S * 48_000.0) as usize;
        let intake = Intake::new(rate.hz(), channels, 2.0 * LONGEST_REACH_S, budget);
        let found = places
            .iter()
            .map(|&MarkPlace { near_s, within_s }| {
                let good =
                    (0.0..=1e10).contains(&near_s) && within_s > 0.0 && within_s <= LONGEST_REACH_S;
                (!good).then_some(Err(MarkNotFound::BadPlace { near_s, within_s }))
            })
            .collect();
        Self { intake, places: places.to_vec(), found, buffer: Vec::new(), from: 0 }
    }

    /// Takes in the next block. What is not a finite number counts as silence.
    pub fn push(&mut self, interleaved: &[f32]) {
        let (rate_hz, delay_s) = (self.intake.rate_hz(), self.intake.delay_s());
        let Self { intake, places, found, buffer, from } = self;
        intake.push(interleaved, |planes| {
            buffer.extend_from_slice(planes.first().map_or(&[], Vec::as_slice));
            let end_s = (*from + buffer.len() as u64) as f64 / rate_hz - delay_s;
            let mut needed_s = f64::INFINITY;
            for (place, found) in places.iter().zip(found.iter_mut()) {
                if found.is_some() {
                    continue;
                }
                if place.near_s + place.within_s + 2.0 * BEFORE_S < end_s {
                    *found = Some(search(buffer, *from, rate_hz, delay_s, place));
                } else {
                    needed_s = needed_s.min(place.near_s - place.within_s - 2.0 * BEFORE_S);
                }
            }
            let end = *from + buffer.len() as u64;
            let needed = ((needed_s + delay_s).max(0.0) * rate_hz).min(end as f64) as u64;
            let idle = needed.saturating_sub(*from) as usize;
            // In large pieces, so that moving the rest costs little.
            if 2 * idle >= buffer.len() {
                buffer.drain(..idle.min(buffer.len()));
                *from += idle as u64;
            }
        });
    }

    /// What was found at each place, in their order, after the last block.
    #[must_use]
    pub fn finish(self) -> Vec<Result<FoundMark, MarkNotFound>> {
        let (rate_hz, delay_s) = (self.intake.rate_hz(), self.intake.delay_s());
        let end_s = (self.from + self.buffer.len() as u64) as f64 / rate_hz - delay_s;
        self.places
            .iter()
            .zip(self.found)
            .map(|(place, found)| match found {
                Some(found) => found,
                None if place.near_s - place.within_s >= end_s => {
                    Err(MarkNotFound::BeyondEnd { near_s: place.near_s })
                }
                None => search(&self.buffer, self.from, rate_hz, delay_s, place),
            })
            .collect()
    }
}

/// Finds the sharpest rise at a place; `buffer` begins `from` working samples into the recording.
fn search(
    buffer: &[f32],
    from: u64,
    rate_hz: f64,
    delay_s: f64,
    place: &MarkPlace,
) -> Result<FoundMark, MarkNotFound> {
    let MarkPlace { near_s, within_s } = *place;
    let nothing = MarkNotFound::Nothing { near_s, within_s };
    let at = |s: f64| (((s + delay_s) * rate_hz).max(0.0) as u64).saturating_sub(from) as usize;
    let first = at(near_s - within_s - 2.0 * BEFORE_S).min(buffer.len());
    let last = at(near_s + within_s + 2.0 * BEFORE_S).min(buffer.len());
    let cell = ((CELL_S * rate_hz).round() as usize).max(1);
    let part = &buffer[first..last];
    let part_s = (from + first as u64) as f64 / rate_hz - delay_s;
    BANDS_HZ
        .into_iter()
        .filter(|(low_hz, _)| *low_hz < 0.3 * rate_hz)
        .filter_map(|band_hz| {
            let found = search_band(part, rate_hz, band_hz, cell, near_s - part_s, within_s)?;
            Some(FoundMark { recorder_s: found.recorder_s + part_s, ..found })
        })
        .max_by(|a, b| a.rise_db.total_cmp(&b.rise_db))
        .filter(|found| found.rise_db >= LEAST_RISE_DB)
        .ok_or(nothing)
}

/// The sharpest rise in one band within `within_s` of `near_s`; times from the start of `part`.
fn search_band(
    part: &[f32],
    rate_hz: f64,
    (low_hz, high_hz): (f64, f64),
    cell: usize,
    near_s: f64,
    within_s: f64,
) -> Option<FoundMark> {
    const STEPS: usize = 256;
    let magnitude: Vec<f64> = (0..=STEPS)
        .map(|k| k as f64 / STEPS as f64 * rate_hz / 2.0)
        .map(|hz| f64::from(u8::from((low_hz..=high_hz).contains(&hz))))
        .collect();
    let band = Symmetric::with_magnitude(&magnitude, (FILTER_S * rate_hz) as usize);
    let mut sound = Vec::new();
    band.apply(part, &mut sound);
    let mut power = Vec::new();
    power_envelope(&sound, cell, &mut power);
    let cell_s = cell as f64 / rate_hz;
    let (before, after) = ((BEFORE_S / cell_s) as usize, (AFTER_S / cell_s) as usize);
    // What lies at the very ends has met the filter's edge.
    let ends = (FILTER_S / cell_s) as usize;
    let (index, rise_db) = sharpest_rise(&power, before, after, |i| {
        (i as f64 * cell_s - near_s).abs() <= within_s + AFTER_S
            && (ends..power.len().saturating_sub(ends)).contains(&i)
    })?;
    let loud = &power[index..(index + 2 * after).min(power.len())];
    let peak = loud.iter().fold(0.0f32, |a, &b| a.max(b));
    let floor = middle(&power[index.saturating_sub(before)..index]);
    let rises_to = |part: f32| {
        let level = floor + part * (peak - floor);
        // Where between two cells the level is crossed.
        loud.iter().position(|&p| p >= level).map(|i| {
            let (low, high) = (if i > 0 { loud[i - 1] } else { floor }, loud[i]);
            let part = if high > low { f64::from((level - low) / (high - low)) } else { 0.5 };
            i as f64 - 1.0 + part.clamp(0.0, 1.0)
        })
    };
    let (starts, surely) = (rises_to(STARTS)?, rises_to(SURELY)?);
    // Somewhere in the rise, as likely here as there (JCGM 100:2008, 4.3.7); a cell at least. And
    // no band tells times apart that are closer than a part of one over its width.
    let rise_s = (surely - starts).max(1.0) * cell_s / 12.0_f64.sqrt();
    let width_s = (0.25 / (high_hz.min(0.5 * rate_hz) - low_hz)).hypot(BANDS_DIFFER_S);
    // A value of the envelope is of a box of two cells: the sound begins at its far end.
    let recorder_s = (index as f64 + starts + 1.0) * cell_s;
    Some(FoundMark { recorder_s, sd_s: rise_s.hypot(width_s), rise_db })
}

/// The index just before the greatest rise of power, and its height in dB.
fn sharpest_rise(
    power: &[f32],
    before: usize,
    after: usize,
    wanted: impl Fn(usize) -> bool,
) -> Option<(usize, f64)> {
    let loudest = power.iter().fold(0.0f32, |a, &b| a.max(b));
    if loudest <= 0.0 {
        return None;
    }
    // What is silent before would make any whisper a rise without bound.
    let least = loudest * 1e-8;
    let mean = |part: &[f32]| part.iter().sum::<f32>() / part.len().max(1) as f32;
    (1..power.len())
        .filter(|&i| wanted(i))
        .filter_map(|i| {
            let was = &power[i.saturating_sub(before)..i];
            let comes = power.get(i..(i + after).min(power.len())).filter(|p| !p.is_empty())?;
            // Loudness counts as well as steepness: what rises from a whisper to a whisper is no
            // mark. Both in dB.
            let (was, comes) = (mean(was).max(least), mean(comes).max(least));
            let rise = 10.0 * f64::from(comes / was).log10();
            let loud = 10.0 * f64::from(comes / loudest).log10();
            Some((i, rise, rise + loud))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(i, rise, _)| (i.saturating_sub(4), rise))
}

fn middle(values: &[f32]) -> f32 {
    let values: Vec<f64> = values.iter().map(|&v| f64::from(v)).collect();
    robust::median(&values).unwrap_or(0.0) as f32
}
