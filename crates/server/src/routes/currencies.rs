use crate::desk::Desk;
use crate::extract::Json;
use crate::wire::{CurrencyDigits, CurrencyList};
use jobs::Currency;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(list))
}

fn digits(count: usize) -> u8 {
    u8::try_from(count).unwrap_or(u8::MAX)
}

/// How many decimal digits amounts have, currency by currency.
#[utoipa::path(get, path = "/currencies", responses((status = 200, body = CurrencyList)))]
async fn list() -> Json<CurrencyList> {
    let others = Currency::with_other_minor_digits()
        .map(|(code, count)| CurrencyDigits { code: code.into(), minor_digits: digits(count) });
    Json(CurrencyList {
        usual_minor_digits: digits(Currency::USUAL_MINOR_DIGITS),
        others: others.collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn digits_are_those_of_the_standard() {
        let Json(CurrencyList { usual_minor_digits, others }) = list().await;
        let of = |code: &str| {
            others
                .iter()
                .find(|other| other.code == code)
                .map_or(usual_minor_digits, |o| o.minor_digits)
        };
        // ISO 4217:2015, list one: forint and rupiah have two digits, however seldom they are used.
        for (code, digits) in [("EUR", 2), ("HUF", 2), ("IDR", 2), ("JPY", 0), ("IQD", 3)] {
            assert_eq!(of(code), digits, "{code}");
        }
    }
}
