//! Arguments of `measure` checked against each other and put as the crates below want them.

use crate::arguments::{ChannelWish, MeasureWishes};
use crate::failure::Failure;
use audio::{Channels, Selection};
use beats::Settings;
use quantities::RecorderClock;

/// What the engine should know.
pub(crate) fn of(wishes: &MeasureWishes) -> Result<Settings, Failure> {
    let balances = wishes.balances.map(usize::from);
    for (name, given) in [
        ("--lift-angle", wishes.lift_angle.len()),
        ("--beats-per-hour", wishes.beats_per_hour.len()),
    ] {
        if let Some(balances) = balances
            && given > balances
        {
            return Err(Failure::WrongUse(format!(
                "{name} is given {given} times, but --balances says that there are {balances}: \
                 give it once for all balances or once for each."
            )));
        }
    }
    Ok(Settings {
        lift_angles: wishes.lift_angle.clone(),
        beats_per_hour: wishes.beats_per_hour.clone(),
        balances,
        clock: match wishes.clock_error_ppm {
            Some(error) => {
                RecorderClock::calibrated(error, wishes.clock_error_sd_ppm.unwrap_or(0.0))
            }
            None => RecorderClock::unknown(),
        },
    })
}

/// Which part of each recording to read.
pub(crate) fn selection(wishes: &MeasureWishes) -> Selection {
    Selection {
        start_s: wishes.start.map_or(0.0, |s| s.0),
        length_s: wishes.length.map(|s| s.0),
        channels: match wishes.channel {
            ChannelWish::All => Channels::All,
            ChannelWish::Number(number) => Channels::One(number.saturating_sub(1)),
        },
    }
}
