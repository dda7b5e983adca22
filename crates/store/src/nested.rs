//! Lists within a record, as the JSON text of one column; their form is that of `archive`.

use crate::error::{Error, Result};
use archive::Unread;
pub(crate) use archive::lists::*;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// To the text of a column.
pub(crate) fn text(value: &impl Serialize) -> Result<String> {
    // Numbers were checked to be finite, so there is nothing here that JSON cannot say.
    serde_json::to_string(value).map_err(|error| Error::Refused(error.to_string()))
}

/// From the text of a column.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Result<T> {
    serde_json::from_str(text).map_err(|error| {
        Error::Damaged(format!("a list within a record cannot be read ({error})."))
    })
}

/// The text of a list, each entry through its form in JSON.
pub(crate) fn list<'a, T: 'a, J: Serialize + From<&'a T>>(values: &'a [T]) -> Result<String> {
    text(&values.iter().map(J::from).collect::<Vec<J>>())
}

/// The list from its text.
pub(crate) fn read_list<T, J: DeserializeOwned + TryInto<T, Error = Unread>>(
    text: &str,
) -> Result<Vec<T>> {
    let read = read::<Vec<J>>(text)?.into_iter().map(TryInto::try_into);
    Ok(read.collect::<Result<_, Unread>>()?)
}

/// What a code stands for.
pub(crate) fn code<T>(found: Option<T>, code: &str) -> Result<T> {
    found.ok_or_else(|| Error::Damaged(format!("\"{code}\" stands where no such word can.")))
}

#[cfg(test)]
mod tests {
    use super::{BalanceRead, read_list};
    use jobs::BalanceReading;

    /// As it was kept before anybody looked for what repeats: nothing is known, and nothing is said
    /// to have been looked for.
    #[test]
    fn a_balance_of_before_is_read() {
        let kept = r#"[{"label":"A","beats_per_hour":28800.0,"measured_beats_per_hour":null,
            "rate_s_per_d":{"value":5.1,"sd":0.04},"rate_sd_with_clock_s_per_d":1.7,
            "amplitude_deg":null,"lift_angle_deg":52.0,"beat_error_ms":null,"beats_used":158,
            "beats_expected":160,"signal_to_noise_db":24.0}]"#;
        let read: Vec<BalanceReading> = read_list::<_, BalanceRead>(kept).unwrap();
        assert_eq!(read[0].repeats, None);
    }
}
