use thiserror::Error;

/// Why a device cannot be listened to. Each is one sentence or two: what is wrong, what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CaptureError {
    /// The system has none.
    #[error(
        "No device to record from is found: plug in a microphone or pickup, and check that the \
         system's sound settings show it."
    )]
    NoDevice,
    /// None of this name.
    #[error("There is no device “{name}” to record from: --list-devices shows those there are.")]
    NotFound {
        /// What was asked for.
        name: String,
    },
    /// Several fit the name.
    #[error("“{name}” fits several devices ({fitting}): give the whole name of one.")]
    SeveralFit {
        /// What was asked for.
        name: String,
        /// Those that fit.
        fitting: String,
    },
    /// Not in this form.
    #[error("“{name}” cannot record {wished}; it can record {there}.")]
    Format {
        /// The device.
        name: String,
        /// What was asked for.
        wished: String,
        /// What it has.
        there: String,
    },
    /// It does not open.
    #[error("“{name}” cannot be opened ({why}): {instead}.")]
    NotOpened {
        /// The device.
        name: String,
        /// What the system says.
        why: String,
        /// What to do.
        instead: &'static str,
    },
}

impl CaptureError {
    pub(super) fn not_opened(name: &str, error: &cpal::Error) -> Self {
        use cpal::ErrorKind;
        let instead = match error.kind() {
            ErrorKind::DeviceBusy => "close the program that is using it",
            ErrorKind::PermissionDenied => {
                "let this user record sound (on Linux: a member of the group audio)"
            }
            ErrorKind::DeviceNotAvailable => "plug it in, or choose another",
            _ => "choose another device, or another sample rate",
        };
        // Some of the system's messages end with a full stop.
        let why = error.to_string().trim_end_matches('.').to_owned();
        Self::NotOpened { name: name.into(), why, instead }
    }
}
