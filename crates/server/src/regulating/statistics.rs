//! Numbers over the positions of one column.

use crate::convert::value;
use crate::wire;
use horology::rate_sheet::Column;
use words::regulating as said;

pub(super) fn statistics(column: &Column) -> Vec<wire::RegulatingStatistic> {
    let statistic = |one: said::Statistic| wire::RegulatingStatistic {
        code: one.code.into(),
        words: one.words.into(),
        value: value(one.value),
        unit: one.unit.into(),
        is_signed: one.is_signed,
        note: one.note,
    };
    said::statistics(column).into_iter().map(statistic).collect()
}
