//! When something beats: a stretch is cut where a watch starts or stops.
//!
//! What follows works with medians over all beats of a stretch, so it hears a watch that runs for
//! less than half of it badly or not at all. Between the cuts everything runs throughout.

use std::ops::Range;

/// Time is looked at in pieces of at least this length ...
const PIECE_S: f64 = 2.0;
/// ... and of at least so many repetitions ...
const PIECE_TURNS: f64 = 6.0;
/// ... every so often.
const STEP_S: f64 = 1.0;
/// Phase is told apart to this, seconds.
const BIN_S: f64 = 2.7e-3;
/// A watch is silent where its beats stand lower than this share of how high they stand elsewhere.
/// In the noise of a watch that can hardly be heard nothing is ever this low, so it is not cut.
const SILENT_SHARE: f32 = 0.3;
/// How high they stand elsewhere is taken from so many pieces down from the highest: knocks.
const NOT_THE_HIGHEST: usize = 2;
/// Silences of fewer pieces are none, and so are runs.
const LEAST_PIECES: usize = 2;
/// Sections shorter than this are joined to a neighbour, seconds.
const LEAST_SECTION_S: f64 = 3.0;
/// Sections overlap by this, so that no beat is lost at a cut, seconds.
const OVERLAP_S: f64 = 1.0;

/// When a repetition is heard in a series of loudness: times in seconds from its start, in order.
/// Never empty: where nothing can be told it is the whole.
pub(crate) fn active(loudness: &[f32], rate_hz: f64, frequency_hz: f64) -> Vec<Range<f64>> {
    let duration_s = loudness.len() as f64 / rate_hz;
    let whole = 0.0..duration_s;
    let piece_s = PIECE_S.max(PIECE_TURNS / frequency_hz);
    if duration_s < 3.0 * piece_s {
        return vec![whole];
    }
    let pieces = ((duration_s - piece_s) / STEP_S) as usize + 1;
    let length = (piece_s * rate_hz) as usize;
    let heights: Vec<f32> = (0..pieces)
        .map(|k| {
            let from = (k as f64 * STEP_S * rate_hz) as usize;
            let to = (from + length).min(loudness.len());
            height(&loudness[from..to], rate_hz, frequency_hz)
        })
        .collect();
    let mut sorted = heights.clone();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let least = SILENT_SHARE * sorted[NOT_THE_HIGHEST.min(sorted.len() - 1)];
    let mut heard: Vec<bool> = heights.iter().map(|h| *h >= least).collect();
    flip_short(&mut heard, false);
    flip_short(&mut heard, true);
    let mut times: Vec<Range<f64>> = Vec::new();
    let mut k = 0;
    while k < pieces {
        let from = k;
        while k < pieces && heard[k] == heard[from] {
            k += 1;
        }
        if heard[from] {
            let begins_s = if from == 0 { 0.0 } else { from as f64 * STEP_S };
            let ends_s = if k == pieces { duration_s } else { (k - 1) as f64 * STEP_S + piece_s };
            times.push(begins_s..ends_s);
        }
    }
    if times.is_empty() { vec![whole] } else { times }
}

/// How high the highest place of the fold stands above the usual one.
fn height(loudness: &[f32], rate_hz: f64, frequency_hz: f64) -> f32 {
    let bins = ((1.0 / (frequency_hz * BIN_S)) as usize).max(8);
    let mut sums = vec![(0.0f32, 0.0f32); bins];
    let per_frame = bins as f64 * frequency_hz / rate_hz;
    let mut phase = 0.0;
    for x in loudness {
        let cell = &mut sums[(phase as usize).min(bins - 1)];
        cell.0 += x;
        cell.1 += 1.0;
        phase += per_frame;
        if phase >= bins as f64 {
            phase -= bins as f64;
        }
    }
    let mut means: Vec<f32> = sums.iter().filter(|s| s.1 > 0.0).map(|(sum, n)| sum / n).collect();
    if means.is_empty() {
        return 0.0;
    }
    let highest = means.iter().copied().fold(f32::MIN, f32::max);
    let middle = means.len() / 2;
    highest - *means.select_nth_unstable_by(middle, f32::total_cmp).1
}

/// Turns runs of `which` over where they are too short to be believed.
fn flip_short(heard: &mut [bool], which: bool) {
    let mut k = 0;
    while k < heard.len() {
        let from = k;
        while k < heard.len() && heard[k] == heard[from] {
            k += 1;
        }
        if heard[from] == which && k - from < LEAST_PIECES && k - from < heard.len() {
            heard[from..k].fill(!which);
        }
    }
}

/// Sections between the cuts in which at least one of the repetitions is heard, in order of time.
/// One section is the whole stretch where nothing starts or stops.
pub(crate) fn sections(actives: &[Vec<Range<f64>>], duration_s: f64) -> Vec<Range<f64>> {
    let mut cuts: Vec<f64> = actives
        .iter()
        .flatten()
        .flat_map(|r| [r.start, r.end])
        .filter(|c| *c > LEAST_SECTION_S && *c < duration_s - LEAST_SECTION_S)
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a < LEAST_SECTION_S);
    let mut borders = vec![0.0];
    borders.extend(cuts);
    borders.push(duration_s);
    let found: Vec<Range<f64>> = borders
        .windows(2)
        .filter(|w| {
            let middle_s = 0.5 * (w[0] + w[1]);
            actives.iter().flatten().any(|r| r.contains(&middle_s))
        })
        .map(|w| (w[0] - OVERLAP_S).max(0.0)..(w[1] + OVERLAP_S).min(duration_s))
        .collect();
    if found.is_empty() { std::iter::once(0.0..duration_s).collect() } else { found }
}
