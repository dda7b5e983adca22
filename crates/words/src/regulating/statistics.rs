//! Numbers over the positions of one column of the sheet.

use horology::rate_sheet::Column;
use quantities::Measured;

/// A number over several positions.
#[derive(Debug, Clone, PartialEq)]
pub struct Statistic {
    /// What programs know it by.
    pub code: &'static str,
    /// In words.
    pub words: &'static str,
    /// In [`Self::unit`].
    pub value: Measured,
    /// "s/d" or "°".
    pub unit: &'static str,
    /// Whether a plus sign says something.
    pub is_signed: bool,
    /// Where it is from, if that can be said.
    pub note: String,
}

/// All that can be said of this column.
#[must_use]
pub fn statistics(column: &Column) -> Vec<Statistic> {
    let of = |code, words, unit, is_signed, found: Option<Measured>| {
        found.map(|value| Statistic { code, words, value, unit, is_signed, note: String::new() })
    };
    let noted = |statistic: Option<Statistic>, note: String| {
        statistic.map(|statistic| Statistic { note, ..statistic })
    };
    let spread = column.spread();
    let between = spread.map_or_else(String::new, |spread| {
        format!("fastest {}, slowest {}", spread.fastest, spread.slowest)
    });
    let spread = spread.map(|spread| spread.s_per_d.measured);
    let departure = column.greatest_departure_s_per_d().filter(|_| column.standard().count() > 2);
    let stance = departure.map_or_else(String::new, |(stance, _)| format!("in {stance}"));
    let departure = departure.map(|(_, found)| found.measured);
    let upright = column.upright_less_flat_s_per_d();
    let flat = column.dial_up_less_dial_down_s_per_d();
    let flat_deg = column.dial_up_less_dial_down_deg();
    let drop = column.amplitude_drop_deg();
    [
        of("mean", "mean rate", "s/d", true, column.mean_rate_s_per_d()),
        noted(of("spread", "spread", "s/d", false, spread), between),
        noted(of("departure", "farthest from the mean", "s/d", false, departure), stance),
        of("upright_less_flat", "upright less flat", "s/d", true, upright),
        of("dial_up_less_dial_down", "dial up less dial down", "s/d", true, flat),
        of("dial_up_less_dial_down_deg", "dial up less dial down, amplitude", "°", true, flat_deg),
        of("amplitude_drop", "amplitude, flat less upright", "°", true, drop),
    ]
    .into_iter()
    .flatten()
    .collect()
}
