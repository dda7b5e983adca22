//! What the readings of a balance hint at.

use super::Given;
use crate::wheels::{Train, look_up};
use crate::wire;
use bibliography::written_out;
use horology::findings::{self, Cause, Dispute, Finding, PeriodicFault, Readings, Sign};
use horology::rate_sheet::{RateSheet, SheetError};
use quantities::BeatFrequency;
use regulate::{Boundary, Sheet, Wave};
use words::regulating as said;

pub(super) fn found(
    given: &Given<'_>,
    parted: &[Boundary],
    sheet: &Sheet,
    in_order: &RateSheet,
    beat: Option<BeatFrequency>,
    n: usize,
) -> Result<Vec<wire::RegulatingFinding>, SheetError> {
    let is_touched = regulate::is_touched_by(parted, &sheet.labels[n]);
    let earlier = regulate::earlier(sheet, is_touched, n, given.visits)?;
    let waves = regulate::waves(sheet, given.readings, n);
    let periods: Vec<PeriodicFault> = waves.iter().map(Wave::fault).collect();
    let readings =
        Readings { beat, periods: &periods, earlier: &earlier, ..Readings::of_sheet(in_order, n) };
    let mut found: Vec<wire::RegulatingFinding> = Vec::new();
    for one in findings::findings(&readings) {
        let mut told = finding(&one);
        if one.sign == Sign::PeriodicFault {
            told.evidence.extend(wheels(given, &sheet.labels[n], &waves));
        }
        found.push(told);
    }
    Ok(found)
}

/// What the waves come from by the movement of the watch, where it is known.
fn wheels(given: &Given<'_>, label: &str, waves: &[Wave<'_>]) -> Vec<String> {
    let train = crate::wheels::train(&given.watch.movement);
    if matches!(train, Train::Unknown(_)) {
        return Vec::new();
    }
    let named = |wave: &Wave<'_>| {
        let mut of = wave.of.clone();
        let series = jobs::Repeats { waves: vec![wave.wave], ..wave.series.clone() };
        of.repeats = Some(vec![series]);
        let looked = look_up(&of, &train)?;
        let one = looked.disturbed.first()?;
        let told = words::wheel(label, one, &looked.cycles, looked.looked_up_in);
        Some(format!("{}: {}", told.what, told.from))
    };
    waves.iter().filter_map(named).collect()
}

fn finding(finding: &Finding) -> wire::RegulatingFinding {
    let saying = |cause: &Cause| wire::RegulatingSaying {
        words: cause.words.into(),
        source: written_out(cause.source),
    };
    wire::RegulatingFinding {
        words: said::sign(finding.sign).into(),
        is_plain: finding.is_plain(),
        evidence: finding.evidence.iter().map(said::evidence).collect(),
        causes: finding.causes.iter().map(saying).collect(),
        next_tests: finding
            .next_tests
            .iter()
            .map(|test| wire::RegulatingTest {
                words: test.words.into(),
                tells: test.tells.into(),
                source: written_out(test.source),
            })
            .collect(),
        disputes: finding
            .disputes
            .iter()
            .map(|Dispute { one, other }| wire::RegulatingDispute {
                one: saying(one),
                other: saying(other),
            })
            .collect(),
    }
}
