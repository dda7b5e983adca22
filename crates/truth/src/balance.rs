use crate::voice::Voice;

/// One balance, as it is set; what was then laid down is in [`crate::BalanceTruth`].
///
/// All fields have sensible defaults, so name only what matters:
///
/// ```
/// let faint = truth::Balance { loudness: 0.1, rate_s_per_d: -12.0, ..Default::default() };
/// # assert_eq!(faint.beats_per_hour, 28_800.0);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Nominal beats (single swings) per hour, 3,600 to 360,000. Default 28,800.
    pub beats_per_hour: f64,
    /// Rate at the start of the recording, s/d against true time, gaining positive.
    pub rate_s_per_d: f64,
    /// Steady change of the rate, s/d per hour.
    pub rate_change_s_per_d_per_h: f64,
    /// Amplitude at the start of the recording, degrees. Default 270.
    pub amplitude_deg: f64,
    /// Spread of the amplitude from beat to beat, degrees, white and normal. Default 1.5.
    pub amplitude_sd_deg: f64,
    /// Steady change of the amplitude, degrees per hour.
    pub amplitude_change_deg_per_h: f64,
    /// Waves in the amplitude, semi-amplitude in degrees.
    pub amplitude_ripple_deg: Vec<Ripple>,
    /// Beat error at the starting amplitude, ms, half the difference of the intervals; positive
    /// where the interval from tick to tock is the longer. It comes from a rest position that
    /// is off centre, which stays; so the beat error grows as the amplitude falls.
    pub beat_error_ms: f64,
    /// Lift angle, degrees. Default 52.
    pub lift_deg: f64,
    /// Peak of the loudest burst, 1.0 being full scale. Default 0.5.
    pub loudness: f64,
    /// Spread of the loudness from beat to beat, as a part of it. Default 0.08.
    pub loudness_sd: f64,
    /// White timing jitter of the beats, µs: the whole beat moves. Default 30.
    pub jitter_us: f64,
    /// Waves in the timing (a train's ripple), semi-amplitude in ms: the watch is ahead by
    /// `semi_amplitude sin(2π (t/period + phase))`.
    pub timing_ripple_ms: Vec<Ripple>,
    /// When the tick numbered 0 falls (without beat error and jitter), seconds; the other
    /// beats extend from it in both directions, as far as the recording goes.
    pub offset_s: f64,
    /// When it begins to run, seconds from the start of the recording; `None`: runs already.
    pub starts_at_s: Option<f64>,
    /// When it stops, seconds from the start of the recording; `None`: runs to the end.
    pub stops_at_s: Option<f64>,
    /// How it sounds.
    pub voice: Voice,
    /// One path to each channel, or none: full gain and no delay to all channels.
    pub paths: Vec<Path>,
}

impl Default for Balance {
    fn default() -> Self {
        Self {
            beats_per_hour: 28_800.0,
            rate_s_per_d: 0.0,
            rate_change_s_per_d_per_h: 0.0,
            amplitude_deg: 270.0,
            amplitude_sd_deg: 1.5,
            amplitude_change_deg_per_h: 0.0,
            amplitude_ripple_deg: Vec::new(),
            beat_error_ms: 0.0,
            lift_deg: 52.0,
            loudness: 0.5,
            loudness_sd: 0.08,
            jitter_us: 30.0,
            timing_ripple_ms: Vec::new(),
            offset_s: 0.02,
            starts_at_s: None,
            stops_at_s: None,
            voice: Voice::default(),
            paths: Vec::new(),
        }
    }
}

/// A wave on top of a steady course; the unit of the semi-amplitude is that of the field that
/// holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ripple {
    /// Half of peak to peak.
    pub semi_amplitude: f64,
    /// Period, seconds.
    pub period_s: f64,
    /// Phase at the start of the recording, turns (1 is a full period).
    pub phase_turns: f64,
}

/// How a sound reaches one channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Path {
    /// Factor on the loudness; negative turns the polarity.
    pub gain: f64,
    /// Delay, ms.
    pub delay_ms: f64,
}

impl Path {
    /// Full gain, no delay.
    pub const DIRECT: Self = Self { gain: 1.0, delay_ms: 0.0 };
}
