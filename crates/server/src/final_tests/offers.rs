//! Numbers that need not be typed: those of readings, and of the last test of its kind.

use crate::convert::{test_figures, test_standard};
use crate::wire;
use horology::final_tests::reading_problems;
use jobs::{Figure, FigureOf, FinalTest, Moment, ReadingId, SignOf, TestKind};
use quantities::{Measured, Position};
use regulate::{Boundary, Kept, Sheet, from_sheet, hours_since_wound};
use std::collections::BTreeMap;
use words::final_tests::reading_problem;
use words::regulating as said;

/// What the readings of a job say of a test of this kind. `tolerance` is what the workshop allows the
/// mean rate, s/d.
pub(crate) fn offers(
    kind: TestKind,
    readings: &[Kept<'_>],
    boundaries: &[Boundary],
    tolerance: (f64, f64),
) -> Vec<wire::TestOffer> {
    match kind {
        TestKind::Rate => of_sheet(readings, boundaries, tolerance),
        TestKind::RunningTime => longest_run(readings, boundaries).into_iter().collect(),
        TestKind::Magnetism => before_and_after(readings),
        _ => Vec::new(),
    }
}

fn of_sheet(
    readings: &[Kept<'_>],
    boundaries: &[Boundary],
    (from, to): (f64, f64),
) -> Vec<wire::TestOffer> {
    // A sheet that cannot be made offers nothing; the page Regulate says why.
    let Ok(sheet) = Sheet::of(readings, boundaries, None) else { return Vec::new() };
    let of = |balance: usize| {
        let (mut figures, read, wind) = from_sheet(&sheet, balance)?;
        for (limit, value) in [(FigureOf::FromSPerD, from), (FigureOf::ToSPerD, to)] {
            figures.insert(limit.code().into(), Figure { value, sd: None });
        }
        let mean = figures.get(FigureOf::MeanSPerD.code())?;
        let rate = said::rate(Measured::new(mean.value, mean.sd.unwrap_or(0.0)));
        let wind = if wind.words.is_empty() { String::new() } else { format!(", {}", wind.words) };
        let count = read.len();
        let positions = if count == 1 { "position" } else { "positions" };
        let balance =
            if sheet.labels.len() > 1 { sheet.labels[balance].clone() } else { String::new() };
        let whose = if balance.is_empty() { String::new() } else { format!("{balance}: ") };
        Some(wire::TestOffer {
            words: format!("{whose}the sheet of Regulate: {count} {positions}{wind}, mean {rate}"),
            balance,
            figures: test_figures(&figures),
            signs: Vec::new(),
            readings: read.iter().map(ReadingId::to_string).collect(),
        })
    };
    (0..sheet.labels.len()).filter_map(of).collect()
}

/// Shortest run that a reading is offered for, hours: a reading of a quarter of an hour says nothing of
/// a running time. Our own choice.
const A_RUN_H: f64 = 1.0;

const HOUR_S: f64 = 3600.0;

/// The reading that shows the watch running longest after it was wound fully, since it was last
/// touched.
fn longest_run(readings: &[Kept<'_>], boundaries: &[Boundary]) -> Option<wire::TestOffer> {
    let touched = boundaries.iter().map(|boundary| boundary.at).max();
    let counts = |taken: Moment| touched.is_none_or(|touched| taken >= touched);
    let run = |kept: &Kept<'_>| {
        let reading = kept.reading;
        let began_h = hours_since_wound(&reading.wind)?;
        let long_h = reading.duration_s / HOUR_S;
        let stopped = reading.warnings.iter().any(|warning| warning.code == "stopped");
        let hours = began_h + long_h;
        (counts(reading.taken) && hours >= A_RUN_H && !reading.balances.is_empty())
            .then_some((kept.id, hours, long_h, stopped))
    };
    let (id, hours, long_h, stopped) =
        readings.iter().filter_map(run).max_by(|a, b| a.1.total_cmp(&b.1))?;
    let exact = |value: f64| Figure { value: (value * 100.0).round() / 100.0, sd: None };
    let mut figures = BTreeMap::from([(FigureOf::HoursRun.code().to_owned(), exact(hours))]);
    if stopped {
        // Some time in the reading; its page says when.
        figures.insert(FigureOf::LookedEveryH.code().into(), exact(long_h));
    }
    let ran = words::plain(hours, 1);
    let words = if stopped {
        format!("a reading in which it stopped, {ran}\u{a0}h after winding at the latest")
    } else {
        format!("a reading that shows it running {ran}\u{a0}h after winding")
    };
    Some(wire::TestOffer {
        words,
        balance: String::new(),
        figures: test_figures(&figures),
        signs: vec![wire::TestSign { code: SignOf::StillRan.code().into(), seen: !stopped }],
        readings: vec![id.to_string()],
    })
}

/// The two newest readings dial up of each balance: one before and one after the field, where the
/// repairer says so by taking them. What speaks against one is told with them: to pass it over for an
/// older one would be to guess which was read after the field.
fn before_and_after(readings: &[Kept<'_>]) -> Vec<wire::TestOffer> {
    let mut dial_up: Vec<&Kept<'_>> =
        readings.iter().filter(|kept| kept.reading.position == Some(Position::CH)).collect();
    dial_up.sort_by_key(|kept| kept.reading.taken);
    let mut labels: Vec<&str> = dial_up
        .iter()
        .flat_map(|kept| &kept.reading.balances)
        .map(|balance| balance.label.as_str())
        .collect();
    labels.sort_unstable();
    labels.dedup();
    let several = labels.len() > 1;
    let of = |label: &str| {
        let rates: Vec<(&Kept<'_>, Measured)> = dial_up
            .iter()
            .filter_map(|kept| {
                let balance = kept.reading.balances.iter().find(|one| one.label == label)?;
                Some((*kept, balance.rate_s_per_d?))
            })
            .collect();
        let [.., (first, before), (second, after)] = rates.as_slice() else { return None };
        let figure = |rate: &Measured| Figure { value: rate.value, sd: Some(rate.sd) };
        let figures = BTreeMap::from([
            (FigureOf::BeforeSPerD.code().to_owned(), figure(before)),
            (FigureOf::AfterSPerD.code().to_owned(), figure(after)),
        ]);
        let balance = if several { label.to_owned() } else { String::new() };
        let whose = if several { format!("{label}: ") } else { String::new() };
        Some(wire::TestOffer {
            words: format!(
                "{whose}the two newest readings dial up, {} before{} and {} after{}",
                said::rate(*before),
                against(first),
                said::rate(*after),
                against(second)
            ),
            balance,
            figures: test_figures(&figures),
            signs: Vec::new(),
            readings: vec![first.id.to_string(), second.id.to_string()],
        })
    };
    labels.into_iter().filter_map(of).collect()
}

/// " (shorter than the 180 s that ISO 764 asks)"; empty where nothing speaks against a reading.
fn against(kept: &Kept<'_>) -> String {
    let wound_h = hours_since_wound(&kept.reading.wind);
    let problems = reading_problems(kept.reading.duration_s, wound_h);
    let words: Vec<String> = problems.into_iter().map(reading_problem).collect();
    if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) }
}

/// What the newest test of this kind and way was done with: the tests of the watch, the oldest first.
pub(crate) fn last(like: &FinalTest, of_watch: &[&FinalTest]) -> Option<wire::TestLast> {
    let same_kind = || of_watch.iter().rev().filter(move |one| one.kind == like.kind);
    let newest = same_kind().find(|one| one.way == like.way).or_else(|| same_kind().next())?;
    let stays = |code: &String| {
        FigureOf::from_code(code).is_some_and(|of| of.is_limit() || of == FigureOf::MarkedBar)
    };
    let figures: BTreeMap<String, Figure> = newest
        .figures
        .iter()
        .filter(|(code, _)| stays(code))
        .map(|(code, figure)| (code.clone(), *figure))
        .collect();
    let of = newest.done.to_string();
    let day = of.split('T').next().unwrap_or_default();
    Some(wire::TestLast {
        words: format!("as on {day}: {}", newest.called()),
        standard: test_standard(newest.standard),
        // What one way is done with is nothing for another.
        instrument: if newest.way == like.way { newest.instrument.clone() } else { String::new() },
        figures: test_figures(&figures),
    })
}
