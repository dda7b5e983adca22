//! The sheet: everything about one reading on one page.

use crate::measure::Heard;
use crate::{sound, text};
use beats::BalanceReading;
use pictures::value;
use plot::{Balance, KeyNumber, Sheet, SheetBalance, Tolerance};
use quantities::Measured;
use std::path::Path;

pub(crate) fn sheet(heard: &Heard, title: Option<&str>, tolerance: Option<Tolerance>) -> Sheet {
    let path = &heard.source.path;
    let name = sound::name(path);
    let stem = Path::new(&name).file_stem().unwrap_or_default().to_string_lossy();
    let balances = &heard.reading.balances;
    let (verdict, sentence) = match &heard.reading.relation {
        Some(relation) => text::relation(relation, balances.len()),
        None => ("", String::new()),
    };
    let mut facts: Vec<String> = title.map(|_| name.clone()).into_iter().collect();
    facts.extend(text::facts(&heard.source));
    Sheet {
        title: title.unwrap_or(&stem).into(),
        facts,
        balances: balances.iter().enumerate().map(|(place, b)| card(place, b)).collect(),
        verdict: verdict.into(),
        sentence,
        warnings: heard.notices().map(|(_, message)| message.into_owned()).collect(),
        drift: Some(pictures::drift(balances, heard.source.duration_s, tolerance)),
        scatter: pictures::scatter_where_hidden(balances, heard.source.duration_s),
        beats: pictures::beats(balances),
        // One reading is of one position.
        dials: Vec::new(),
        courses: pictures::courses(balances),
        periodograms: pictures::periodograms(balances, true),
        footer: format!(
            "{} Uncertainties are one standard deviation; those of rates do not hold the recorder's \
             clock unless it is said. {} Endshake {}",
            text::BEAT_ERROR_IS_HALF,
            text::clock(heard.clock()),
            env!("CARGO_PKG_VERSION")
        ),
    }
}

fn card(place: usize, balance: &BalanceReading) -> SheetBalance {
    let count = |n: u64| text::plain(n as f64, 0);
    let beat = match (balance.nominal, balance.measured_beats_per_hour) {
        (Some(nominal), _) => text::plain(nominal.per_hour(), 0),
        (None, Some(measured)) => text::rounded(measured, false).0,
        (None, None) => "–".into(),
    };
    let used = format!("{} of {} beats", count(balance.beats_used), count(balance.beats_expected));
    SheetBalance {
        balance: Balance::nth(place),
        name: String::new(),
        note: format!("{beat} beats/h · {used}"),
        numbers: vec![
            KeyNumber {
                also: balance.rate_sd_with_clock_s_per_d.map_or_else(String::new, |sd| {
                    format!("± {} with clock", text::uncertainty(sd))
                }),
                ..number("rate", balance.rate_s_per_d, "s/d", true)
            },
            number("amplitude", balance.amplitude_deg, "°", false),
            number("beat error", balance.beat_error_ms, "ms", false),
        ],
    }
}

fn number(name: &str, measured: Option<Measured>, unit: &str, signed: bool) -> KeyNumber {
    KeyNumber {
        name: name.into(),
        value: measured.map(value),
        unit: unit.into(),
        signed,
        when_missing: "cannot tell".into(),
        also: String::new(),
    }
}
