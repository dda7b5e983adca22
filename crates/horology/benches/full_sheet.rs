//! How long everything takes that follows from a rate sheet, for a usual one (six positions fully wound
//! and a day later) and for the fullest that `ratefile` lets through: positions to half an hour in
//! eight states of wind.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "what is measured is made here")]

use criterion::{Criterion, criterion_group, criterion_main};
use horology::findings::{Readings, findings};
use horology::isochronism::{candidates, observe};
use horology::poise::{
    PoiseSet, PoiseSettings, UprightReading, find_heavy_spot, rate_from_heavy_spot_s_per_d,
};
use horology::rate_sheet::{Cell, Evidence, RateSheet, Wind, published_classes};
use horology::stance::{Stance, Upright};
use quantities::Measured;
use std::hint::black_box;

/// A sheet with a heavy spot, from 300 degrees of amplitude down to 150.
fn sheet(upright: &[Upright], winds: u16) -> RateSheet {
    let mut sheet = RateSheet::new(0.1).unwrap();
    for wind in 0..winds {
        let amplitude = 300.0 - 150.0 * f64::from(wind) / f64::from((winds - 1).max(1));
        let flat = [Stance::DialUp, Stance::DialDown];
        let stances = flat.into_iter().chain(upright.iter().copied().map(Stance::Upright));
        for stance in stances {
            let rate = stance.upright().map_or(2.0, |position| {
                2.0 + rate_from_heavy_spot_s_per_d(1.6e-3, 130.0, position, amplitude)
            });
            sheet
                .put(Cell {
                    balance: 0,
                    wind: Wind::after_hours(3 * wind),
                    stance,
                    rate_s_per_d: Measured::new(rate, 0.3),
                    amplitude_deg: Some(Measured::new(amplitude, 2.0)),
                    beat_error_ms: Some(Measured::new(0.2, 0.1)),
                })
                .unwrap();
        }
    }
    sheet
}

/// All answers to one sheet.
fn all_answers(sheet: &RateSheet) -> usize {
    let set = |wind: Wind| {
        let cells = sheet.cells().iter().filter(|cell| cell.wind == wind);
        let readings = cells.filter_map(|cell| {
            Some(UprightReading {
                position: cell.stance.upright()?,
                rate_s_per_d: cell.rate_s_per_d,
                amplitude_deg: cell.amplitude_deg?,
            })
        });
        PoiseSet { readings: readings.collect() }
    };
    let sets: Vec<PoiseSet> = sheet.winds(0).into_iter().map(set).collect();
    let spot = find_heavy_spot(&sets, &PoiseSettings::default()).unwrap();
    let column = sheet.column(0, Wind::FULL).unwrap();
    let evidence = Evidence { column: Some(&column), ..Evidence::default() };
    let classes = published_classes(Upright::FOUR[0]);
    let judged: usize = classes.iter().map(|class| class.judge(&evidence).judgements.len()).sum();
    let causes = candidates(&observe(sheet, 0).unwrap());
    let signs = findings(&Readings::of_sheet(sheet, 0));
    spot.freedoms + judged + causes.len() + signs.len()
}

fn sheets(c: &mut Criterion) {
    let half_hours: Vec<Upright> = (0..24).map(|n| Upright::from_uppermost_deg(15 * n)).collect();
    for (name, sheet) in
        [("usual sheet", sheet(&Upright::FOUR, 2)), ("fullest sheet", sheet(&half_hours, 8))]
    {
        c.bench_function(name, |b| b.iter(|| all_answers(black_box(&sheet))));
    }
}

criterion_group!(benches, sheets);
criterion_main!(benches);
