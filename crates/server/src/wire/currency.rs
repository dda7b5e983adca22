//! Currencies, as far as their amounts are written differently.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// A currency whose smallest unit is not the usual part of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct CurrencyDigits {
    /// Its three letters, as ISO 4217 has them.
    pub code: String,
    /// Decimal digits of its smallest unit: none of the yen, three of a dinar.
    pub minor_digits: u8,
}

/// How amounts of money are written: in records they are whole smallest units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct CurrencyList {
    /// Decimal digits of every currency that is not in the list.
    pub usual_minor_digits: u8,
    /// Those with other digits, by their letters.
    pub others: Vec<CurrencyDigits>,
}
