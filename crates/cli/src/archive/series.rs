//! `endshake archive series`: the series behind the readings of an archive, as tables for other programs.

use super::told::count;
use super::{Bar, open, print, stopped_or};
use crate::arguments::{ArchiveSeriesWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::interrupt::{self, Stoppable};
use crate::shown;
use crate::standard_input;
use crate::wire::{self, SeriesWritten, Unheard, side};
use archive::{BalanceSeries, Beat, Item, Reader, SeriesRows, SeriesTables, Sort, Unwritten};
use beats::{AveragedBeat, BalanceReading, CoursePoint};
use jobs::{MediaHash, ReadingId, ReadingSettings};
use quantities::Measured;
use std::collections::HashMap;
use std::fs::File;
use std::io::{self, BufReader, Write};
use std::path::Path;

type Archive = Reader<BufReader<Stoppable<File>>>;

/// A reading, and how its sound is heard.
struct Kept {
    id: ReadingId,
    settings: ReadingSettings,
    sound: Option<MediaHash>,
    duration_s: f64,
}

/// What was made of all of them.
#[derive(Default)]
struct Told {
    readings: u64,
    without_sound: u64,
    unheard: Vec<(ReadingId, String)>,
    rows: SeriesRows,
}

pub(super) fn run(wishes: &ArchiveSeriesWishes) -> Result<Status, Failure> {
    let ArchiveSeriesWishes { file, out, format } = wishes;
    if out.symlink_metadata().is_ok() {
        return Err(Failure::WrongUse(format!(
            "“{}” is there already: name a folder that is to be made.",
            out.display()
        )));
    }
    let mut reader = open(file)?;
    let shown = standard_input::shown(file);
    let readings = readings(&mut reader, &shown)?;
    let cannot = |error: io::Error| cannot_write(out, &error);
    let beside = out.parent().filter(|folder| !folder.as_os_str().is_empty());
    // It has its name once all is in it.
    let growing = tempfile::Builder::new()
        .prefix(".endshake-series-")
        .tempdir_in(beside.unwrap_or(Path::new(".")))
        .map_err(cannot)?;
    let told = fill(&mut reader, &shown, &readings, growing.path(), out)?;
    let growing = growing.keep();
    if let Err(error) = std::fs::rename(&growing, out) {
        // Nothing better can be done where this fails too.
        let _ = std::fs::remove_dir_all(growing);
        return Err(cannot(error));
    }
    let status = if told.unheard.is_empty() { Status::Done } else { Status::Unreadable };
    print(&match format {
        TextOrJson::Json => wire::line(&written(file, out, &told)),
        TextOrJson::Text => text(&shown, out, &told),
    })?;
    Ok(status)
}

fn readings(reader: &mut Archive, shown: &str) -> Result<Vec<Kept>, Failure> {
    let mut readings = Vec::new();
    for n in 0..reader.pieces() {
        for item in reader.items(n).map_err(|refused| stopped_or(refused, shown))? {
            if let Item::Reading(whole) = item {
                let jobs::Reading { settings, sound, duration_s, .. } = whole.value;
                readings.push(Kept { id: whole.id, settings, sound, duration_s });
            }
        }
    }
    Ok(readings)
}

/// Hears one after the other and writes what comes of it.
fn fill(
    reader: &mut Archive,
    shown: &str,
    readings: &[Kept],
    folder: &Path,
    out: &Path,
) -> Result<Told, Failure> {
    let sounds = reader.media().iter().enumerate();
    let sounds = sounds.filter(|(_, media)| media.sort == Sort::Sound);
    let places: HashMap<MediaHash, usize> = sounds.map(|(n, media)| (media.hash, n)).collect();
    let all_s: f64 = readings.iter().map(|kept| kept.duration_s).sum();
    let mut bar = Bar::new("hearing");
    let mut heard_s = 0.0;
    let mut tables = SeriesTables::default();
    let mut told = Told::default();
    for kept in readings {
        let sound = kept.sound.and_then(|sound| places.get(&sound));
        let Some(sound) = sound else {
            told.without_sound += 1;
            continue;
        };
        let file = sound_file(reader, *sound, shown, out)?;
        let heard = server::hear_again(file.path(), &kept.settings, |_| !interrupt::pressed());
        match heard {
            Ok(None) => return Err(Failure::Interrupted),
            Ok(Some(reading)) => {
                told.readings += 1;
                for (place, balance) in reading.balances.iter().enumerate() {
                    let label = plot::Balance::nth(place).letter;
                    let full = tables.put(kept.id, &series(&label, balance));
                    write(folder, out, full.map_err(|error| unwritten(&error))?)?;
                }
            }
            Err(sentence) => told.unheard.push((kept.id, sentence)),
        }
        heard_s += kept.duration_s;
        if !bar.reached((1e3 * heard_s) as u64, (1e3 * all_s) as u64) {
            return Err(Failure::Interrupted);
        }
    }
    let (files, rows) = tables.finish().map_err(|error| unwritten(&error))?;
    write(folder, out, files)?;
    told.rows = rows;
    Ok(told)
}

/// One of its sounds as a file, for as long as it is heard.
fn sound_file(
    reader: &mut Archive,
    n: usize,
    shown: &str,
    out: &Path,
) -> Result<tempfile::NamedTempFile, Failure> {
    let cannot = |error: io::Error| cannot_write(out, &error);
    let mut file = tempfile::Builder::new().suffix(".flac").tempfile().map_err(cannot)?;
    let refused = |refused| stopped_or(refused, shown);
    let mut blocks = reader.blocks(n).map_err(refused)?;
    while let Some(block) = blocks.next_block().map_err(refused)? {
        file.write_all(block).map_err(cannot)?;
    }
    file.flush().map_err(cannot)?;
    Ok(file)
}

fn series<'a>(label: &'a str, balance: &BalanceReading) -> BalanceSeries<'a> {
    let course = |points: &[CoursePoint]| -> Vec<(f64, Measured)> {
        points.iter().map(|point| (point.time_s, point.value)).collect()
    };
    let beats = balance.drift.iter().map(|point| Beat {
        time_s: point.time_s,
        gain_ms: point.gain_ms,
        residual_ms: point.residual_ms,
        side: side(point.side),
        used: point.used,
    });
    BalanceSeries {
        label,
        beats: beats.collect(),
        amplitude_deg: course(&balance.amplitude_course),
        rate_s_per_d: course(&balance.rate_course),
        averaged_beats: balance.averaged_beats.iter().map(averaged).collect(),
    }
}

