//! `endshake listen`: a device in, readings out as they settle.

mod devices;
mod kept;
mod lines;
mod view;

use crate::arguments::{ListenFormat, ListenWishes};
use crate::calibrate::Found;
use crate::failure::{Failure, Status};
use crate::measure::{Heard, settings};
use crate::outputs::Outputs;
use crate::sound::SourceFacts;
use crate::text::{self, Ink};
use crate::wire::{self, ClockResult, ListenLine, MeasureResult};
use crate::{clocks, interrupt, shown};
use audio::capture::CaptureWish;
use clap::ColorChoice;
use kept::Kept;
use live::{CaptureSource, Listening, NotTaken, Options, Snapshot, State, Taken, Taking, Wish};
use quantities::RecorderClock;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use view::View;

/// Ctrl-C is looked for this often.
const LOOK: Duration = Duration::from_millis(200);

/// Carries the command out.
pub(crate) fn run(wishes: &ListenWishes, color: ColorChoice) -> Result<Status, Failure> {
    if wishes.list_devices {
        return devices::list(wishes.format);
    }
    let checked = settings::of(&wishes.engine)?;
    check_outputs(wishes)?;
    let kept = wishes.save.as_deref().map(Kept::at).transpose()?;
    interrupt::watch();
    let device = CaptureWish {
        device: wishes.device.clone(),
        sample_rate: wishes.sample_rate,
        channels: wishes.channels.map(usize::from),
    };
    let source =
        CaptureSource::open(&device).map_err(|error| Failure::Unreadable(error.to_string()))?;
    let options = Options { settings: checked.engine.clone(), ..Options::default() };
    let listening = Listening::start(source, options)
        .map_err(|error| Failure::Unreadable(format!("Listening cannot start ({error}).")))?;
    let wish = Wish {
        seconds: wishes.seconds.map(|seconds| seconds.0),
        until_sd_s_per_d: wishes.until_sd,
        sound: kept.as_ref().map(|kept| kept.part().to_owned()),
    };
    let taking = listening.take(wish).map_err(not_taken)?;
    let ink = Ink::for_output(color);
    let (taken, last) = follow(&listening, &taking, wishes.format)?;
    let clock = listening.snapshot().against_computer;
    listening.stop();
    let path = match kept {
        Some(kept) => kept.finish(taken.sound_failed.is_none())?,
        None => PathBuf::from(&last.source.name),
    };
    let heard = checked.remarks(heard(&taken, path, &last));
    let mut output = match wishes.format {
        ListenFormat::Text => text::reading(&heard, ink),
        ListenFormat::Json => wire::line(&MeasureResult::of(&heard, false)),
    };
    if let (ListenFormat::Text, Some(clock)) = (wishes.format, &clock) {
        output.push_str(&lines::against_computer(clock));
    }
    print(&output)?;
    let mut status = heard.status();
    if taken.sound_failed.is_some() {
        status = status.and(Status::CannotWrite);
    }
    if let Some(name) = &wishes.save_clock {
        status = status.and(save_clock(name, &heard.source, clock)?);
    }
    Ok(status)
}

fn check_outputs(wishes: &ListenWishes) -> Result<(), Failure> {
    let mut outputs = Outputs::default();
    if let Some(named) = &wishes.engine.clock {
        outputs.read("the clock", &clocks::path_of(named)?);
    }
    outputs.standard_output()?;
    if let Some(path) = &wishes.save {
        outputs.written("--save", path)?;
    }
    let Some(name) = &wishes.save_clock else { return Ok(()) };
    clocks::check_name(name)?;
    if !wishes.replace {
        clocks::check_free(name)?;
    }
    outputs.written("--save-clock", &clocks::path_of(Path::new(name))?)
}

fn not_taken(error: NotTaken) -> Failure {
    match error {
        NotTaken::Sound(why) => Failure::CannotWrite(why),
        // What has ended already had a reason of its own, which is the device.
        other => Failure::Unreadable(other.to_string()),
    }
}

/// Shows what settles until the reading has ended; gives it, and what was said last before.
fn follow(
    listening: &Listening,
    taking: &Taking,
    format: ListenFormat,
) -> Result<(Arc<Taken>, Snapshot), Failure> {
    let mut watcher = listening.watch();
    let mut view = View::new(format);
    let mut last = listening.snapshot();
    loop {
        if let Some(snapshot) = watcher.next(LOOK) {
            let shown = match format {
                ListenFormat::Text => view.show(&snapshot),
                ListenFormat::Json => view.is_news(&snapshot).then(|| {
                    let line = ListenLine::of(&snapshot, MeasureResult::live(&snapshot));
                    wire::line(&line)
                }),
            };
            if let Some(shown) = shown {
                print(&shown).inspect_err(|_| taking.stop())?;
            }
            last = snapshot;
        }
        if interrupt::pressed() {
            taking.stop();
        }
        match taking.outcome() {
            Some(Ok(taken)) => return Ok((taken, last)),
            Some(Err(error)) => return Err(not_taken(error)),
            None => {}
        }
    }
}

/// The reading as `measure` has it, with what live sound has to be said of.
fn heard(taken: &Taken, path: PathBuf, last: &Snapshot) -> Heard {
    let mut remarks = taken.remarks();
    if let State::DeviceGone(why) = &last.state {
        for (_, words) in remarks.iter_mut().filter(|(code, _)| *code == "device_gone") {
            words.clone_from(why);
        }
    }
    Heard {
        source: SourceFacts::live(path, &last.source.name, taken),
        settings: taken.settings.clone(),
        reading: taken.reading.clone(),
        remarks,
        cycles: None,
    }
}

fn save_clock(
    name: &str,
    source: &SourceFacts,
    clock: Option<audio::clock::AgainstComputer>,
) -> Result<Status, Failure> {
    let Some(clock) = clock else {
        return Err(Failure::NothingHeard(
            "The recorder's clock was not saved: the computer's is not known to be kept right by \
             time servers (timedatectl says so), or it was less than a minute."
                .into(),
        ));
    };
    if clock.error_ppm.sd >= RecorderClock::UNKNOWN_CRYSTAL_SD_PPM {
        let (sd, of_a_crystal) = (clock.error_ppm.sd, RecorderClock::UNKNOWN_CRYSTAL_SD_PPM);
        return Err(Failure::NothingHeard(format!(
            "The recorder's clock was not saved: after so short a time it is known to {sd:.0} ppm \
             only, worse than the {of_a_crystal:.0} ppm of any crystal: listen for ten minutes or \
             more."
        )));
    }
    let result = ClockResult::of(source, &Found::Computer(clock));
    let file = clocks::keep(name, &wire::lines(&result))?;
    let words = format!("The recorder's clock was kept in {}.", file.display());
    // Where standard error is gone it is kept all the same.
    let _ = writeln!(std::io::stderr(), "endshake: {}", shown::safe(&words));
    Ok(Status::Done)
}

fn print(words: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(words.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))
}
