//! `endshake`, the one binary: takes arguments, wires the crates together and prints. What it
//! prints of a watch was computed in `beats` and `horology`; what it writes down for programs are
//! the types in [`wire`].

mod archive;
mod arguments;
mod backup;
mod balance;
mod calibrate;
mod check;
mod chronometer;
mod clocks;
mod csv;
mod data;
mod demo_command;
mod demo_folder;
mod depth;
mod doctor_command;
mod escapement;
mod failure;
mod hairspring;
mod interrupt;
#[cfg(feature = "capture")]
mod listen;
mod log;
mod mainspring;
mod manager;
mod measure;
mod missing_wheel;
mod outputs;
mod pages;
mod paper;
mod picture_files;
mod plan;
mod printed;
mod progress;
mod rates;
mod serve;
mod shown;
mod simulate;
mod sound;
mod standard_input;
mod temperature;
mod text;
mod train;
mod upgrade;
mod whole_file;
mod whole_input;
mod wire;

use arguments::{Arguments, Command};
use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return arguments::refuse(&error),
    };
    let result = match arguments.command {
        Command::Serve(wishes) => serve::run(&wishes),
        Command::Demo(wishes) => demo_command::run(&wishes),
        Command::Measure(wishes) => measure::run(&wishes, arguments.color),
        #[cfg(feature = "capture")]
        Command::Listen(wishes) => listen::run(&wishes, arguments.color),
        Command::Calibrate(wishes) => calibrate::run(&wishes, arguments.color),
        Command::Simulate(wishes) => simulate::run(&wishes),
        Command::Plan(wishes) => plan::run(&wishes, arguments.color),
        Command::Train(wishes) => train::run(&wishes, arguments.color),
        Command::MissingWheel(wishes) => missing_wheel::run(&wishes, arguments.color),
        Command::Mainspring(wishes) => mainspring::run(&wishes, arguments.color),
        Command::Depth(wishes) => depth::run(&wishes, arguments.color),
        Command::Balance(wishes) => balance::run(&wishes, arguments.color),
        Command::Hairspring(wishes) => hairspring::run(&wishes, arguments.color),
        Command::Temperature(wishes) => temperature::run(&wishes, arguments.color),
        Command::Escapement(wishes) => escapement::run(&wishes, arguments.color),
        Command::Rates(wishes) => rates::run(&wishes, arguments.color),
        Command::Chronometer(wishes) => chronometer::run(&wishes, arguments.color),
        Command::Paper(wishes) => paper::run(&wishes),
        Command::Check(wishes) => check::run(&wishes, arguments.color),
        Command::Backup(wishes) => backup::run(&wishes),
        Command::Archive(wishes) => archive::run(&wishes),
        Command::Doctor(wishes) => doctor_command::run(&wishes, arguments.color),
        Command::Completions(wishes) => pages::completions(&wishes),
        Command::Man(wishes) => pages::man(&wishes),
    };
    match result {
        Ok(status) => status.into(),
        Err(failure) => {
            if let Some(sentence) = failure.sentence() {
                // Where even standard error is gone there is nobody left to tell.
                let _ = writeln!(std::io::stderr(), "endshake: {}", shown::safe(sentence));
            }
            failure.status().into()
        }
    }
}
