//! `studies`: measures how well the engine does. `studies help` lists the studies.

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match studies::run(&arguments, &mut std::io::stdout().lock()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("studies: {failure}");
            ExitCode::from(2)
        }
    }
}
