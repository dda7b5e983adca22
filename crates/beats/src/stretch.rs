//! What is heard in one stretch of sound: from samples to the beats of every balance.

use crate::anatomy::{self, Anatomy};
use crate::beat_times::{TimedBeat, combine};
use crate::beside::{self, Hearing};
use crate::blend;
use crate::changing;
use crate::company::{are_rightly_parted, is_another, shows_more};
use crate::doubled;
use crate::ear::{Envelope, prepared};
use crate::faint_unlocking::{self, Faint, Span};
use crate::onset::{self, Sound};
use crate::search::{self, Found};
use crate::settings::Settings;
use crate::shape::{Frame, Template};
use crate::shocks::{self, Shock};
use crate::trains::Train;
use crate::unmix;
use crate::voice::{Voice, power_of_others, settle_together};
use signal::{CombPeak, Symmetric};

/// One balance in one stretch.
#[derive(Debug, Clone)]
pub(crate) struct Heard {
    /// Seconds of an oscillation, recorder's clock.
    pub(crate) period_s: f64,
    /// Beats in order of time; times in seconds from the start of the stretch.
    pub(crate) beats: Vec<HeardBeat>,
    /// First and last beat heard, seconds from the start of the stretch.
    pub(crate) running_s: (f64, f64),
    /// Loudest place against the noise, dB.
    pub(crate) signal_to_noise_db: f64,
    /// How far tick against tock may be off by the shape of their beginnings, seconds.
    pub(crate) onset_sd_s: f64,
    /// How far drop against unlocking may be off by the same, seconds.
    pub(crate) span_sd_s: f64,
    /// Usual time from unlocking to drop, seconds, where single beats do not show it.
    pub(crate) faint_span: Option<Span>,
    /// Tick and tock.
    pub(crate) pictures: [Picture; 2],
    /// Loudness of the strongest line.
    pub(crate) strength: f64,
    /// How many shocks tell themselves apart in the averaged beat.
    pub(crate) shocks: usize,
    /// Scatter of the beat times about a line, seconds.
    pub(crate) scatter_s: f64,
    /// How long the averaged beat lasts: its sum over its peak, seconds.
    pub(crate) width_s: f64,
    /// Whether its shocks do not keep together as those of one balance do.
    pub(crate) blended: bool,
    /// Whether nothing says so but that the averaged beat changes its shape: so it does as well where
    /// the sound is broken.
    pub(crate) changing: bool,
    /// How far the period may be off on that account, relative.
    pub(crate) period_doubt_relative: f64,
    /// Whether it was parted from another balance by what their shocks do not share.
    pub(crate) parted: bool,
    /// Whether it may as well be two balances at half the beat, half a beat of theirs apart.
    pub(crate) may_be_two: bool,
}

/// One beat of [`Heard`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HeardBeat {
    /// Oscillation within the stretch.
    pub(crate) turn: i64,
    /// Tick or tock.
    pub(crate) is_tock: bool,
    /// Instant, seconds from the start of the stretch.
    pub(crate) time_s: f64,
    /// Unlocking to drop, seconds.
    pub(crate) unlocking_to_drop_s: Option<f64>,
    /// What is left of its lateness when the line is taken away, seconds.
    pub(crate) residual_s: f64,
    /// Whether it enters the fit.
    pub(crate) used: bool,
    /// Loudness against the averaged beat of its side.
    pub(crate) loudness: f64,
}

impl Heard {
    /// Standard deviation of the period over the period, from the scatter about the line: the
    /// slope of N evenly spaced times (bib:kay1993).
    pub(crate) fn period_sd_relative(&self) -> f64 {
        let n = self.beats.iter().filter(|b| b.used).count().max(3) as f64;
        self.scatter_s / (0.5 * self.period_s) * (12.0 / (n * (n * n - 1.0))).sqrt()
    }
}

impl Heard {
    /// Counts from an instant so many seconds earlier.
    pub(crate) fn begin_later(&mut self, by_s: f64) {
        self.running_s = (self.running_s.0 + by_s, self.running_s.1 + by_s);
        for beat in &mut self.beats {
            beat.time_s += by_s;
        }
    }

