//! What repeats in the readings of the sheet.

use crate::sheet::{Kept, Placed, Sheet, own};
use horology::findings::{PeriodicFault, Where};
use jobs::{BalanceReading, ReadingId, RepeatingWave, Repeats, RepeatsIn};
use quantities::Measured;

/// With what chance noise alone may make a wave anywhere on the sheet.
const CHANCE: f64 = 0.01;
/// Periods are one where they differ by no more than this many standard deviations.
const SAME_SD: f64 = 3.0;

/// A wave that stands out in a reading of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wave<'a> {
    /// The reading.
    pub reading: ReadingId,
    /// Its balance there.
    pub of: &'a BalanceReading,
    /// The series in which it stands.
    pub series: &'a Repeats,
    /// The wave.
    pub wave: RepeatingWave,
    /// Where it was read.
    pub place: Where,
}

impl Wave<'_> {
    /// As what readings hint at has it.
    #[must_use]
    pub fn fault(&self) -> PeriodicFault {
        // Half of peak to peak is known well enough for its chance to be small; how well, is not kept.
        let size = |of| (self.series.of == of).then(|| Measured::new(self.wave.half_swing, 0.0));
        PeriodicFault {
            period_s: self.wave.period_s,
            timing_ms: size(RepeatsIn::Timing),
            amplitude_deg: size(RepeatsIn::Amplitude),
            place: Some(self.place),
        }
    }
}

/// The waves of a balance in the readings that count on the sheet, the surest first. Of a period that
/// stands in several readings the surest is there, once for the timing and once for the amplitude. Since
/// many series were searched, a wave counts only where chance would make it in 1 of 100 such sheets.
#[must_use]
pub fn waves<'a>(sheet: &Sheet, readings: &[Kept<'a>], balance: usize) -> Vec<Wave<'a>> {
    let counts = |placed: &&Placed| placed.balance == balance && !placed.is_of_before;
    let series: Vec<(&Placed, &BalanceReading, &Repeats)> = sheet
        .placed
        .iter()
        .filter(counts)
        .filter_map(|placed| Some((placed, of_place(sheet, readings, placed)?)))
        .flat_map(|(placed, of)| of.repeats.iter().flatten().map(move |one| (placed, of, one)))
        .collect();
    let searched = series.len() as f64;
    let each = series.iter().flat_map(|&(placed, of, series)| {
        let wind = sheet.winds[placed.wind].wind;
        let place = Where { wind, stance: Some(placed.position.into()) };
        let wave = move |wave: &RepeatingWave| Wave {
            reading: placed.reading,
            of,
            series,
            wave: *wave,
            place,
        };
        series.waves.iter().map(wave)
    });
    let mut all: Vec<Wave<'a>> = each.filter(|one| one.wave.chance * searched <= CHANCE).collect();
    all.sort_by(|a, b| a.wave.chance.total_cmp(&b.wave.chance));
    let mut surest: Vec<Wave<'a>> = Vec::new();
    for one in all {
        if !surest.iter().any(|other| is_the_same(other, &one)) {
            surest.push(one);
        }
    }
    surest
}

fn of_place<'a>(
    sheet: &Sheet,
    readings: &[Kept<'a>],
    placed: &Placed,
) -> Option<&'a BalanceReading> {
    let reading = readings.iter().find(|kept| kept.id == placed.reading)?.reading;
    own(reading, sheet.labels.get(placed.balance)?)
}

fn is_the_same(one: &Wave<'_>, other: &Wave<'_>) -> bool {
    let apart = one.wave.period_s.minus(other.wave.period_s);
    one.series.of == other.series.of && apart.value.abs() <= SAME_SD * apart.sd
}
