//! The recorder's clock: does the uncertainty that includes it cover the error that includes it?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::CLOCK_KINDS;
use crate::markdown::{Table, percent};
use crate::one::{Case, hear_family};
use beats::WarningCode;
use quantities::Measured;
use std::io::Write;
use truth::score::{Coverage, ErrorSummary};

/// Recordings of each kind, where not said otherwise.
const RECORDINGS_OF_A_KIND: u64 = 100;

/// The study `clock`. Returns what is short of its aim.
pub(crate) fn clock(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let each = arguments.recordings.unwrap_or(RECORDINGS_OF_A_KIND);
    let count = each * CLOCK_KINDS.len() as u64;
    let cases = hear_family("clock", arguments.first_seed, count)?;
    let mut table = Table::new([
        "recorder's clock",
        "recordings",
        "rate, rms error, s/d",
        "claimed with the clock, rms sd, s/d",
        "within 1 sd",
        "within 2 sd",
        "`clock_uncalibrated`",
    ]);
    let mut short = Vec::new();
    for kind in CLOCK_KINDS {
        let of_kind: Vec<&Case> = cases.iter().filter(|c| c.recording.kind == kind).collect();
        let (mut errors, mut sds) = (ErrorSummary::default(), ErrorSummary::default());
        let mut coverage = Coverage::default();
        for (error, sd) in of_kind.iter().filter_map(|c| claim_with_clock(c)) {
            errors.add(error);
            sds.add(sd);
            coverage.add(error, sd);
        }
        let warned = of_kind.iter().filter(|c| warns(c)).count();
        table.row([
            kind.to_owned(),
            of_kind.len().to_string(),
            format!("{:.3}", errors.rms()),
            format!("{:.3}", sds.rms()),
            percent(coverage.within_one, coverage.count),
            percent(coverage.within_two, coverage.count),
            warned.to_string(),
        ]);
        let ought_to_warn = if kind == CLOCK_KINDS[0] { of_kind.len() } else { 0 };
        if warned != ought_to_warn {
            short.push(format!("{kind}: {warned} of {} warn of the clock", of_kind.len()));
        }
        let (one, two) = Coverage::NORMAL;
        for (share, normal) in
            [(coverage.share_within_one(), one), (coverage.share_within_two(), two)]
        {
            // Three standard deviations of a share of so many recordings are chance.
            if (share - normal).abs() > (3.0 * coverage.sd_of_share(normal)).max(0.05) {
                short.push(format!(
                    "{kind}: {:.1} % covered, not {:.0} %",
                    100.0 * share,
                    100.0 * normal
                ));
            }
        }
    }
    writeln!(out, "{count} recordings on recorders with an error of 20 ppm (rms).\n\n{table}")?;
    Ok(short)
}

fn warns(case: &Case) -> bool {
    case.heard.reading.warnings.iter().any(|w| w.code == WarningCode::ClockUncalibrated)
}

/// Error of the rate and what is claimed for it with the clock's uncertainty added.
fn claim_with_clock(case: &Case) -> Option<(f64, f64)> {
    let pair = case.verdict.matching.pairs.first()?;
    let reading = &case.heard.reading.balances[pair.found];
    let Measured { value, .. } = reading.rate_s_per_d?;
    let truth = &case.heard.truth.balances[pair.truth];
    Some((value - truth.rate_by_slope_s_per_d, reading.rate_sd_with_clock_s_per_d?))
}
