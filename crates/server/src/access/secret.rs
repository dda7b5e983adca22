use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

/// Something that only its holder knows: 192 bits from the system's random source, as 32 letters
/// that stand in an address as they are. The store keeps its hash alone.
///
/// # Errors
/// Where the system gives no random numbers.
pub(crate) fn new_secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0u8; 24];
    getrandom::fill(&mut bytes)?;
    Ok(URL_SAFE_NO_PAD.encode(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_are_alike_and_all_fit_into_an_address() {
        let (one, other) = (new_secret().unwrap(), new_secret().unwrap());
        assert_ne!(one, other);
        // 24 bytes, 6 bits a letter.
        assert_eq!(one.len(), 32);
        assert!(one.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_'));
    }
}