    /// Whether unlocking and drop are mostly timed, and the instants are the middle between them.
    pub(crate) fn is_timed_whole(&self) -> bool {
        let timed = self.beats.iter().filter(|b| b.unlocking_to_drop_s.is_some()).count();
        2 * timed > self.beats.len()
    }
}

/// An averaged beat with its marks; times in steps from the beat's instant.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Picture {
    /// Seconds a step.
    pub(crate) step_s: f64,
    /// Steps from the first value to the beat's instant.
    pub(crate) origin: f64,
    /// Mean amplitude.
    pub(crate) mean: Vec<f32>,
    /// Its spread.
    pub(crate) spread: Vec<f32>,
    /// Unlocking, impulse, drop: seconds from the beat's instant.
    pub(crate) marks_s: [Option<f64>; 3],
    /// How many beats it is made of.
    pub(crate) beats: usize,
}

/// A watch's beat, loudness summed over time and taken against its peak, lasts 1 to 3 ms; heard
/// with a room's answer, 5 to 12; a ringing clock 17; strokes of music 15 to 28. (Measured on
/// simulated sound and on recordings of clocks in rooms.) Up to here it needs no further proof.
const DRY_BLOWS_S: f64 = 6e-3;
/// Longest at a beat that is no standard one.
const ROOM_BLOWS_S: f64 = 13e-3;
/// Longest at a standard beat. (An old clock in a reverberant room: 19.3 ms.)
const RINGING_BLOWS_S: f64 = 20e-3;
/// Tick and tock may be those of two balances: how far the beat error may be off then.
const BLEND_SD_S: f64 = 3e-3;
/// Tick and tock by a shock whose name is not known: how far the beat error may be off then. The
/// impulse comes a quarter of the lift after unlocking, and its place differs between the pallets
/// by some parts in a hundred of the lift, of which the balance passes a degree in about 20 µs.
const NAMELESS_SD_S: f64 = 0.3e-3;
/// A shock that always begins in the sound of another balance: how far its beginning may be off,
/// steps. A choice, not yet measured: about the smear of an onset by the shaping filter.
const UNDER_ANOTHER: f64 = 1.0;
/// A shock takes part in timing the beats where it is timed in this share of them.
const LEAST_TIMED: f64 = 0.6;
/// A long beat must show this many blows ...
const LEAST_BLOWS: usize = 3;
/// ... or, where a room drowns them, be out of beat by this, as strokes of music are not: those are even to
/// 0.2 ms in simulated music, that clock's beats uneven by 6 ms. Then this share must be heard, ...
const OUT_OF_BEAT_S: f64 = 1e-3;
/// ... at a standard beat, ...
const LEAST_HEARD_DROWNED: f64 = 0.95;
/// ... and scatter less than this. (That clock: 0.6 ms.)
const MOST_SCATTER_DROWNED_S: f64 = 0.8e-3;
/// Blows that count are at least this high against the steepest: a drum has one.
const BLOW_SHARE: f32 = 0.3;
/// Share of the beats that must be heard where blows are long.
const LEAST_HEARD_IN_ROOMS: f64 = 0.75;
/// Of the beats between the first and the last at least this share is heard.
const LEAST_HEARD: f64 = 0.55;
/// Beats of a balance scatter less than this about a line.
const MOST_SCATTER_S: f64 = 3e-3;
/// Blows so drawn out that they may be notes must keep time better. (Music-like sound that passes
/// for beats scatters more than 1.1 ms, ticks of real clocks laid down anew less than 0.8.)
const MOST_SCATTER_DRAWN_OUT_S: f64 = 0.9e-3;
/// The same beside another balance.
const LEAST_ALONE: f64 = 0.25;

/// What one channel's sound is heard through.
#[derive(Clone)]
pub(crate) struct Ear {
    found: Found,
}

impl Ear {
    /// The filter through which the beats stand out best.
    pub(crate) fn shaping(&self) -> &Symmetric {
        &self.found.shaping
    }
}

