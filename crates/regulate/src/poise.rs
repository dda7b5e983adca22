//! The heavy spot from what the rate sheet holds.

use crate::sheet::Sheet;
use horology::poise::{
    PoiseError, PoiseFinding, PoiseSet, PoiseSettings, UprightReading, find_heavy_spot,
};

/// The heavy spot of a balance from its upright readings of now, a set for each state of wind.
///
/// # Errors
///
/// [`PoiseError`] where there are too few of them, or they hold what cannot be.
pub fn heavy_spot(
    sheet: &Sheet,
    balance: usize,
    settings: &PoiseSettings,
) -> Result<PoiseFinding, PoiseError> {
    let set = |wind| {
        let cells = sheet.rates.cells().iter().filter(|c| c.balance == balance && c.wind == wind);
        let upright = cells.filter_map(|cell| {
            Some(UprightReading {
                position: cell.stance.upright()?,
                rate_s_per_d: cell.rate_s_per_d,
                amplitude_deg: cell.amplitude_deg?,
            })
        });
        PoiseSet { readings: upright.collect() }
    };
    let sets: Vec<PoiseSet> = sheet.rates.winds(balance).into_iter().map(set).collect();
    find_heavy_spot(&sets, settings)
}
