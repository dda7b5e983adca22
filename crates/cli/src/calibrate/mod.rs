//! `endshake calibrate`: the recorder's clock from a recording of a reference.

mod told;

use crate::arguments::{CalibrateWishes, ClockFormat};
use crate::failure::{Failure, Status};
use crate::progress::Progress;
use crate::sound::{self, Sound, SourceFacts};
use crate::text::Ink;
use crate::wire::{self, ClockResult};
use crate::{clocks, interrupt, whole_file};
use audio::clock::{ClockReading, Reference, ReferencePeriod, SteppingListener};
use clap::ColorChoice;
use quantities::Measured;
use std::io::Write;

/// Carries the command out.
pub(crate) fn run(wishes: &CalibrateWishes, color: ColorChoice) -> Result<Status, Failure> {
    let reference = reference(wishes)?;
    if let Some(name) = &wishes.save {
        clocks::check_name(name)?;
    }
    interrupt::watch();
    let (facts, reading) = read(wishes, reference).map_err(|f| f.about(&wishes.file))?;
    let result = ClockResult::of_steps(&facts, &reference, &reading);
    let json = wire::lines(&result);
    if let Some(name) = &wishes.save {
        clocks::keep(name, &json)?;
    }
    if let Some(path) = &wishes.save_to {
        whole_file::write(path, json.as_bytes())?;
    }
    let output = match wishes.format {
        ClockFormat::Json => wire::line(&result),
        ClockFormat::Text => told::text(wishes, &facts, &reading, &result, Ink::for_output(color)),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}

/// The reference, and how far it is to be trusted.
fn reference(wishes: &CalibrateWishes) -> Result<Reference, Failure> {
    let period = ReferencePeriod::from_s(wishes.period.0)
        .map_err(|error| Failure::WrongUse(error.to_string()))?;
    Ok(match (wishes.reference_error_ppm, wishes.reference_sd_ppm) {
        (Some(error_ppm), Some(sd_ppm)) => {
            Reference::known(period, Measured::new(error_ppm, sd_ppm))
        }
        _ => Reference::unchecked(period),
    })
}

fn read(
    wishes: &CalibrateWishes,
    reference: Reference,
) -> Result<(SourceFacts, ClockReading), Failure> {
    let selection = sound::selection(wishes.start, wishes.length, wishes.channel);
    let progress = Progress::new(1, sound::name(&wishes.file));
    let mut sound = Sound::open(&wishes.file, &selection, &progress)?;
    let mut listener = SteppingListener::new(sound.sample_rate(), sound.channels(), reference);
    while let Some(block) = sound.next_block()? {
        listener.push(block);
    }
    let reading = listener.finish().map_err(|e| Failure::NothingHeard(e.to_string()))?;
    // A clock so far off could not be corrected for anywhere.
    if let Err(error) = reading.recorder_clock() {
        return Err(Failure::NothingHeard(format!("The {error}: check the period.")));
    }
    Ok((sound.finish(), reading))
}
