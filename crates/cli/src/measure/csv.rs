//! Readings as comma-separated values (RFC 4180, lines ended by a line feed): one row a balance, and
//! one row for a recording without any.

use super::Heard;
use crate::csv::quoted;
use beats::BalanceReading;
use quantities::Measured;
use std::path::Path;

/// The names at the head, once.
pub(crate) const HEADER: &str = "path,label,beats_per_hour,measured_beats_per_hour,rate_s_per_d,\
    rate_sd_s_per_d,rate_sd_with_clock_s_per_d,beat_error_ms,beat_error_sd_ms,amplitude_deg,\
    amplitude_sd_deg,lift_angle_deg,beats_used,beats_expected,signal_to_noise_db,duration_s,\
    relation,warnings,error,status,sample_rate_hz,clock_error_ppm,clock_sd_ppm\n";

/// What became of a recording, in the column `status`: a balance is heard, none is, or it could not
/// be read.
const HEARD: &str = "heard";
const NO_WATCH: &str = "no_watch";
const UNREADABLE: &str = "unreadable";

/// Columns between the label and the relation.
const NUMBERS: usize = 14;

/// All rows of one recording.
pub(crate) fn rows(heard: &Heard) -> String {
    let path = heard.source.path.to_string_lossy();
    let relation = heard.reading.relation.map_or("", |r| crate::wire::state(r.state));
    let mut codes: Vec<&str> = heard.notices().map(|(code, _)| code).collect();
    codes.dedup();
    let codes = codes.join(" ");
    let clock = heard.clock();
    let about = [
        heard.source.sample_rate.hz().to_string(),
        clock.error.ppm().to_string(),
        clock.sd_ppm.to_string(),
    ];
    if heard.reading.balances.is_empty() {
        let mut fields = vec![quoted(&path), String::new()];
        fields.resize(2 + NUMBERS - 1, String::new());
        fields.push(heard.source.duration_s.to_string());
        fields.extend([relation.to_owned(), codes, String::new(), NO_WATCH.into()]);
        fields.extend(about);
        return fields.join(",") + "\n";
    }
    let balances = heard.reading.balances.iter().enumerate();
    balances
        .map(|(place, balance)| {
            let mut fields = vec![quoted(&path), plot::Balance::nth(place).letter];
            fields.extend(numbers(balance));
            fields.push(heard.source.duration_s.to_string());
            fields.extend([relation.to_owned(), codes.clone(), String::new(), HEARD.into()]);
            fields.extend(about.clone());
            fields.join(",") + "\n"
        })
        .collect()
}

/// The row of a recording that could not be read.
pub(crate) fn error(path: &Path, sentence: &str) -> String {
    let mut fields = vec![quoted(&path.to_string_lossy())];
    fields.resize(2 + NUMBERS + 2, String::new());
    fields.extend([quoted(sentence), UNREADABLE.into()]);
    fields.resize(2 + NUMBERS + 7, String::new());
    fields.join(",") + "\n"
}

fn numbers(balance: &BalanceReading) -> Vec<String> {
    let plain = |number: Option<f64>| {
        number.filter(|n| n.is_finite()).map_or_else(String::new, |n| n.to_string())
    };
    let value = |m: Option<Measured>| plain(m.map(|m| m.value));
    let sd = |m: Option<Measured>| plain(m.map(|m| m.sd));
    vec![
        plain(balance.nominal.map(|n| n.per_hour())),
        value(balance.measured_beats_per_hour),
        value(balance.rate_s_per_d),
        sd(balance.rate_s_per_d),
        plain(balance.rate_sd_with_clock_s_per_d),
        value(balance.beat_error_ms),
        sd(balance.beat_error_ms),
        value(balance.amplitude_deg),
        sd(balance.amplitude_deg),
        balance.lift_angle.deg().to_string(),
        balance.beats_used.to_string(),
        balance.beats_expected.to_string(),
        plain(balance.signal_to_noise_db),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_has_as_many_columns_as_the_header() {
        let columns = HEADER.split(',').count();
        assert_eq!(error(Path::new("x.wav"), "No.").split(',').count(), columns);
    }
}
