//! `endshake simulate`: a recording with known truth.

mod scenario;

use crate::arguments::{BitDepth, SimulateWishes};
use crate::failure::{Failure, Status};
use crate::outputs::Outputs;
use crate::progress::{Piece, Progress};
use crate::wire::{self, TruthResult};
use crate::{interrupt, sound, whole_file};
use audio::{AudioError, Encoding, FlacWriter, WavEncoder, WavFormat, WavWriter};
use std::cell::Cell;
use std::io::{self, IsTerminal, Seek, SeekFrom, Write};
use std::path::Path;
use truth::{Scenario, Sound};

/// Frames made at once.
const BLOCK_FRAMES: usize = 4096;

/// Carries the command out.
pub(crate) fn run(wishes: &SimulateWishes) -> Result<Status, Failure> {
    let scenario = scenario::of(wishes)?;
    check_outputs(wishes)?;
    interrupt::watch();
    if let Some(output) = &wishes.output {
        let format = WavFormat {
            sample_rate_hz: scenario.sample_rate_hz,
            channels: scenario.channels,
            encoding: match wishes.bit_depth {
                BitDepth::Bits16 => Encoding::Bits16,
                BitDepth::Bits24 => Encoding::Bits24,
                BitDepth::Float => Encoding::Float32,
            },
        };
        if output == Path::new("-") {
            to_standard_output(&scenario, format)?;
        } else {
            to_file(output, &scenario, format)?;
        }
    }
    if let Some(path) = &wishes.truth {
        let truth = scenario.truth().map_err(|e| Failure::WrongUse(sentence(&e)))?;
        let json = wire::lines(&TruthResult::of(wishes.output.as_deref(), &scenario, &truth));
        whole_file::write(path, json.as_bytes())?;
    }
    Ok(Status::Done)
}

/// Sound and truth must not land in one file.
fn check_outputs(wishes: &SimulateWishes) -> Result<(), Failure> {
    let mut outputs = Outputs::default();
    match &wishes.output {
        Some(output) if output == Path::new("-") => outputs.standard_output()?,
        Some(output) => {
            kind_of(output)?;
            outputs.written("--output", output)?;
        }
        None => {}
    }
    wishes.truth.as_ref().map_or(Ok(()), |path| outputs.written("--truth", path))
}

/// A scenario's complaint as a sentence.
fn sentence(error: &truth::ScenarioError) -> String {
    format!("This recording cannot be made: {error}.")
}

/// Kinds of sound file that are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FileKind {
    Wav,
    Flac,
}

/// The kind that a name's ending stands for; a name without one is a WAV file's.
fn kind_of(path: &Path) -> Result<FileKind, Failure> {
    let Some(ending) = path.extension() else { return Ok(FileKind::Wav) };
    match ending.to_string_lossy().to_ascii_lowercase().as_str() {
        "wav" => Ok(FileKind::Wav),
        "flac" => Ok(FileKind::Flac),
        _ => Err(Failure::WrongUse(format!(
            "“{}” would be neither WAV nor FLAC, which are all that is written: let the name end in \
             .wav or .flac.",
            path.display()
        ))),
    }
}

fn to_file(path: &Path, scenario: &Scenario, format: WavFormat) -> Result<(), Failure> {
    let cannot = |error: AudioError| Failure::CannotWrite(format!("“{}”: {error}", path.display()));
    let flac = kind_of(path)? == FileKind::Flac;
    if flac && format.encoding == Encoding::Float32 {
        return Err(Failure::WrongUse(
            "A FLAC file holds no floating point: choose a --bit-depth of 16 or 24.".into(),
        ));
    }
    let name = sound::name(path);
    let place = whole_file::place(path)?;
    if flac {
        let mut writer = FlacWriter::create(&place, format).map_err(cannot)?;
        make(scenario, name, |block| writer.write(block).map_err(cannot))?;
        writer.finish().map_err(cannot)
    } else {
        let mut writer = WavWriter::create(&place, format).map_err(cannot)?;
        make(scenario, name, |block| writer.write(block).map_err(cannot))?;
        writer.finish().map_err(cannot)
    }
}

fn to_standard_output(scenario: &Scenario, format: WavFormat) -> Result<(), Failure> {
    let out = io::stdout();
    if out.is_terminal() {
        return Err(Failure::WrongUse(
            "Sound would only disturb this terminal: send it to a file or another program.".into(),
        ));
    }
    let nobody_reads = Cell::new(false);
    let failed = |error: AudioError| {
        if nobody_reads.get() {
            Failure::NobodyReads
        } else {
            Failure::CannotWrite(format!("Standard output: {error}"))
        }
    };
    let pipe = Pipe { out: out.lock(), lengths_come: false, nobody_reads: &nobody_reads };
    let mut encoder = WavEncoder::new(pipe, format).map_err(failed)?;
    make(scenario, "recording".into(), |block| encoder.write(block).map_err(failed))?;
    encoder.finish().map_err(failed)?;
    Ok(())
}

/// Standard output as the encoder wants it. Nobody can go back in a pipe, so the lengths that are
/// written at the end are dropped: the header says, as is usual in pipes, that they are not known.
struct Pipe<'a, W> {
    out: W,
    lengths_come: bool,
    nobody_reads: &'a Cell<bool>,
}

impl<W: Write> Write for Pipe<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.lengths_come {
            return Ok(bytes.len());
        }
        let written = self.out.write(bytes);
        if written.as_ref().is_err_and(|e| e.kind() == io::ErrorKind::BrokenPipe) {
            self.nobody_reads.set(true);
        }
        written
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

impl<W> Seek for Pipe<'_, W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.lengths_come = true;
        match to {
            SeekFrom::Start(at) => Ok(at),
            _ => Err(io::ErrorKind::Unsupported.into()),
        }
    }
}

/// Makes the sound block by block.
fn make(
    scenario: &Scenario,
    name: String,
    mut write: impl FnMut(&[f32]) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let mut sound = Sound::new(scenario).map_err(|e| Failure::WrongUse(sentence(&e)))?;
    let progress = Progress::new(1, name);
    let mut piece = Piece::new(&progress, Some(scenario.frames() as f64));
    let mut block = vec![0.0; BLOCK_FRAMES * scenario.channels];
    let mut frames = 0;
    loop {
        if interrupt::pressed() {
            return Err(Failure::Interrupted);
        }
        let filled = sound.fill(&mut block);
        if filled == 0 {
            break;
        }
        write(&block[..filled])?;
        frames += filled / scenario.channels;
        piece.reached(frames as f64);
    }
    Ok(())
}