/// Hears a stretch of one channel. `ear` is what earlier stretches found best and is replaced
/// where a new search was needed; `known_hz` are oscillation frequencies heard before.
pub(crate) fn hear_channel(
    samples: &[f32],
    sample_rate_hz: f64,
    settings: &Settings,
    ear: &mut Option<Ear>,
    known_hz: &[f64],
) -> Vec<Heard> {
    let differenced = prepared(samples);
    if let Some(known_ear) = ear.as_ref().filter(|_| !known_hz.is_empty()) {
        let repetitions: Vec<CombPeak> = known_hz
            .iter()
            .map(|&frequency_hz| CombPeak { frequency_hz, significance: f64::INFINITY })
            .collect();
        let heard = through(known_ear, &repetitions, &differenced, sample_rate_hz, settings);
        if heard.len() >= known_hz.len() {
            return heard;
        }
    }
    let Some(found) = search::first_look(&differenced, sample_rate_hz, settings) else {
        return Vec::new();
    };
    let new_ear = Ear { found };
    let repetitions = new_ear.found.repetitions.clone();
    let heard = through(&new_ear, &repetitions, &differenced, sample_rate_hz, settings);
    *ear = Some(new_ear);
    heard
}

fn through(
    ear: &Ear,
    repetitions: &[CombPeak],
    differenced: &[f32],
    sample_rate_hz: f64,
    settings: &Settings,
) -> Vec<Heard> {
    let envelope = Envelope::of(differenced, sample_rate_hz, &ear.found.shaping);
    let found = search::trains(&envelope, repetitions, settings);
    let stretch = Stretch { ear, differenced, sample_rate_hz, settings, envelope };
    let heard = stretch.hear(&found);
    let settled =
        doubled::settle(heard, &stretch.envelope, settings, |trains| stretch.hear(trains));
    settled.into_iter().map(|(_, heard)| heard).collect()
}

/// A stretch of sound through the filter of a watch.
struct Stretch<'a> {
    ear: &'a Ear,
    differenced: &'a [f32],
    sample_rate_hz: f64,
    settings: &'a Settings,
    envelope: Envelope,
}

impl Stretch<'_> {
    /// What is heard of these trains, and believed.
    fn hear(&self, found: &[Train]) -> Vec<(Train, Heard)> {
        let Self { ear, differenced, sample_rate_hz, settings, envelope } = self;
        let mut trains = unmix::apart(found.to_vec(), envelope, settings);
        // An echo taken for a balance spoils what it is an echo of; so whatever is not believed is
        // left out and the rest heard again.
        let mut alone = false;
        loop {
            let mut voices: Vec<Voice> = trains.iter().map(|t| Voice::new(t, envelope)).collect();
            settle_together(&mut voices, envelope);
            let heard: Vec<Option<Heard>> = (0..voices.len())
                .map(|k| {
                    let others = power_of_others(&voices, k, envelope);
                    let scale = 1.0 / envelope.floor.max(f32::MIN_POSITIVE);
                    let sound = Sound {
                        differenced,
                        sample_rate_hz: *sample_rate_hz,
                        samples_per_step: sample_rate_hz / envelope.rate_hz,
                        even: &ear.found.even,
                        faint: &ear.found.faint,
                        others: others.iter().flatten().map(|o| o * scale).collect(),
                    };
                    let lift_deg = settings.lift_angle_of(k).deg();
                    describe(
                        &mut voices[k],
                        &trains[k],
                        envelope,
                        others.as_deref(),
                        &sound,
                        lift_deg,
                        settings,
                    )
                })
                .collect();
            let one_sided: Vec<bool> = (0..voices.len())
                .map(|k| {
                    let among_faster = voices.iter().any(|v| v.is_twice_as_fast_as(&voices[k]));
                    heard[k].is_some() && among_faster && voices[k].is_of_one_side(envelope.rate_hz)
                })
                .collect();
            let mut believed = believed(&heard);
            for (believed, one_sided) in believed.iter_mut().zip(one_sided) {
                *believed &= !one_sided;
            }
            if believed.iter().all(|b| *b) {
                return trains
                    .into_iter()
                    .zip(heard)
                    .filter_map(|(t, h)| h.map(|h| (t, h)))
                    .collect();
            }
            // What was parted here and does not stand by itself was one after all.
            let parted = trains.iter().zip(&believed).any(|(t, b)| t.own.is_some() && !b);
            if parted && found.iter().all(|t| t.own.is_none()) {
                trains = found.to_vec();
                continue;
            }
            let mut keep = believed.iter();
            trains.retain(|_| keep.next().copied().unwrap_or(false));
            if trains.is_empty() {
                // Pieces of beats may have spoilt each other: then what shows most, by itself.
                if alone || found.len() < 2 {
                    return Vec::new();
                }
                alone = true;
                trains.extend(found.first().cloned());
            }
        }
    }
}

