//! One recording of a family, looked into: what was laid down and what was heard, side by side.

use crate::arguments::{Arguments, number};
use crate::command::Failure;
use crate::families::family;
use crate::hearing::{Heard, hear};
use crate::markdown::Table;
use crate::recordings::Recording;
use crate::verdict::{Quantity, Verdict, least_rate_sd_s_per_d};
use crate::wav;
use std::io::Write;

/// `case FAMILY SEED`.
pub(crate) fn case(arguments: &Arguments, out: &mut dyn Write) -> Result<(), Failure> {
    let [_, name, seed] = arguments.words.as_slice() else {
        return Err(Failure::WrongUse("case wants a family and a seed after it".to_owned()));
    };
    let Some(family) = family(name) else {
        return Err(Failure::WrongUse(format!("there is no family {name:?}; see `studies help`")));
    };
    let mut recording = (family.recording)(number("seed", seed)?);
    if arguments.balances.is_some() {
        recording.told.balances = arguments.balances;
    }
    if let Some(path) = &arguments.wav {
        wav::write(path, &recording)?;
        writeln!(out, "Sound written to {}.\n", path.display())?;
    }
    let heard = hear(&recording)?;
    describe(&recording, out)?;
    compare(&heard, out)
}

fn describe(recording: &Recording, out: &mut dyn Write) -> Result<(), Failure> {
    let s = &recording.scenario;
    let told = &recording.told;
    writeln!(
        out,
        "{}: {} s, {} Hz, {} channel(s), recorder's clock {:+.1} ppm, stored as {:?}\n\
         told: lift {:?}, beat {:?}, balances {:?}, clock {:?}",
        recording.kind,
        s.duration_s,
        s.sample_rate_hz,
        s.channels,
        s.clock_error_ppm,
        recording.store_as,
        told.lift_deg,
        told.beats_per_hour,
        told.balances,
        told.clock_ppm,
    )?;
    for noise in &s.noises {
        writeln!(out, "noise: {noise:?}")?;
    }
    if let Some(room) = &s.room {
        writeln!(out, "room: {room:?}")?;
    }
    for b in &s.balances {
        writeln!(
            out,
            "laid down: loudness {:.3} ± {:.0} %, voice {:?}, jitter {:.0} µs, amplitude sd {:.1}°, \
             first tick at {:.4} s, runs from {:?} to {:?} s",
            b.loudness,
            100.0 * b.loudness_sd,
            b.voice.family,
            b.jitter_us,
            b.amplitude_sd_deg,
            b.offset_s,
            b.starts_at_s,
            b.stops_at_s,
        )?;
    }
    writeln!(out)?;
    Ok(())
}

fn compare(heard: &Heard, out: &mut dyn Write) -> Result<(), Failure> {
    let verdict = Verdict::of(heard);
    let mut table = Table::new(["balance", "what", "truth", "heard", "sd", "error", "error/sd"]);
    for (t, truth) in heard.truth.balances.iter().enumerate() {
        let pair = verdict.matching.pairs.iter().find(|p| p.truth == t);
        let reading = pair.map(|p| &heard.reading.balances[p.found]);
        let label = format!("{}", t + 1);
        let dash = || "–".to_owned();
        let fields = |name: &str, truth: String, heard: Option<String>| {
            let heard =
                heard.unwrap_or_else(|| if reading.is_some() { dash() } else { "missed".into() });
            [label.clone(), name.to_owned(), truth, heard, dash(), dash(), dash()]
        };
        table.row(fields(
            "beats per hour",
            format!("{:.0}", truth.beats_per_hour),
            reading.and_then(|r| r.nominal).map(|n| format!("{:.0}", n.per_hour())),
        ));
        for quantity in Quantity::ALL {
            let value = quantity.of_truth(truth);
            let digits = quantity.decimals();
            let name = format!("{}, {}", quantity.name(), quantity.unit());
            let of_truth = match quantity {
                Quantity::Rate => {
                    format!("{value:.digits$} (least sd {:.4})", least_rate_sd_s_per_d(truth))
                }
                _ => format!("{value:.digits$}"),
            };
            match reading.and_then(|r| quantity.of_reading(r)) {
                Some(m) => table.row([
                    label.clone(),
                    name,
                    of_truth,
                    format!("{:.digits$}", m.value),
                    format!("{:.digits$}", m.sd),
                    format!("{:+.digits$}", m.value - value),
                    format!("{:+.1}", (m.value - value) / m.sd),
                ]),
                None => table.row(fields(&name, of_truth, None)),
            }
        }
        table.row(fields(
            "beats used of expected",
            truth.beats.to_string(),
            reading.map(|r| format!("{} of {}", r.beats_used, r.beats_expected)),
        ));
        let end = |t: Option<f64>| t.map_or("–".to_owned(), |t| format!("{t:.2}"));
        table.row(fields(
            "runs from, to, s",
            format!("{} {}", end(truth.first_beat_s), end(truth.last_beat_s)),
            reading.map(|r| format!("{:.2} {:.2}", r.running_s.0, r.running_s.1)),
        ));
        table.row(fields(
            "signal to noise, dB",
            dash(),
            reading.and_then(|r| r.signal_to_noise_db).map(|db| format!("{db:.1}")),
        ));
    }
    writeln!(out, "{table}")?;
    for (name, list) in [
        ("balances that are not there", &verdict.matching.invented),
        ("balances heard twice", &verdict.matching.redundant),
    ] {
        for &i in list {
            let r = &heard.reading.balances[i];
            writeln!(
                out,
                "{name}: nominal {:?}, measured {:?}, rate {:?}, amplitude {:?}, beat error {:?}, \
                 {} of {} beats",
                r.nominal.map(|n| n.per_hour()),
                r.measured_beats_per_hour.map(|m| m.value),
                r.rate_s_per_d,
                r.amplitude_deg,
                r.beat_error_ms,
                r.beats_used,
                r.beats_expected,
            )?;
        }
    }
    if let Some(relation) = &heard.reading.relation {
        writeln!(out, "relation: {relation:?}")?;
    }
    for warning in &heard.reading.warnings {
        writeln!(out, "warning {}: {}", warning.code.name(), warning.message)?;
    }
    if verdict.is_wrong_and_sure() {
        writeln!(out, "WRONG AND SURE OF IT")?;
    }
    Ok(())
}
