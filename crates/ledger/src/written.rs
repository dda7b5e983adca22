//! How single values are written.

use jiff::civil::Date;
use jobs::{Currency, Moment};

/// A number: the decimals behind a point or a comma, the minus sign may be that of the printed page.
pub(crate) fn number(words: &str) -> Result<f64, &'static str> {
    let plain = words.replace('\u{2212}', "-");
    if plain.matches(['.', ',']).count() > 1 {
        return Err("write it without marks between thousands, like 1250.50");
    }
    let plain = plain.replace(',', ".");
    let is_plain = plain.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    match plain.parse::<f64>() {
        Ok(number) if is_plain && number.is_finite() => Ok(number),
        _ => Err("this is not a number"),
    }
}

/// An amount of money in whole minor units.
pub(crate) fn amount(words: &str, currency: Currency) -> Result<i64, &'static str> {
    number(words)?;
    let plain = words.replace('\u{2212}', "-").replace(',', ".");
    let (whole, part) = plain.split_once('.').unwrap_or((&plain, ""));
    let digits = currency.minor_digits();
    if part.len() > digits {
        return Err("it has more decimals than its currency");
    }
    let all = format!("{whole}{part:0<digits$}");
    all.parse().map_err(|_| "this is more than can be counted")
}

/// A day: 2019-03-01, or 1.3.2019.
pub(crate) fn day(words: &str) -> Result<Date, &'static str> {
    let wrong = "write the day as 2019-03-01 or 1.3.2019";
    let of = |year: &str, month: &str, day: &str| {
        let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
        if year.len() != 4 || ![year, month, day].iter().all(|text| digits(text)) {
            return None;
        }
        Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
    };
    let parts: Vec<&str> = words.split(['-', '.']).map(str::trim).collect();
    let found = match parts[..] {
        [year, month, day] if words.contains('-') && !words.contains('.') => of(year, month, day),
        [day, month, year] if words.contains('.') && !words.contains('-') => of(year, month, day),
        _ => None,
    };
    let found = found.ok_or(wrong)?;
    if (1700..=2200).contains(&found.year()) { Ok(found) } else { Err("check the year") }
}

/// Noon of a day, UTC: so it is that day nearly everywhere.
pub(crate) fn noon(day: Date) -> Moment {
    let at = jiff::tz::Offset::UTC.to_timestamp(day.at(12, 0, 0, 0));
    Moment::from_ms(at.map_or(0, jiff::Timestamp::as_millisecond))
}
