//! Sounds and photos: how they are called, and whether they are what they claim.

use jobs::MediaHash;

/// What a file of media is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sort {
    /// A sound, FLAC (RFC 9639).
    Sound,
    /// A photo, JPEG (ITU-T T.81).
    Photo,
}

impl Sort {
    /// How it begins: RFC 9639, section 6; ITU-T T.81, B.1.1.3 (start of image, then a marker).
    pub(crate) const fn begins(self) -> &'static [u8] {
        match self {
            Self::Sound => b"fLaC",
            Self::Photo => &[0xff, 0xd8, 0xff],
        }
    }

    /// In words.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Sound => "FLAC sound",
            Self::Photo => "JPEG picture",
        }
    }

    /// Its name in an archive.
    pub(crate) fn path(self, hash: &MediaHash) -> String {
        match self {
            Self::Sound => format!("sounds/{hash}.flac"),
            Self::Photo => format!("photos/{hash}.jpg"),
        }
    }

    /// What a name in an archive stands for.
    pub(crate) fn of_path(path: &str) -> Option<(Self, MediaHash)> {
        let (sort, hash) = if let Some(name) = path.strip_prefix("sounds/") {
            (Self::Sound, name.strip_suffix(".flac")?)
        } else {
            (Self::Photo, path.strip_prefix("photos/")?.strip_suffix(".jpg")?)
        };
        Some((sort, hash.parse().ok()?))
    }
}
