//! The statistics of a rate sheet as comma-separated values: a row for each number of each balance in
//! each state of wind.

use super::Told;
use crate::csv::quoted;
use words::regulating::statistics;

/// The names at the head. A statistic has the code that JSON knows it by.
const HEADER: &str = "path,label,hours_since_wound,statistic,value,sd,unit,note\n";

pub(super) fn rows(told: &Told) -> String {
    let mut rows = HEADER.to_owned();
    for balance in &told.balances {
        for (wind, column) in &balance.columns {
            for one in statistics(column) {
                let fields = [
                    quoted(&told.path),
                    quoted(&balance.letter),
                    wind.hours().to_string(),
                    one.code.to_owned(),
                    one.value.value.to_string(),
                    one.value.sd.to_string(),
                    one.unit.to_owned(),
                    quoted(&one.note),
                ];
                rows += &(fields.join(",") + "\n");
            }
        }
    }
    rows
}