fn averaged(beat: &AveragedBeat) -> (&'static str, Vec<[f64; 3]>) {
    let values = beat.mean.iter().zip(&beat.spread).enumerate();
    let at_ms = |n: usize| n as f64 * beat.step_ms + beat.start_ms;
    (side(beat.side), values.map(|(n, (mean, spread))| [at_ms(n), *mean, *spread]).collect())
}

fn write(folder: &Path, out: &Path, files: Vec<(String, Vec<u8>)>) -> Result<(), Failure> {
    for (name, bytes) in files {
        std::fs::write(folder.join(name), bytes).map_err(|error| cannot_write(out, &error))?;
    }
    Ok(())
}

fn cannot_write(out: &Path, error: &io::Error) -> Failure {
    Failure::CannotWrite(format!("“{}” could not be written ({error}).", out.display()))
}

fn unwritten(error: &Unwritten) -> Failure {
    Failure::CannotWrite(error.to_string())
}

fn written(file: &Path, out: &Path, told: &Told) -> SeriesWritten {
    let unheard = told
        .unheard
        .iter()
        .map(|(reading, error)| Unheard { reading_id: reading.to_string(), error: error.clone() });
    SeriesWritten {
        schema: "endshake.series_written/1",
        file: file.display().to_string(),
        folder: out.display().to_string(),
        readings: told.readings,
        without_sound: told.without_sound,
        unheard: unheard.collect(),
        beats: told.rows.beats,
        courses: told.rows.courses,
        averaged_beats: told.rows.averaged_beats,
    }
}

fn text(shown: &str, out: &Path, told: &Told) -> String {
    let SeriesRows { beats, courses, averaged_beats } = told.rows;
    let mut lines = format!(
        "{}\nHeard again and written into {}: {}; {}, {} of courses, {} of averaged beats.\n",
        shown::safe(shown),
        shown::safe(&out.display().to_string()),
        count(told.readings, "reading", "readings"),
        count(beats, "beat", "beats"),
        count(courses, "point", "points"),
        count(averaged_beats, "value", "values"),
    );
    if told.without_sound > 0 {
        lines += &format!(
            "{} no sound: of these there are no series.\n",
            count(told.without_sound, "reading has", "readings have")
        );
    }
    for (reading, sentence) in &told.unheard {
        lines += &format!("! reading {reading}: {}\n", shown::safe(sentence));
    }
    lines
}
