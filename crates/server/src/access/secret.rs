use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};

/// Something that only its holder knows: 192 random bits. The store keeps its hash alone; with so
/// many random bits a plain SHA-256 tells nothing of it.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Secret(String);

impl Secret {
    /// A new one from the system's random source.
    ///
    /// # Errors
    /// Where the system gives no random numbers.
    pub(crate) fn new() -> Result<Self, getrandom::Error> {
        let mut bytes = [0u8; 24];
        getrandom::fill(&mut bytes)?;
        Ok(Self(URL_SAFE_NO_PAD.encode(bytes)))
    }

    /// What somebody claims to be one.
    pub(crate) fn claimed(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// As its holder is given it.
    pub(crate) fn words(&self) -> &str {
        &self.0
    }

    /// As it is kept: the SHA-256, in hexadecimal digits.
    pub(crate) fn hash(&self) -> String {
        Sha256::digest(self.0.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `printf abc | sha256sum` of GNU coreutils; also the example of FIPS 180-2.
    #[test]
    fn the_hash_is_sha_256() {
        assert_eq!(
            Secret::claimed("abc").hash(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn no_two_are_alike_and_all_fit_into_an_address() {
        let (one, other) = (Secret::new().unwrap(), Secret::new().unwrap());
        assert_ne!(one.words(), other.words());
        // 24 bytes, 6 bits a letter.
        assert_eq!(one.words().len(), 32);
        assert!(one.words().bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_'));
    }
}
