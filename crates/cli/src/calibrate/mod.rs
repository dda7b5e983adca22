//! `endshake calibrate`: the recorder's clock, from a recording of a reference, or from moments of
//! a recording whose true times are known.

mod told;

use crate::arguments::{CalibrateWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::outputs::Outputs;
use crate::progress::Progress;
use crate::sound::{self, Sound, SourceFacts};
use crate::text::Ink;
use crate::wire::{self, ClockResult};
use crate::{clocks, interrupt, whole_file};
use audio::Selection;
use audio::clock::{
    ClockReading, Mark, MarkListener, MarkNotFound, MarkPlace, MarksReading, Reference,
    ReferencePeriod, SteppingListener, error_from_elapsed, error_from_marks,
};
use clap::ColorChoice;
use quantities::{ClockError, Measured};
use std::io::Write;
use std::path::Path;

/// What the clock is compared with.
enum Against {
    /// Something that steps evenly, heard in the recording.
    Steps(Reference),
    /// How long the recording truly took, seconds.
    Length(Measured),
    /// Moments whose true times are known.
    Marks(Vec<Mark>),
}

/// What was found, and how.
pub(crate) enum Found {
    /// From a stepping reference.
    Steps(Reference, ClockReading),
    /// From the true length, seconds; and the error, ppm.
    Length(Measured, Measured),
    /// From marks.
    Marks(Vec<Mark>, MarksReading),
    /// From the computer's clock, while listening live.
    #[cfg(feature = "capture")]
    Computer(audio::clock::AgainstComputer),
}

impl Found {
    /// Error of the recorder's clock, ppm.
    pub(crate) fn error_ppm(&self) -> Measured {
        match self {
            Self::Steps(_, reading) => reading.error_ppm,
            Self::Length(_, error_ppm) => *error_ppm,
            Self::Marks(_, reading) => reading.error_ppm,
            #[cfg(feature = "capture")]
            Self::Computer(against) => against.error_ppm,
        }
    }
}

/// Carries the command out.
pub(crate) fn run(wishes: &CalibrateWishes, color: ColorChoice) -> Result<Status, Failure> {
    let against = against(wishes)?;
    if let Some(name) = &wishes.save {
        clocks::check_name(name)?;
        if !wishes.replace {
            clocks::check_free(name)?;
        }
    }
    check_outputs(wishes)?;
    interrupt::watch();
    let (facts, found) = find(wishes, against).map_err(|f| f.about(&wishes.file))?;
    let mut result = ClockResult::of(&facts, &found);
    let json = wire::lines(&result);
    if let Some(name) = &wishes.save {
        result.kept_in = Some(clocks::keep(name, &json)?.to_string_lossy().into_owned());
    }
    if let Some(path) = &wishes.save_to {
        whole_file::write(path, json.as_bytes())?;
    }
    let output = match wishes.format {
        TextOrJson::Json => wire::line(&result),
        TextOrJson::Text => told::text(wishes, &facts, &found, &result, Ink::for_output(color)),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}

/// Nothing that is read may be overwritten.
fn check_outputs(wishes: &CalibrateWishes) -> Result<(), Failure> {
    let mut outputs = Outputs::default();
    outputs.read("the recording", &wishes.file);
    outputs.standard_output()?;
    if let Some(name) = &wishes.save {
        outputs.written("--save", &clocks::path_of(Path::new(name))?)?;
    }
    wishes.save_to.as_ref().map_or(Ok(()), |path| outputs.written("--save-to", path))
}

fn against(wishes: &CalibrateWishes) -> Result<Against, Failure> {
    if !wishes.mark.is_empty() {
        let sd_s = wishes.mark_sd.0;
        let marks =
            wishes.mark.iter().map(|m| Mark { recorder_s: m.recorder_s, true_s: m.true_s, sd_s });
        return Ok(Against::Marks(marks.collect()));
    }
    if let (Some(length), Some(sd)) = (wishes.true_length, wishes.true_length_sd) {
        if wishes.start.is_some() || wishes.length.is_some() {
            return Err(Failure::WrongUse(
                "--true-length is the time that the whole recording took: leave out --start and \
                 --length."
                    .into(),
            ));
        }
        return Ok(Against::Length(Measured::new(length.0, sd.0)));
    }
    let period = ReferencePeriod::from_s(wishes.period.0)
        .map_err(|error| Failure::WrongUse(error.to_string()))?;
    Ok(Against::Steps(match (wishes.reference_error_ppm, wishes.reference_sd_ppm) {
        (Some(error_ppm), Some(sd_ppm)) => {
            Reference::known(period, Measured::new(error_ppm, sd_ppm))
        }
        _ => Reference::unchecked(period),
    }))
}

fn find(wishes: &CalibrateWishes, against: Against) -> Result<(SourceFacts, Found), Failure> {
    let selection = sound::selection(wishes.start, wishes.length, wishes.channel);
    let progress = Progress::new(1, sound::name(&wishes.file));
    let mut sound = Sound::open(&wishes.file, &selection, &progress)?;
    let (facts, found) = match against {
        Against::Steps(reference) => {
            let (rate, channels) = (sound.sample_rate(), sound.channels());
            let mut listener = SteppingListener::new(rate, channels, reference);
            while let Some(block) = sound.next_block()? {
                listener.push(block);
            }
            let reading = listener.finish().map_err(|e| Failure::NothingHeard(e.to_string()))?;
            (sound.finish(), Found::Steps(reference, reading))
        }
        Against::Length(true_s) => {
            while sound.next_block()?.is_some() {}
            let facts = sound.finish();
            // What is missing would be taken for an error of the clock.
            if let Some(what) = facts.not_whole() {
                return Err(Failure::Unreadable(format!(
                    "{what} This is not one unbroken recording, so its true length says nothing of \
                     the clock: use a recording that is whole."
                )));
            }
            let error_ppm = error_from_elapsed(facts.frames, facts.sample_rate, true_s)
                .map_err(|e| Failure::WrongUse(e.to_string()))?;
            (facts, Found::Length(true_s, error_ppm))
        }
        Against::Marks(given) => {
            let within_s = wishes.find_within.map(|within| within.0);
            let mut listener = within_s.map(|s| mark_listener(&given, s, &selection, &sound));
            while let Some(block) = sound.next_block()? {
                if let Some(listener) = &mut listener {
                    listener.push(block);
                }
            }
            let facts = sound.finish();
            check_places(&given, within_s.unwrap_or(0.0), &facts)?;
            let marks = match listener {
                Some(listener) => heard_marks(&given, listener)?,
                None => given,
            };
            let reading = error_from_marks(&marks).map_err(|e| Failure::WrongUse(e.to_string()))?;
            (facts, Found::Marks(marks, reading))
        }
    };
    // A clock so far off could not be corrected for anywhere.
    match ClockError::from_ppm(found.error_ppm().value) {
        Ok(_) => Ok((facts, found)),
        Err(error) => {
            Err(Failure::NothingHeard(format!("The {error}: check the times that were given.")))
        }
    }
}

/// What looks for the marks, each near the place that was given.
fn mark_listener(
    given: &[Mark],
    within_s: f64,
    selection: &Selection,
    sound: &Sound<'_>,
) -> MarkListener {
    // The listener counts from the first sample that it is given.
    let places: Vec<MarkPlace> = given
        .iter()
        .map(|mark| MarkPlace { near_s: mark.recorder_s - selection.start_s, within_s })
        .collect();
    MarkListener::new(sound.sample_rate(), sound.channels(), &places)
}

/// The marks as they are heard.
fn heard_marks(given: &[Mark], listener: MarkListener) -> Result<Vec<Mark>, Failure> {
    let heard = listener.finish().into_iter().zip(given);
    heard
        .map(|(found, given)| match found {
            Ok(found) => Ok(found.at_true(given.true_s, given.sd_s)),
            Err(bad @ MarkNotFound::BadPlace { .. }) => Err(Failure::WrongUse(bad.to_string())),
            Err(not) => Err(Failure::NothingHeard(not.to_string())),
        })
        .collect()
}

/// Marks lie in what was read, and nothing of unknown length is missing between them.
fn check_places(marks: &[Mark], within_s: f64, facts: &SourceFacts) -> Result<(), Failure> {
    let (from_s, to_s) = (facts.start_s, facts.start_s + facts.duration_s);
    let inside = (from_s - within_s)..=(to_s + within_s);
    if let Some(mark) = marks.iter().find(|mark| !inside.contains(&mark.recorder_s)) {
        return Err(Failure::WrongUse(format!(
            "The mark at {:.3} s lies outside what was read, {from_s:.3} s to {to_s:.3} s of the \
             recording: give moments within it.",
            mark.recorder_s
        )));
    }
    let first_s = marks.iter().map(|mark| mark.recorder_s).fold(f64::INFINITY, f64::min);
    let last_s = marks.iter().map(|mark| mark.recorder_s).fold(0.0, f64::max);
    match facts.gap_between(first_s, last_s) {
        Some(what) => Err(Failure::Unreadable(format!(
            "{what} The marks say nothing of the clock across it: set them on one side of it, or \
             use a recording that is whole."
        ))),
        None => Ok(()),
    }
}
