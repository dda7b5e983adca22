/// Something the user should know about a reading: a stable code and a sentence.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    /// Stable, for programs.
    pub code: WarningCode,
    /// For people: what was seen and what to do.
    pub message: String,
}

/// The codes; their names are part of the command line's format and never change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WarningCode {
    /// Nobody has measured the recorder's clock.
    ClockUncalibrated,
    /// Balances that cannot be told apart, in part or in whole.
    Unresolved,
    /// The watch stopped within the recording.
    Stopped,
    /// The watch started within the recording.
    Started,
    /// The recording is clipped.
    Clipped,
    /// Samples so large that their scale must be another were made smaller.
    BeyondScale,
    /// There are more channels than are listened to.
    ChannelsLeftOut,
    /// The beats hardly stand above the noise.
    TooQuiet,
    /// The beat fits no standard one.
    BeatUnknown,
    /// Fewer balances are heard than the user says there are.
    BalancesMissing,
    /// Unlocking or drop cannot be told in the averaged beat, so there is no amplitude.
    AmplitudeUnknown,
    /// The amplitude is one that running watches hardly have.
    AmplitudeUnusual,
    /// The recorder lost a block of samples, or put one in, or the watch was jolted.
    SoundBroken,
    /// More balances are heard than the user says there are.
    BalancesMore,
    /// A watch is heard, but not at the beat that the user names.
    BeatNotAsTold,
    /// One balance, or two at half the beat that beat by turns.
    OneOrTwo,
    /// Too few beats for uncertainties worth the name.
    TooShort,
}

impl WarningCode {
    /// The stable name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::ClockUncalibrated => "clock_uncalibrated",
            Self::Unresolved => "unresolved",
            Self::Stopped => "stopped",
            Self::Started => "started",
            Self::Clipped => "clipped",
            Self::BeyondScale => "beyond_scale",
            Self::ChannelsLeftOut => "channels_left_out",
            Self::TooQuiet => "too_quiet",
            Self::BeatUnknown => "beat_unknown",
            Self::BalancesMissing => "balances_missing",
            Self::AmplitudeUnknown => "amplitude_unknown",
            Self::AmplitudeUnusual => "amplitude_unusual",
            Self::SoundBroken => "sound_broken",
            Self::BalancesMore => "balances_more",
            Self::BeatNotAsTold => "beat_not_as_told",
            Self::OneOrTwo => "one_or_two",
            Self::TooShort => "too_short",
        }
    }
}
