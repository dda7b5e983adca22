//! Ready families of scenarios for studies, demonstrations and tests. Each takes a seed that
//! draws what the family leaves open: voice, rate, amplitude, levels. The ranges are chosen to
//! span what comes to a bench (common practice, no published source).

mod many;
mod no_watch;
mod single;

pub use many::{
    TwoBalances, crossing, faint_second, locked, mixed_beats, three, together, two, two_pickups,
};
pub use no_watch::{NoWatch, no_watch};
pub use single::{
    clear_single, clipped, day, hard_single, low_amplitude, poor_room, quartz_reference, rippled,
    starts, stops, through_the_case,
};

use crate::balance::Balance;
use crate::draws::{Draws, Purpose};
use crate::voice::{Voice, VoiceFamily};

/// Beats per hour that the families draw from.
const USUAL_BEATS_PER_HOUR: [f64; 6] = [18_000.0, 19_800.0, 21_600.0, 25_200.0, 28_800.0, 36_000.0];

/// Which family draws; keeps equal seeds of different families apart.
#[derive(Clone, Copy)]
enum Family {
    Single = 1,
    Many = 2,
    NoWatch = 3,
}

fn draws(family: Family, kind: u64, seed: u64) -> Draws {
    Draws::keyed(seed, Purpose::Family, family as u64, kind)
}

/// A seed of its own for the scenario that is drawn.
fn own_seed(draws: &mut Draws) -> u64 {
    draws.below(u64::MAX)
}

/// A balance in fair order at this beat, well picked up.
fn fair_balance(draws: &mut Draws, beats_per_hour: f64) -> Balance {
    let sign = if draws.chance(0.5) { 1.0 } else { -1.0 };
    Balance {
        beats_per_hour,
        rate_s_per_d: draws.between(-30.0, 30.0),
        amplitude_deg: draws.between(225.0, 315.0),
        amplitude_sd_deg: draws.between(0.5, 2.5),
        beat_error_ms: sign * draws.between(0.0, 1.0),
        lift_deg: draws.between(48.0, 54.0).round(),
        loudness: draws.between(0.4, 0.7),
        loudness_sd: draws.between(0.03, 0.12),
        jitter_us: draws.between(10.0, 50.0),
        offset_s: draws.between(0.0, 2.0 * 3_600.0 / beats_per_hour),
        voice: contact_voice(draws),
        ..Balance::default()
    }
}

/// A voice as a contact pickup hears it.
fn contact_voice(draws: &mut Draws) -> Voice {
    let families = [VoiceFamily::Bright, VoiceFamily::Ringing, VoiceFamily::Rasping];
    Voice::new(draws.pick(&families), draws.below(u64::MAX))
}
