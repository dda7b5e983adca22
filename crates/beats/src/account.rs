//! From the beats of every balance to a reading.

use crate::amplitudes::Amplitudes;
use crate::averaged::averaged_beats;
use crate::breaks::Break;
use crate::listener::Detail;
use crate::never_apart;
use crate::quiet::Quiet;
use crate::rate_course::rate_course;
use crate::rate_fit::{Fitted, Residual, fit_track};
use crate::reading::{BalanceReading, DriftPoint, Reading, Side};
use crate::relation::relate;
use crate::remarks;
use crate::ripples;
use crate::settings::Settings;
use crate::told;
use crate::track::Track;
use crate::under_another::{self, Hidden};
use quantities::{BeatFrequency, Measured, SECONDS_PER_DAY};

/// Balances whose loudness differs by less are equally loud, dB: so much lies in the pickup's place.
const EQUALLY_LOUD_DB: f64 = 3.0;
/// Rates that differ by fewer standard deviations are one.
const SAME_RATE_SD: f64 = 3.0;

/// All that was heard of a recording.
pub(crate) struct Listened<'a> {
    pub(crate) tracks: Vec<&'a Track>,
    pub(crate) duration_s: f64,
    /// Whether balances are heard by pickups of their own, without each other.
    pub(crate) by_pickups: bool,
    /// How often the sound was cut off.
    pub(crate) clipped: u64,
    pub(crate) quiet: &'a Quiet,
    pub(crate) breaks: &'a [Break],
}

/// Puts the reading together.
pub(crate) fn account_for(heard: &Listened<'_>, settings: &Settings, detail: Detail) -> Reading {
    let fitted: Vec<Fitted<'_>> = heard.tracks.iter().filter_map(|t| fit_track(t)).collect();
    let hidden = under_another::hidden(&fitted, heard.duration_s);
    let mended = under_another::without_what_holds_two(&fitted, &hidden);
    let mut fitted: Vec<Fitted<'_>> = fitted
        .into_iter()
        .zip(&mended)
        .map(|(f, mended)| mended.as_ref().and_then(fit_track).unwrap_or(f))
        .collect();
    if !heard.by_pickups {
        never_apart::widen(&mut fitted, heard.duration_s);
    }
    set_in_order(&mut fitted, heard.duration_s);
    let hidden = under_another::hidden(&fitted, heard.duration_s);
    let mut balances: Vec<BalanceReading> =
        fitted.iter().enumerate().map(|(k, f)| describe(f, k, settings, detail)).collect();
    let mut warnings = Vec::new();
    if let Some(told) = settings.balances.filter(|told| (1..balances.len()).contains(told)) {
        warnings.push(told::more(told, &balances));
        balances.truncate(told);
        fitted.truncate(told);
    }
    let relation = relate(&fitted, &mut balances, heard.duration_s, settings, &mut warnings);
    for (k, f) in fitted.iter().enumerate() {
        let who = remarks::who(k, fitted.len());
        let under: Vec<Hidden> = hidden.iter().filter(|h| h.balance == k).copied().collect();
        remarks::of_balance(&who, f, &balances[k], heard, &under, &mut warnings);
        warnings.extend(told::another_beat(&who, &balances[k], settings));
    }
    remarks::of_recording(!balances.is_empty(), heard, settings, &mut warnings);
    Reading { duration_s: heard.duration_s, balances, relation, warnings }
}

