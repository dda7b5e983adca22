use super::reading::{GOOD_SD_PPM, recorder_clock};
use quantities::{Measured, OutOfRange, RecorderClock, SampleRate};
use signal::line_fit::{Spread, fit_line, student_widening};
use thiserror::Error;

/// A moment whose true time is known, and where the recorder has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Recorder's time: samples from the start of the recording over the nominal sample rate,
    /// seconds. All marks must lie in one unbroken recording (or in files that follow on from each
    /// other without a gap): what a recorder does between two recordings is not counted.
    pub recorder_s: f64,
    /// True time, seconds from any moment that is the same for all marks.
    pub true_s: f64,
    /// One standard deviation of the difference between the two, seconds: how well the mark could
    /// be set and how well it was found. A clap by the watch's second hand is good to some 0.2 s,
    /// a pip of a time signal over the air to 0.01 s and over the internet to no better than 0.5 s
    /// (common practice, no published source).
    pub sd_s: f64,
}

/// What marks say of the recorder's clock.
#[derive(Debug, Clone, PartialEq)]
pub struct MarksReading {
    /// Error of the recorder's clock, ppm, with one standard deviation.
    pub error_ppm: Measured,
    /// True time from the first mark to the last, seconds.
    pub span_s: f64,
    /// How much later than the fitted line has it each mark came, recorder's seconds, in the order
    /// given.
    pub residuals_s: Vec<f64>,
    /// How far apart marks as good as these should be for 0.3 ppm, seconds; `None` where it is
    /// reached.
    pub needed_span_s: Option<f64>,
    /// Whether the marks disagree by more than their deviations explain; the deviation of the
    /// result is then widened to what they show.
    pub marks_disagree: bool,
}

impl MarksReading {
    /// The result in the form in which a reading of a watch takes it.
    ///
    /// # Errors
    /// An error too large for any clock: the wrong true times.
    pub fn recorder_clock(&self) -> Result<RecorderClock, OutOfRange> {
        recorder_clock(self.error_ppm)
    }
}

/// Why marks say nothing of the recorder's clock.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MarksFailure {
    /// Fewer than two.
    #[error("One mark is not enough: give the recorder's and the true time of at least two.")]
    TooFew,
    /// A number that cannot be used.
    #[error(
        "Mark {number} cannot be used: its times must be numbers and its uncertainty above zero \
         seconds."
    )]
    BadMark {
        /// Which, counted from 1.
        number: usize,
    },
    /// All at one moment.
    #[error(
        "The marks all lie at one moment: set them as far apart as can be, hours rather than \
         minutes."
    )]
    NoSpan,
    /// A recording of no length.
    #[error("A length of {given_s} s cannot be used: give the true length in seconds, above zero.")]
    BadLength {
        /// What was given, seconds.
        given_s: f64,
    },
}

/// How far beyond their deviations marks may lie before they are said to disagree: the chance of
/// that in honest ones is 1 % or less (chi-square over its degrees of freedom, any table: 6.6 for
/// one, 3.0 for five, 2.3 for ten).
fn disagree_beyond(dof: f64) -> f64 {
    // Wilson and Hilferty's approximation of the 99 % point, good to a per cent from one on.
    let spread = 2.0 / (9.0 * dof);
    (1.0 - spread + 2.326 * spread.sqrt()).powi(3)
}

