//! The arguments as typed. What they mean once they are checked against each other is decided by
//! each command.

mod archive;
mod backup;
mod balance;
mod calibrate;
mod check;
mod chronometer;
mod data;
mod demo;
mod depth;
mod doctor;
mod engine;
mod escapement;
mod hairspring;
mod keys;
#[cfg(feature = "capture")]
mod listen;
mod mainspring;
mod measure;
mod missing_wheel;
mod pages;
mod paper;
mod plan;
mod rates;
mod refusal;
mod row;
mod serve;
mod simulate;
mod sounds;
mod temperature;
mod train;
mod values;

pub(crate) use archive::{
    ArchiveCheckWishes, ArchiveCommand, ArchiveReadWishes, ArchiveSeriesWishes, ArchiveWishes,
    ArchiveWriteWishes, PaperRecordsWishes,
};
pub(crate) use backup::BackupWishes;
pub(crate) use balance::BalanceWishes;
pub(crate) use calibrate::CalibrateWishes;
pub(crate) use check::CheckWishes;
pub(crate) use chronometer::ChronometerWishes;
pub(crate) use data::DataWishes;
pub(crate) use demo::DemoWishes;
pub(crate) use depth::DepthWishes;
pub(crate) use doctor::DoctorWishes;
pub(crate) use engine::EngineWords;
pub(crate) use escapement::{EscapementWishes, MarkWish};
pub(crate) use hairspring::HairspringWishes;
#[cfg(feature = "capture")]
pub(crate) use listen::{ListenFormat, ListenWishes};
pub(crate) use mainspring::MainspringWishes;
pub(crate) use measure::{Format, MeasureWishes, PictureKind, ThemeWish};
pub(crate) use missing_wheel::MissingWheelWishes;
pub(crate) use pages::{CompletionsWishes, ManWishes};
pub(crate) use paper::PaperWishes;
pub(crate) use plan::PlanWishes;
pub(crate) use rates::RatesWishes;
pub(crate) use row::{RowWords, TeethWord};
pub(crate) use serve::{BenchWishes, DoorWishes, LogLevel, RoleWish, ServeWishes};
pub(crate) use simulate::{BitDepth, SimulateWishes};
pub(crate) use sounds::BalanceWords;
pub(crate) use temperature::TemperatureWishes;
pub(crate) use train::{HandRate, TrainWishes};
pub(crate) use values::{ChannelWish, MarkWords, Seconds, TextOrJson};

use crate::failure::Failure;
use crate::shown;
use clap::{ColorChoice, Parser, Subcommand};
use std::io::Write;
use std::process::ExitCode;

/// The bench of a watch repairer: hears the balances in the sound of a mechanical watch, with
/// honest uncertainties, plans how a movement goes together again, and keeps the job from intake to
/// handing over. `endshake serve` opens it as a page; the other commands work by themselves.
#[derive(Debug, Parser)]
#[command(name = "endshake", version, max_term_width = 100, after_help = EXIT_STATUSES)]
#[command(disable_help_subcommand = true, propagate_version = true)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Colour the text: always, never, or where it goes to a terminal (NO_COLOR is respected).
    #[arg(long, global = true, value_name = "WHEN", default_value_t = ColorChoice::Auto)]
    #[arg(hide_default_value = true, hide_possible_values = true, display_order = 900)]
    pub(crate) color: ColorChoice,
}

const EXIT_STATUSES: &str = "\
Exit status: 0 done, 1 something could not be written, 2 wrong use, 3 a recording, a log, \
a movement, a rate sheet or the bench's data cannot be read, or a device cannot be opened, 4 no watch \
heard.";

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Serve(ServeWishes),
    Demo(DemoWishes),
    Measure(MeasureWishes),
    #[cfg(feature = "capture")]
    Listen(ListenWishes),
    Calibrate(CalibrateWishes),
    Simulate(SimulateWishes),
    Plan(PlanWishes),
    Train(TrainWishes),
    MissingWheel(MissingWheelWishes),
    Mainspring(MainspringWishes),
    Depth(DepthWishes),
    Balance(Box<BalanceWishes>),
    Hairspring(HairspringWishes),
    Temperature(TemperatureWishes),
    Escapement(Box<EscapementWishes>),
    Rates(RatesWishes),
    Chronometer(ChronometerWishes),
    Paper(PaperWishes),
    Check(CheckWishes),
    Backup(BackupWishes),
    Archive(ArchiveWishes),
    Doctor(DoctorWishes),
    Completions(CompletionsWishes),
    Man(ManWishes),
}

/// Says what is wrong with the arguments, or prints the help that was asked for.
pub(crate) fn refuse(error: &clap::Error) -> ExitCode {
    match refusal::sentence(error) {
        Some(sentence) => {
            let _ = writeln!(std::io::stderr(), "endshake: {}", shown::safe(&sentence));
        }
        None => {
            let printed = error.print().and_then(|()| std::io::stdout().flush());
            if let Err(failure) = printed.map_err(|e| Failure::writing_output(&e)) {
                if let Some(sentence) = failure.sentence() {
                    let _ = writeln!(std::io::stderr(), "endshake: {sentence}");
                }
                return failure.status().into();
            }
        }
    }
    // 2 for wrong use, 0 for help: clap's own numbers, and ours.
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }
}