/// Loudest first; of those equally loud, the faster first; of those equally fast, the one that
/// the other follows within half a beat: how loud they are depends on where the pickup lies.
fn set_in_order(fitted: &mut [Fitted<'_>], duration_s: f64) {
    let strength = |f: &Fitted<'_>| f.track.mean_note(|n| n.strength);
    fitted.sort_by(|a, b| strength(b).total_cmp(&strength(a)));
    let equal = 10f64.powf(-EQUALLY_LOUD_DB / 20.0);
    let mut from = 0;
    while from < fitted.len() {
        let least = equal * strength(&fitted[from]);
        let to = from + fitted[from..].iter().take_while(|f| strength(f) >= least).count().max(1);
        let equals = &mut fitted[from..to];
        equals.sort_by(|a, b| a.period_s.total_cmp(&b.period_s));
        for k in 1..equals.len() {
            let (a, b) = (&equals[k - 1], &equals[k]);
            let sd = a.period_sd_relative.hypot(b.period_sd_relative);
            let as_fast = (b.period_s / a.period_s - 1.0).abs() < SAME_RATE_SD * sd;
            let beat_s = 0.5 * a.period_s;
            let behind_s = a.since_last_beat_s(duration_s) - b.since_last_beat_s(duration_s);
            if as_fast && behind_s.rem_euclid(beat_s) > 0.5 * beat_s {
                equals.swap(k - 1, k);
            }
        }
        from = to;
    }
}

fn describe(f: &Fitted<'_>, index: usize, settings: &Settings, detail: Detail) -> BalanceReading {
    let track = f.track;
    let lift_angle = settings.lift_angle_of(index);
    let clock = settings.clock;
    let clock_factor = clock.error.factor();
    let bph = 7_200.0 / f.period_s * clock_factor;
    let blended = track.is_blended();
    let measured = BeatFrequency::from_per_hour(bph).ok();
    let nominal = measured.and_then(|m| nominal_of(m, index, settings));
    let rate_s_per_d = measured.zip(nominal).map(|(m, n)| {
        // The deviation of a frequency scales with the frequency.
        let sd = f.period_sd_relative * SECONDS_PER_DAY * m.per_hour() / n.per_hour();
        Measured::new(m.rate_against(n).s_per_d(), sd)
    });
    let amplitudes = measured.and_then(|beat| Amplitudes::of(f, lift_angle, beat));
    let (late_s, late_sd_s) = f.tock_late_s;
    // Without unlocking and drop the instants are those of one shock, wherever in the lift.
    let beat_error_s = measured
        .zip(amplitudes.as_ref())
        .map_or(late_s, |(beat, a)| horology::beat_error_s_from_middles(beat, late_s, a.span_s));
    let beat_error_ms = Measured::new(1e3 * beat_error_s.abs(), 1e3 * late_sd_s)
        .with_added_sd(1e3 * track.mean_note(|n| n.onset_sd_s));
    let residuals = f.residuals();
    let nominal_period_s = nominal.map_or(f.period_s, |n| n.oscillation_s() * clock_factor);
    let whole = detail == Detail::Whole;
    BalanceReading {
        nominal,
        measured_beats_per_hour: Some(Measured::new(bph, bph * f.period_sd_relative)),
        rate_s_per_d,
        rate_sd_with_clock_s_per_d: rate_s_per_d.map(|r| r.sd.hypot(clock.sd_s_per_d())),
        // Tick and tock may be those of two balances.
        beat_error_ms: (!blended).then_some(beat_error_ms),
        amplitude_deg: amplitudes.as_ref().map(Amplitudes::mean_deg),
        lift_angle,
        beats_used: track.used,
        beats_expected: track.expected().max(track.used),
        signal_to_noise_db: Some(track.mean_note(|n| n.signal_to_noise_db)),
        running_s: (
            track.runs.first().map_or(0.0, |r| r.first.time_s),
            track.runs.last().map_or(0.0, |r| r.last.time_s),
        ),
        drift: drift(f, &residuals, nominal_period_s),
        amplitude_course: amplitudes.as_ref().map(Amplitudes::course).unwrap_or_default(),
        rate_course: if whole && nominal.is_some() {
            rate_course(f, &residuals, nominal_period_s)
        } else {
            Vec::new()
        },
        averaged_beats: averaged_beats(track.pictures.as_ref()),
        timing_periodogram: if whole { ripples::of_timing(f, &residuals) } else { None },
        amplitude_periodogram: amplitudes
            .as_ref()
            .filter(|_| whole)
            .and_then(|a| ripples::of_amplitude(f, &a.swings)),
    }
}

/// The beat that the user named, for this balance or any, else the nearest standard one.
fn nominal_of(measured: BeatFrequency, index: usize, settings: &Settings) -> Option<BeatFrequency> {
    let meant = |n: &BeatFrequency| told::is_meant(measured, *n);
    let named = &settings.beats_per_hour;
    let own = named.get(index).filter(|n| meant(n)).copied();
    own.or_else(|| {
        let nearness = |n: &BeatFrequency| measured.rate_against(*n).s_per_d().abs();
        named
            .iter()
            .filter(|n| meant(n))
            .min_by(|a, b| nearness(a).total_cmp(&nearness(b)))
            .copied()
    })
    .or_else(|| measured.nearest_standard())
}

/// Gain against a balance at the nominal beat. Where the watch stood still the gain goes on from
/// where the line would have been.
fn drift(f: &Fitted<'_>, residuals: &[Residual], nominal_period_s: f64) -> Vec<DriftPoint> {
    let start_s = residuals.first().map_or(0.0, |r| r.even_s);
    // A beat comes this much later for every second of the track's even beat.
    let behind = 1.0 + f.slope - nominal_period_s / f.track.period_s;
    let mut line = f.lines.first().copied();
    residuals
        .iter()
        .map(|r| {
            if line.is_some_and(|l| l.run != r.run) {
                line = f.lines.iter().find(|l| l.run == r.run).copied();
            }
            let side_s = f.tock_late_s.0 * crate::rate_fit::half(r.side);
            let line_s = line.map_or(0.0, |l| f.late_s(&l, r.even_s));
            let behind_s = behind * (r.even_s - start_s) + side_s + r.late_s;
            DriftPoint {
                time_s: r.even_s + line_s + side_s + r.late_s,
                gain_ms: -1e3 * behind_s,
                residual_ms: -1e3 * r.late_s,
                side: if r.side == 0 { Side::Tick } else { Side::Tock },
                used: r.used,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests;
