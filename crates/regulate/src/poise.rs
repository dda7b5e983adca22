//! The heavy spot from what the rate sheet holds.

use horology::poise::{
    PoiseError, PoiseFinding, PoiseSet, PoiseSettings, UprightReading, find_heavy_spot,
};
use horology::rate_sheet::RateSheet;

/// The heavy spot of a balance from the upright readings of a sheet, a set for each state of wind.
///
/// # Errors
///
/// [`PoiseError`] where there are too few of them, or they hold what cannot be.
pub fn heavy_spot(
    sheet: &RateSheet,
    balance: usize,
    settings: &PoiseSettings,
) -> Result<PoiseFinding, PoiseError> {
    let set = |wind| {
        let cells = sheet.cells().iter().filter(|c| c.balance == balance && c.wind == wind);
        let upright = cells.filter_map(|cell| {
            Some(UprightReading {
                position: cell.stance.upright()?,
                rate_s_per_d: cell.rate_s_per_d,
                amplitude_deg: cell.amplitude_deg?,
            })
        });
        PoiseSet { readings: upright.collect() }
    };
    let sets: Vec<PoiseSet> = sheet.winds(balance).into_iter().map(set).collect();
    find_heavy_spot(&sets, settings)
}