/// Which of the balances are believed: the loudest first, each further one if it is no echo of
/// one believed before.
fn believed(heard: &[Option<Heard>]) -> Vec<bool> {
    let mut order: Vec<usize> = (0..heard.len()).filter(|&k| heard[k].is_some()).collect();
    let loudness = |k: usize| heard[k].as_ref().map_or(f64::MIN, |h| h.signal_to_noise_db);
    order.sort_by(|a, b| loudness(*b).total_cmp(&loudness(*a)));
    let mut believed = vec![false; heard.len()];
    for k in order {
        let Some(this) = &heard[k] else { continue };
        let denied_by: Vec<usize> = (0..heard.len())
            .filter(|&j| believed[j])
            .filter(|&j| {
                heard[j].as_ref().is_some_and(|louder| {
                    if louder.parted && this.parted {
                        !are_rightly_parted(louder, this)
                    } else {
                        !is_another(louder, this)
                    }
                })
            })
            .collect();
        match denied_by[..] {
            [] => believed[k] = true,
            // Of two parts of one balance the one that shows more in the whole stays, even where
            // the other has the louder place.
            [j] if heard[j].as_ref().is_some_and(|other| shows_more(this, other)) => {
                (believed[j], believed[k]) = (false, true);
            }
            _ => {}
        }
    }
    believed
}