/// Error of the recorder's clock from two or more marks.
///
/// With two, `1e6 (recorder's difference / true difference - 1)`; with more, the slope of a line
/// weighted by their deviations. Ten marks with a standard deviation of 0.1 s over a day give
/// 1.1 ppm, two give 1.6 ppm.
///
/// # Errors
/// Too few, at one moment, or numbers that cannot be used.
pub fn error_from_marks(marks: &[Mark]) -> Result<MarksReading, MarksFailure> {
    if marks.len() < 2 {
        return Err(MarksFailure::TooFew);
    }
    let usable = |m: &Mark| {
        let times = m.recorder_s.abs() < LONGEST_S && m.true_s.abs() < LONGEST_S;
        times && m.sd_s > 0.0 && m.sd_s < LONGEST_S
    };
    if let Some(bad) = marks.iter().position(|m| !usable(m)) {
        return Err(MarksFailure::BadMark { number: bad + 1 });
    }
    let origin = marks[0];
    let x: Vec<f64> = marks.iter().map(|m| m.true_s - origin.true_s).collect();
    let late: Vec<f64> =
        marks.iter().zip(&x).map(|(m, x)| m.recorder_s - origin.recorder_s - x).collect();
    let weights: Vec<f64> = marks.iter().map(|m| m.sd_s.max(LEAST_SD_S).powi(-2)).collect();
    let line = fit_line(&x, &late, Some(&weights), &[]).map_err(|_| MarksFailure::NoSpan)?;
    let claimed = line.slope_sd(Spread::Weights).ok_or(MarksFailure::NoSpan)?;
    let dof = line.fit().dof() as f64;
    let excess = if dof > 0.0 { line.fit().residual_sum() / dof } else { 0.0 };
    let marks_disagree = dof > 0.0 && excess > disagree_beyond(dof);
    let sd = if marks_disagree { claimed * excess.sqrt() * student_widening(dof) } else { claimed };
    let error_ppm = Measured::new(line.slope() * 1e6, sd * 1e6);
    let (first, last) = x.iter().fold((0.0f64, 0.0f64), |(a, b), &x| (a.min(x), b.max(x)));
    let span_s = last - first;
    Ok(MarksReading {
        error_ppm,
        span_s,
        residuals_s: line.residuals(&x, &late, &[]),
        needed_span_s: (error_ppm.sd > GOOD_SD_PPM).then(|| span_s * error_ppm.sd / GOOD_SD_PPM),
        marks_disagree,
    })
}

/// Error of the recorder's clock from the number of frames in a recording (or between two moments
/// of it) and how long that truly took, with the standard deviation of that length.
///
/// For a computer whose own clock follows a time server: an hour of recording, its start and end
/// known to 0.02 s each, gives 8 ppm; a night of eight hours, 1 ppm.
///
/// # Errors
/// A length that is not above zero, or not a number.
pub fn error_from_elapsed(
    frames: u64,
    rate: SampleRate,
    true_length_s: Measured,
) -> Result<Measured, MarksFailure> {
    let Measured { value, sd } = true_length_s;
    if !(value > 0.0 && value < LONGEST_S && sd.is_finite()) {
        return Err(MarksFailure::BadLength { given_s: value });
    }
    let recorder_s = frames as f64 / rate.hz();
    Ok(Measured::new((recorder_s - value) / value * 1e6, sd / value * recorder_s / value * 1e6))
}

