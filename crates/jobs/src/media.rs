use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// Names a sound or a picture by its content: the SHA-256 of its bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MediaHash([u8; 32]);

/// Text that is not the hash of anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("this is not the name of a sound or picture: 64 hexadecimal digits are expected.")]
pub struct NotAHash;

impl MediaHash {
    /// From the 32 bytes of a SHA-256.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for MediaHash {
    /// 64 hexadecimal digits, small letters.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl FromStr for MediaHash {
    type Err = NotAHash;

    /// From 64 hexadecimal digits; small letters only, so that one thing has one name.
    fn from_str(text: &str) -> Result<Self, NotAHash> {
        let digits = text.as_bytes();
        let mut bytes = [0; 32];
        if digits.len() != 2 * bytes.len() {
            return Err(NotAHash);
        }
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Ok(Self(bytes))
    }
}

fn digit(letter: u8) -> Result<u8, NotAHash> {
    match letter {
        b'0'..=b'9' => Ok(letter - b'0'),
        b'a'..=b'f' => Ok(letter - b'a' + 10),
        _ => Err(NotAHash),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_read_as_it_is_written() {
        let hash = MediaHash::from_bytes(std::array::from_fn(|n| (n * 9) as u8));
        assert_eq!(hash.to_string().parse(), Ok(hash));
    }

    #[test]
    fn what_is_no_hash_is_refused() {
        let good = "0123456789abcdef".repeat(4);
        assert!(good.parse::<MediaHash>().is_ok());
        for bad in [&good[1..], &good.to_uppercase(), "../../etc/passwd", "", &"é".repeat(32)] {
            assert_eq!(bad.parse::<MediaHash>(), Err(NotAHash), "{bad}");
        }
    }
}
