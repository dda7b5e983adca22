//! Arguments of `measure` checked against each other and put as the crates below want them.

use super::Heard;
use crate::arguments::{EngineWords, MeasureWishes, PictureKind, ThemeWish};
use crate::clocks;
use crate::failure::Failure;
use crate::picture_files::PictureWish;
use beats::Settings;
use plot::{Size, Theme, Tolerance};
use quantities::RecorderClock;

/// Stable code of a warning that the clock was calibrated at another sample rate.
const CLOCK_OTHER_SAMPLE_RATE: &str = "clock_other_sample_rate";

/// Stable code of a warning that there are not as many lift angles as balances.
const LIFT_ANGLES_DO_NOT_MATCH: &str = "lift_angles_do_not_match";

/// Stable code of a warning that came with the clock when it was calibrated.
const CLOCK_DOUBTFUL: &str = "clock_doubtful";

/// What the engine should know, and what we should remember beside it.
#[derive(Debug)]
pub(crate) struct Checked {
    pub(crate) engine: Settings,
    /// The sample rate that a kept clock was calibrated at.
    clock_sample_rate_hz: Option<f64>,
    /// What speaks against a kept clock.
    clock_doubts: Vec<String>,
}

impl Checked {
    /// Adds what we ourselves have to say of a reading.
    pub(crate) fn remarks(&self, mut heard: Heard) -> Heard {
        let rate_hz = heard.source.sample_rate.hz();
        if let Some(clock_hz) = self.clock_sample_rate_hz
            && clock_hz != rate_hz
        {
            let words = format!(
                "The clock was calibrated at {clock_hz} samples a second, but this recording has \
                 {rate_hz}: many recorders use another crystal then, so calibrate at the same rate."
            );
            heard.remarks.push((CLOCK_OTHER_SAMPLE_RATE, words));
        }
        let (given, balances) = (self.engine.lift_angles.len(), heard.reading.balances.len());
        if given > 1 && balances > 0 && given != balances {
            let rest = if given > balances {
                "the last ones were not used"
            } else {
                "the last one was taken for the rest"
            };
            let words = format!(
                "--lift-angle is given {given} times, but {balances} balances are heard: {rest}."
            );
            let words = words.replace("but 1 balances are", "but 1 balance is");
            heard.remarks.push((LIFT_ANGLES_DO_NOT_MATCH, words));
        }
        let doubts = self.clock_doubts.iter();
        heard.remarks.extend(doubts.map(|words| {
            (
                CLOCK_DOUBTFUL,
                format!("When the recorder's clock was calibrated, it was said: {words}"),
            )
        }));
        heard
    }
}

/// Checks everything that the engine should know.
pub(crate) fn of(wishes: &EngineWords) -> Result<Checked, Failure> {
    let balances = wishes.balances.map(usize::from);
    for (name, given) in [
        ("--lift-angle", wishes.lift_angle.len()),
        ("--beats-per-hour", wishes.beats_per_hour.len()),
    ] {
        if let Some(balances) = balances
            && given > balances
        {
            return Err(Failure::WrongUse(format!(
                "{name} is given {given} times, but --balances says that there are {balances}: \
                 give it once for all balances or once for each."
            )));
        }
    }
    let (clock, clock_sample_rate_hz, clock_doubts) = match (&wishes.clock, wishes.clock_error_ppm)
    {
        (Some(named), _) => {
            let kept = clocks::read(named)?;
            (kept.clock, kept.sample_rate_hz, kept.doubts)
        }
        (None, Some(error)) => {
            let sd_ppm = wishes.clock_error_sd_ppm.unwrap_or(0.0);
            (RecorderClock::calibrated(error, sd_ppm), None, Vec::new())
        }
        (None, None) => (RecorderClock::unknown(), None, Vec::new()),
    };
    let engine = Settings {
        lift_angles: wishes.lift_angle.clone(),
        beats_per_hour: wishes.beats_per_hour.clone(),
        balances,
        clock,
    };
    Ok(Checked { engine, clock_sample_rate_hz, clock_doubts })
}

/// The picture to draw, if any.
pub(crate) fn picture(wishes: &MeasureWishes) -> Result<Option<PictureWish>, Failure> {
    let Some(path) = &wishes.plot else { return Ok(None) };
    let tolerance = match wishes.tolerance[..] {
        [lower_s_per_d, upper_s_per_d] if lower_s_per_d < upper_s_per_d => {
            Some(Tolerance { lower_s_per_d, upper_s_per_d })
        }
        [] => None,
        _ => {
            return Err(Failure::WrongUse(
                "--tolerance wants the lower rate first, then the higher: --tolerance -4 6.".into(),
            ));
        }
    };
    let theme = match wishes.theme {
        ThemeWish::Light => Theme::Light,
        ThemeWish::Dark => Theme::Dark,
    };
    let size = match (wishes.plot_width, wishes.plot_kind) {
        (Some(px), _) => Size::new(f64::from(px)),
        (None, PictureKind::Sheet) => Size::page(),
        (None, _) => Size::desktop(),
    };
    let mut wish = PictureWish::new(path.clone(), wishes.plot_kind)?;
    wish.several_can_be_told_apart(wishes.files.len())?;
    (wish.theme, wish.size, wish.tolerance) = (theme, size, tolerance);
    wish.title.clone_from(&wishes.title);
    Ok(Some(wish))
}