/// Longest times that are taken: three hundred years keep a microsecond in an `f64`.
const LONGEST_S: f64 = 1e10;
/// No moment in a recording is known better than to part of a sample.
const LEAST_SD_S: f64 = 1e-7;

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(recorder_s: f64, true_s: f64, sd_s: f64) -> Mark {
        Mark { recorder_s, true_s, sd_s }
    }

    /// By hand: a day is 86,400 s (SI Brochure, table 8). A recorder that has 1.9008 s too few is
    /// 22 ppm slow; two moments to 0.1 s each are hypot(0.1, 0.1)/86,400 = 1.637 ppm.
    #[test]
    fn two_marks_a_day_apart() {
        let marks = [mark(12.0, 36_000.0, 0.1), mark(12.0 + 86_398.099_2, 122_400.0, 0.1)];
        let reading = error_from_marks(&marks).unwrap();
        assert!((reading.error_ppm.value + 22.0).abs() < 1e-6, "{reading:?}");
        assert!((reading.error_ppm.sd - 1.636_8).abs() < 1e-3, "{reading:?}");
        assert!(!reading.marks_disagree);
        // 86,400 s x 1.6368 / 0.3
        assert!((reading.needed_span_s.unwrap() - 471_400.0).abs() < 100.0, "{reading:?}");
        let swapped = error_from_marks(&[marks[1], marks[0]]).unwrap();
        assert!((swapped.error_ppm.value - reading.error_ppm.value).abs() < 1e-9);
        assert_eq!(swapped.span_s, reading.span_s);
    }

    /// Slope of a line through points with known deviation s: sd = s / sqrt(sum (x - mean)²)
    /// (any textbook). For x = 0..9 over nine hours: sum = 82.5 h².
    #[test]
    fn ten_marks_share_their_uncertainty() {
        let marks: Vec<Mark> = (0..10)
            .map(|h| {
                let x = f64::from(h) * 3_600.0;
                mark(x * (1.0 + 35e-6), x, 0.1)
            })
            .collect();
        let reading = error_from_marks(&marks).unwrap();
        assert!((reading.error_ppm.value - 35.0).abs() < 1e-6);
        let expected = 0.1 / (82.5f64.sqrt() * 3_600.0) * 1e6;
        assert!((reading.error_ppm.sd - expected).abs() < 1e-6, "{reading:?}");
        assert!(reading.residuals_s.iter().all(|r| r.abs() < 1e-9));
    }

    /// A mark that is a whole second off: someone counted wrongly.
    #[test]
    fn marks_that_disagree_say_so() {
        let mut marks: Vec<Mark> =
            (0..6).map(|h| mark(f64::from(h) * 3_600.0, f64::from(h) * 3_600.0, 0.02)).collect();
        let honest = error_from_marks(&marks).unwrap();
        marks[4].true_s += 1.0;
        let reading = error_from_marks(&marks).unwrap();
        assert!(reading.marks_disagree);
        assert!(reading.error_ppm.sd > 10.0 * honest.error_ppm.sd);
        // It stays an honest error: nought lies within two deviations.
        assert!(reading.error_ppm.value.abs() < 2.0 * reading.error_ppm.sd, "{reading:?}");
    }

    /// 99 % points of chi-square over degrees of freedom (any table): 6.63, 3.02, 2.32.
    #[test]
    fn bounds_of_disagreement() {
        for (dof, table) in [(1.0, 6.635), (5.0, 15.086 / 5.0), (10.0, 23.209 / 10.0)] {
            assert!((disagree_beyond(dof) / table - 1.0).abs() < 0.02, "{dof}");
        }
    }

    #[test]
    fn marks_that_say_nothing() {
        assert_eq!(error_from_marks(&[mark(0.0, 0.0, 1.0)]), Err(MarksFailure::TooFew));
        let same = [mark(0.0, 5.0, 1.0), mark(9.0, 5.0, 1.0)];
        assert_eq!(error_from_marks(&same), Err(MarksFailure::NoSpan));
        for bad in [mark(f64::NAN, 1.0, 1.0), mark(0.0, 1.0, 0.0), mark(1e300, 1.0, 1.0)] {
            let failure = error_from_marks(&[mark(0.0, 0.0, 1.0), bad]).unwrap_err();
            assert_eq!(failure, MarksFailure::BadMark { number: 2 });
        }
    }

    /// 48,000 x 3,600 x (1 + 50e-6) = 172,808,640 frames in an hour that is known to 0.036 s, that
    /// is 10 ppm.
    #[test]
    fn an_hour_counted() {
        let rate = SampleRate::from_hz(48_000.0).unwrap();
        let got = error_from_elapsed(172_808_640, rate, Measured::new(3_600.0, 0.036)).unwrap();
        assert!((got.value - 50.0).abs() < 1e-6 && (got.sd - 10.0).abs() < 0.001, "{got:?}");
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(error_from_elapsed(1, rate, Measured::new(bad, 0.1)).is_err());
        }
    }
}
