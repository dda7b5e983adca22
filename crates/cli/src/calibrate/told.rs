//! A calibrated clock, for people.

use super::Found;
use crate::arguments::CalibrateWishes;
use crate::shown;
use crate::sound::SourceFacts;
use crate::text::{self, Cell, Ink, Row};
use crate::wire::ClockResult;
use quantities::{ClockError, Measured};

pub(super) fn text(
    wishes: &CalibrateWishes,
    facts: &SourceFacts,
    found: &Found,
    result: &ClockResult,
    ink: Ink,
) -> String {
    let mut lines = vec![ink.bold(&crate::standard_input::shown(&facts.path))];
    lines.push(ink.dim(&text::facts(facts).join(" · ")));
    lines.push(String::new());
    lines.extend(text::set(&rows(found)));
    lines.push(String::new());
    lines.extend(text::wrapped(&verdict(found.error_ppm()), ""));
    let kept = wishes.save.clone();
    let kept = kept.or_else(|| wishes.save_to.as_ref().map(|path| path.display().to_string()));
    if let Some(kept) = kept {
        lines.push(String::new());
        let kept_in = result.kept_in.as_ref();
        lines.extend(kept_in.map(|file| format!("Kept in {}", shown::safe(file))));
        let kept = shown::safe(&kept);
        lines.push(format!("Use it with: endshake measure FILE --clock {kept}"));
    }
    lines.push(String::new());
    for warning in &result.warnings {
        let set = text::wrapped(&warning.message, "! ");
        lines.extend(set.iter().map(|line| ink.warning(line)));
    }
    lines.push(ink.dim("Uncertainties are one standard deviation."));
    text::joined(&lines)
}

fn rows(found: &Found) -> Vec<Row> {
    let row = |name: &str, cell, unit| Row { name: name.into(), cells: vec![cell], unit };
    let measured = |value| {
        let (number, sd) = text::rounded(value, true);
        Cell::new(number, format!("± {sd}"))
    };
    let mut rows = vec![row("clock's error", measured(found.error_ppm()), "ppm")];
    match found {
        Found::Steps(_, reading) => {
            let count = |n: u64| text::plain(n as f64, 0);
            let used = Cell::new(
                count(reading.steps_used),
                format!("of {}", count(reading.steps_expected)),
            );
            let scatter = Cell::new(text::plain(reading.step_sd_s * 1000.0, 3), "");
            rows.push(row("  were the reference right", measured(reading.apparent_ppm), "ppm"));
            rows.push(row("steps used", used, ""));
            rows.push(row("scatter of a step", scatter, "ms"));
        }
        Found::Length(true_s, _) => {
            let (number, sd) = text::rounded(*true_s, false);
            rows.push(row("true length", Cell::new(number, format!("± {sd}")), "s"));
        }
        Found::Marks(_, reading) => {
            let count = Cell::new(reading.residuals_s.len().to_string(), "");
            rows.push(row("marks", count, ""));
            rows.push(row("first to last", Cell::new(text::plain(reading.span_s, 1), ""), "s"));
        }
        #[cfg(feature = "capture")]
        Found::Computer(against) => {
            rows.push(row("compared for", Cell::new(text::plain(against.span_s, 0), ""), "s"));
        }
    }
    rows
}

/// What the error means for a watch.
fn verdict(error_ppm: Measured) -> String {
    let (Ok(error), Ok(sd)) =
        (ClockError::from_ppm(error_ppm.value), ClockError::from_ppm(error_ppm.sd))
    else {
        return String::new();
    };
    let rate_s_per_d = Measured::new(error.s_per_d().abs(), sd.s_per_d());
    let (number, sd) = text::rounded(rate_s_per_d, false);
    if error_ppm.value.abs() <= error_ppm.sd {
        return format!(
            "The recorder's clock may be right: uncorrected, it makes a watch seem off by \
             {number} ± {sd}\u{a0}s/d."
        );
    }
    let (clock, watch) = if error_ppm.value > 0.0 { ("fast", "lose") } else { ("slow", "gain") };
    format!(
        "The recorder's clock runs {clock}: uncorrected, it makes a watch seem to {watch} \
         {number} ± {sd}\u{a0}s/d."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SI Brochure, table 8: a day is 86,400 s, so -22 ppm is 1.9008 s/d and 0.3 ppm is 0.0259.
    #[test]
    fn what_an_error_means_for_a_watch() {
        assert_eq!(
            verdict(Measured::new(-22.0, 0.3)).replace('\u{a0}', " "),
            "The recorder's clock runs slow: uncorrected, it makes a watch seem to gain \
             1.901 ± 0.026 s/d."
        );
        assert!(verdict(Measured::new(22.0, 0.3)).contains("fast: uncorrected, it makes a watch"));
        assert!(verdict(Measured::new(22.0, 0.3)).contains("to lose"));
        assert!(verdict(Measured::new(0.2, 0.3)).contains("may be right"));
    }
}