fn describe(
    voice: &mut Voice,
    train: &Train,
    envelope: &Envelope,
    others: Option<&[f32]>,
    sound: &Sound<'_>,
    lift_deg: f64,
    settings: &Settings,
) -> Option<Heard> {
    let (first, last) = running(voice)?;
    if !like_a_watch(voice, first, last, envelope.rate_hz, settings) {
        return None;
    }
    for (m, beat) in voice.beats.iter_mut().enumerate() {
        if m < first || m > last {
            beat.whole = None;
        }
    }
    let mut shocks = shocks::find(voice, envelope.rate_hz);
    for shock in &mut shocks {
        shocks::time(shock, voice, envelope, others, true);
    }
    let company = others.map(|o| beside::part(&mut shocks, voice, o));
    if company == Some(Hearing::NeverAlone) {
        for shock in &mut shocks {
            shocks::time(shock, voice, envelope, others, false);
        }
    }
    // Where another balance is known, its beats are taken away, and what stays of them would be
    // taken for a third.
    let (doubt_of_period, blended) = if let Some(doubt) = train.mixed_up_to {
        (doubt, true)
    } else if others.is_some() {
        (0.0, false)
    } else {
        let doubt = blend::period_doubt(voice, &shocks);
        (doubt, doubt > 0.0 || blend::too_many(&shocks))
    };
    let changing = !blended && others.is_none() && changing::changes_shape(voice, envelope);
    let blended = blended || changing;
    let least_share = if others.is_some() { LEAST_ALONE } else { LEAST_TIMED };
    // A loud shock that only tick or only tock has is another balance's, or says that what was
    // taken for tick and tock begins with different shocks.
    let lopsided = others.is_some() && blend::strong(&shocks).any(|s| !s.is_of_both_sides());
    if shocks.iter().any(Shock::is_of_both_sides) {
        shocks.retain(Shock::is_of_both_sides);
    }
    // Which shock is which cannot be told where they are those of two balances, or where all lie
    // under another's.
    let mixed_up = blended || company == Some(Hearing::NeverAlone);
    let anatomy = anatomy::name(&shocks, voice.period, lift_deg)
        .filter(|a| {
            let sure = |(hearing, others)| beside::is_sure(a, &shocks, hearing, voice, others);
            !mixed_up && !lopsided && company.as_ref().zip(others).is_none_or(sure)
        })
        .filter(|a| train.own.is_none() || beside::as_it_belongs(a, &shocks));
    let by_itself = others.is_none() && !mixed_up && !lopsided;
    let (anatomy, faint) = if by_itself {
        faint_unlocking::settle(anatomy, &shocks, voice, sound, lift_deg)
    } else {
        (anatomy, None)
    };
    let mut doubt = [[0.0f64; 2]; 2];
    if let Some(a) = anatomy {
        for (doubt, j) in doubt.iter_mut().zip([a.unlocking, a.drop]) {
            *doubt = [0, 1].map(|side| begin(&mut shocks[j], voice, sound, side));
        }
        if let Some(j) = a.impulse {
            for side in 0..2 {
                begin(&mut shocks[j], voice, sound, side);
            }
        }
    } else {
        for shock in &mut shocks {
            doubt = [[0, 1].map(|side| begin(shock, voice, sound, side)); 2];
        }
    }
    let mut timed = combine(voice, &shocks, anatomy, least_share, envelope.rate_hz)?;
    // What the names rest on is no beat of a watch: then they are none.
    let anatomy = if anatomy.is_some() && others.is_some() && timed.is_poor(envelope.rate_hz) {
        timed = combine(voice, &shocks, None, least_share, envelope.rate_hz)?;
        None
    } else {
        anatomy
    };
    let rate = envelope.rate_hz;
    let scatter = timed.line.scatter;
    let beats: Vec<HeardBeat> = timed
        .beats
        .iter()
        .zip(timed.line.weights.iter().zip(&timed.line.residuals))
        .map(|(b, (w, residual))| heard_beat(b, *w > 0.0, *residual, rate))
        .collect();
    let pictures =
        [0, 1].map(|side| picture(voice, &shocks, (anatomy, faint), &timed.line, side, rate));
    let (onset_sd, span_sd) = onset::doubts(&doubt, timed.spans());
    let rivals = anatomy.map_or(0.0, |a| a.doubt_of_span(&shocks));
    let period = voice.period + timed.line.per_turn;
    let width = voice.templates.iter().map(Template::width).sum::<f64>() / 2.0;
    let unsure_s = match (mixed_up || lopsided, others, anatomy) {
        (true, _, _) => BLEND_SD_S,
        // It may be the impulse, which tick and tock give at different places of the lift.
        (false, Some(_), None) => NAMELESS_SD_S,
        _ => 0.0,
    };
    Some(Heard {
        width_s: width / rate,
        blended: mixed_up,
        changing,
        period_doubt_relative: doubt_of_period,
        period_s: period / rate,
        running_s: (voice.beats[first].expected / rate, voice.beats[last].expected / rate),
        signal_to_noise_db: voice.signal_to_noise_db(envelope.floor),
        onset_sd_s: (onset_sd / rate).hypot(unsure_s),
        span_sd_s: span_sd.hypot(rivals) / rate,
        faint_span: faint.map(|f| f.span.in_seconds(rate)),
        pictures,
        strength: train.strength,
        shocks: shocks.len(),
        parted: train.own.is_some(),
        may_be_two: false,
        scatter_s: scatter / rate,
        beats,
    })
}

/// Puts the beginning of a shock in place and says how far it may be off, steps.
fn begin(shock: &mut Shock, voice: &Voice, sound: &Sound<'_>, side: usize) -> f64 {
    let doubt = match onset::find(sound, voice, shock, side) {
        Some(found) => {
            shock.onset[side] = found.at;
            found.sd
        }
        // The envelope's own rise must do; it may be off by a good part of its length.
        None => 1.5,
    };
    if sound.is_ever_alone(voice, shock, side) { doubt } else { doubt.hypot(UNDER_ANOTHER) }
}

fn heard_beat(beat: &TimedBeat, used: bool, residual: f64, rate: f64) -> HeardBeat {
    HeardBeat {
        turn: beat.turn,
        is_tock: beat.is_tock,
        time_s: (beat.expected + beat.late) / rate,
        unlocking_to_drop_s: beat.unlocking_to_drop.map(|d| d / rate),
        residual_s: residual / rate,
        used,
        loudness: beat.loudness,
    }
}

