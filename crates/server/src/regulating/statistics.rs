//! Numbers over the positions of one column.

use super::value;
use crate::wire;
use horology::rate_sheet::Column;
use quantities::Measured;

pub(super) fn statistics(column: &Column) -> Vec<wire::RegulatingStatistic> {
    let of = |code: &str, words: &str, unit: &str, is_signed: bool, found: Option<Measured>| {
        found.map(|found| wire::RegulatingStatistic {
            code: code.into(),
            words: words.into(),
            value: value(found),
            unit: unit.into(),
            is_signed,
            note: String::new(),
        })
    };
    let spread = column.spread().map(|spread| wire::RegulatingStatistic {
        code: "spread".into(),
        words: "spread".into(),
        value: value(spread.s_per_d.measured),
        unit: "s/d".into(),
        is_signed: false,
        note: format!("fastest {}, slowest {}", spread.fastest, spread.slowest),
    });
    let departure = column.greatest_departure_s_per_d();
    let departure = departure.filter(|_| column.cells().len() > 2).map(|(stance, found)| {
        wire::RegulatingStatistic {
            code: "departure".into(),
            words: "farthest from the mean".into(),
            value: value(found.measured),
            unit: "s/d".into(),
            is_signed: false,
            note: format!("in {stance}"),
        }
    });
    let mean = of("mean", "mean rate", "s/d", true, column.mean_rate_s_per_d());
    let upright = column.upright_less_flat_s_per_d();
    let flat = column.dial_up_less_dial_down_s_per_d();
    let flat_deg = column.dial_up_less_dial_down_deg();
    let drop = column.amplitude_drop_deg();
    [
        mean,
        spread,
        departure,
        of("upright_less_flat", "upright less flat", "s/d", true, upright),
        of("dial_up_less_dial_down", "dial up less dial down", "s/d", true, flat),
        of("dial_up_less_dial_down_deg", "dial up less dial down, amplitude", "°", true, flat_deg),
        of("amplitude_drop", "amplitude, flat less upright", "°", true, drop),
    ]
    .into_iter()
    .flatten()
    .collect()
}