/// Whether this repeats as a watch does: hardly a beat missing, and every beat a few short blows,
/// not one stroke that dies away slowly.
fn like_a_watch(
    voice: &Voice,
    first: usize,
    last: usize,
    rate_hz: f64,
    settings: &Settings,
) -> bool {
    let beats = &voice.beats[first..=last];
    let heard = beats.iter().filter(|b| b.whole.is_some()).count() as f64 / beats.len() as f64;
    let width_s = voice.templates.iter().map(Template::width).sum::<f64>() / (2.0 * rate_hz);
    if heard < LEAST_HEARD || voice.scatter / rate_hz > MOST_SCATTER_S {
        return false;
    }
    if width_s < DRY_BLOWS_S {
        return true;
    }
    let shocks = shocks::find(voice, rate_hz);
    let steepest = shocks.iter().map(|s| s.rise).fold(0.0f32, f32::max);
    let blows = shocks.iter().filter(|s| s.rise > BLOW_SHARE * steepest).count();
    let scatter_s = voice.scatter / rate_hz;
    let is_usual = search::is_usual(rate_hz / voice.period, settings);
    let longest_s = if is_usual { RINGING_BLOWS_S } else { ROOM_BLOWS_S };
    let out_of_beat_s = (voice.tock_offset - 0.5 * voice.period).abs() / rate_hz;
    let drowned = is_usual
        && out_of_beat_s > OUT_OF_BEAT_S
        && heard >= LEAST_HEARD_DROWNED
        && scatter_s < MOST_SCATTER_DROWNED_S;
    heard >= LEAST_HEARD_IN_ROOMS
        && (blows >= LEAST_BLOWS || drowned)
        && width_s < longest_s
        && (width_s < ROOM_BLOWS_S || scatter_s < MOST_SCATTER_DRAWN_OUT_S)
}

/// First and last beat of the time in which at least half the beats are heard.
fn running(voice: &Voice) -> Option<(usize, usize)> {
    const SPAN: usize = 8;
    let heard: Vec<bool> = voice.beats.iter().map(|b| b.whole.is_some()).collect();
    if heard.len() < SPAN {
        return None;
    }
    let dense: Vec<usize> = heard
        .windows(SPAN)
        .enumerate()
        .filter(|(_, w)| 2 * w.iter().filter(|h| **h).count() > SPAN)
        .map(|(i, _)| i)
        .collect();
    let (from, to) = (*dense.first()?, *dense.last()? + SPAN - 1);
    let first = (from..=to).find(|&m| heard[m])?;
    let last = (from..=to).rev().find(|&m| heard[m])?;
    (last > first).then_some((first, last))
}

fn picture(
    voice: &Voice,
    shocks: &[Shock],
    (anatomy, faint): (Option<Anatomy>, Option<Faint>),
    line: &crate::phase_fit::PhaseFit,
    side: usize,
    rate: f64,
) -> Picture {
    let late = if side == 0 { line.tick } else { line.tock };
    let template: &Template = &voice.templates[side];
    let frame: Frame = voice.frame;
    let mark = |j: usize| {
        let mut lags: Vec<f64> = voice
            .beats
            .iter()
            .zip(&shocks[j].lags)
            .filter(|(b, _)| b.side() == side)
            .filter_map(|(_, l)| l.map(|m| m.lag))
            .collect();
        let lag = crate::phase_fit::middle_of(&mut lags);
        Some((shocks[j].offset + shocks[j].onset[side] + lag - late) / rate)
    };
    let marks_s = match (anatomy, faint) {
        (Some(a), _) => [mark(a.unlocking), a.impulse.and_then(mark), mark(a.drop)],
        (None, Some(f)) => {
            let drop_s = mark(f.drop);
            [drop_s.map(|s| s - f.span.length / rate), None, drop_s]
        }
        (None, None) => [None; 3],
    };
    Picture {
        step_s: 1.0 / rate,
        origin: frame.before as f64 + late,
        mean: template.amplitude.clone(),
        spread: template.spread.clone(),
        marks_s,
        beats: voice.beats.iter().filter(|b| b.side() == side && b.whole.is_some()).count(),
    }
}
