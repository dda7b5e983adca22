//! Scales and their ticks.

use crate::number::fixed;
use crate::values::drawable;

/// Maps numbers to px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    least: f64,
    most: f64,
    from_px: f64,
    to_px: f64,
    logarithmic: bool,
}

impl Scale {
    /// Even steps; `least` must be below `most` (see [`Range`]).
    pub(crate) fn linear(range: Range, from_px: f64, to_px: f64) -> Self {
        Self { least: range.least, most: range.most, from_px, to_px, logarithmic: false }
    }

    /// Even steps of the logarithm; both ends must be above zero.
    pub(crate) fn logarithmic(range: Range, from_px: f64, to_px: f64) -> Self {
        let (least, most) = (range.least.log10(), range.most.log10());
        Self { least, most, from_px, to_px, logarithmic: true }
    }

    /// Where a number lies, px; finite for every number that can be drawn.
    pub(crate) fn px(&self, number: f64) -> f64 {
        let number = if self.logarithmic { number.max(f64::MIN_POSITIVE).log10() } else { number };
        let share = (number - self.least) / (self.most - self.least);
        self.from_px + share * (self.to_px - self.from_px)
    }
}

/// From where to where an axis runs; always finite, and wide enough to be cut into ticks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub(crate) least: f64,
    pub(crate) most: f64,
}

impl Range {
    /// The range of those numbers that can be drawn; `None` where there are none.
    pub(crate) fn of(numbers: impl IntoIterator<Item = f64>) -> Option<Self> {
        numbers.into_iter().filter(|n| drawable(*n)).fold(None, |range, n| match range {
            None => Some(Self { least: n, most: n }),
            Some(Self { least, most }) => Some(Self { least: least.min(n), most: most.max(n) }),
        })
    }

    /// The range that holds both.
    pub(crate) fn with(self, number: f64) -> Self {
        if !drawable(number) {
            return self;
        }
        Self { least: self.least.min(number), most: self.most.max(number) }
    }

    pub(crate) fn span(&self) -> f64 {
        self.most - self.least
    }

    /// Widened about its middle to at least this span, and to what double precision can still cut
    /// into a thousand steps at this distance from zero.
    pub(crate) fn at_least(self, span: f64) -> Self {
        let middle = self.least + self.span() / 2.0;
        let span_wanted = span.max(middle.abs() * 1e-9).max(1e-9);
        if self.span() >= span_wanted {
            return self;
        }
        Self { least: middle - span_wanted / 2.0, most: middle + span_wanted / 2.0 }
    }

    /// Widened at both ends by a share of its span.
    pub(crate) fn padded(self, share: f64) -> Self {
        let more = self.span() * share;
        Self { least: self.least - more, most: self.most + more }
    }

    pub(crate) fn holds(&self, number: f64) -> bool {
        number >= self.least && number <= self.most
    }
}

/// One tick: where, and what is written there.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    pub(crate) at: f64,
    pub(crate) label: String,
}

/// Decimals needed to write whole multiples of a step.
fn decimals_of(step: f64) -> usize {
    (0..9)
        .find(|d| {
            let scaled = step * 10f64.powi(*d);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.abs().max(1e-300)
        })
        .unwrap_or(9) as usize
}

/// The step of 1, 2 or 5 times a power of ten that cuts a span into at most so many parts.
fn nice_step(span: f64, most_steps: usize) -> f64 {
    let rough = span / most_steps.max(1) as f64;
    let mut power = 10f64.powf(rough.log10().floor());
    // The logarithm may fall just on the wrong side of a whole number.
    while power > rough {
        power /= 10.0;
    }
    [1.0, 2.0, 5.0, 10.0, 20.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(rough)
}

/// The step of 1, 2 or 5 times a power of ten that comes nearest to so many parts.
fn nearest_step(span: f64, about_steps: usize) -> f64 {
    let above = nice_step(span, about_steps);
    let below = nice_step(span, 2 * about_steps);
    let rough = span / about_steps.max(1) as f64;
    if above / rough > rough / below { below } else { above }
}

/// Whole multiples of a step within a range; at most 1,000 of them.
fn multiples(range: Range, step: f64) -> Vec<f64> {
    let first = (range.least / step - 1e-6).ceil();
    let last = (range.most / step + 1e-6).floor();
    let count = ((last - first).max(-1.0) + 1.0).min(1000.0) as usize;
    (0..count).map(|n| (first + n as f64) * step + 0.0).collect()
}

/// Ticks at nice numbers, about `about_steps` of them and never more than twice as many; labels by
/// `write`, which gets the number and how many decimals it needs.
pub(crate) fn ticks(
    range: Range,
    about_steps: usize,
    write: impl Fn(f64, usize) -> String,
) -> Vec<Tick> {
    let step = nearest_step(range.span(), about_steps);
    let decimals = decimals_of(step);
    multiples(range, step).into_iter().map(|at| Tick { at, label: write(at, decimals) }).collect()
}

/// The unit that an elapsed time is best read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeUnit {
    Milliseconds,
    Seconds,
    Minutes,
    Hours,
    Days,
}

impl TimeUnit {
    /// Fits an axis that spans so many seconds.
    pub(crate) fn for_span(span_s: f64) -> Self {
        match span_s {
            s if s < 0.5 => Self::Milliseconds,
            s if s <= 300.0 => Self::Seconds,
            s if s <= 3.0 * 3600.0 => Self::Minutes,
            s if s <= 96.0 * 3600.0 => Self::Hours,
            _ => Self::Days,
        }
    }

    pub(crate) fn symbol(self) -> &'static str {
        match self {
            Self::Milliseconds => "ms",
            Self::Seconds => "s",
            Self::Minutes => "min",
            Self::Hours => "h",
            Self::Days => "d",
        }
    }

    pub(crate) fn seconds(self) -> f64 {
        match self {
            Self::Milliseconds => 1e-3,
            Self::Seconds => 1.0,
            Self::Minutes => 60.0,
            Self::Hours => 3600.0,
            Self::Days => 86400.0,
        }
    }

    /// Steps that the unit's clock-face knows beside 1, 2, 5; in the unit itself.
    fn steps(self) -> &'static [f64] {
        match self {
            Self::Seconds | Self::Minutes => &[0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0],
            Self::Hours => &[0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0],
            Self::Milliseconds | Self::Days => &[],
        }
    }
}

/// A duration in words for people: "45 s", "12 min", "6.5 h".
pub(crate) fn duration(seconds: f64) -> String {
    let unit = TimeUnit::for_span(seconds.abs());
    let number = seconds / unit.seconds();
    let decimals =
        if number.abs() < 9.95 && (number - number.round()).abs() > 0.05 { 1 } else { 0 };
    format!("{}\u{a0}{}", fixed(number, decimals), unit.symbol())
}

/// Ticks of a time axis given in seconds: multiples of 1, 2, 5 and of what a clock-face divides
/// into. The last label carries the unit.
pub(crate) fn time_ticks(range_s: Range, most_steps: usize) -> Vec<Tick> {
    let unit = TimeUnit::for_span(range_s.span().max(range_s.most.abs() * 1e-3));
    let in_unit =
        Range { least: range_s.least / unit.seconds(), most: range_s.most / unit.seconds() };
    let rough = in_unit.span() / most_steps.max(1) as f64;
    let from_face = unit.steps().iter().copied().find(|step| *step >= rough * (1.0 - 1e-9));
    let face_is_fine = unit.steps().first().is_some_and(|least| rough > least / 2.0);
    let step = match from_face {
        Some(step) if face_is_fine => step,
        _ => nice_step(in_unit.span(), most_steps),
    };
    let decimals = decimals_of(step);
    let mut ticks: Vec<Tick> = multiples(in_unit, step)
        .into_iter()
        .map(|at| Tick { at: at * unit.seconds(), label: fixed(at, decimals) })
        .collect();
    if let Some(last) = ticks.last_mut() {
        last.label.push('\u{a0}');
        last.label.push_str(unit.symbol());
    }
    ticks
}

/// Ticks of a logarithmic axis of periods in seconds, the roundest first (so that labels can be
/// kept in this order until there is no room).
pub(crate) fn period_ticks(range_s: Range) -> Vec<Tick> {
    const ROUND: [f64; 10] =
        [1.0, 60.0, 10.0, 3600.0, 600.0, 0.1, 86400.0, 36000.0, 0.01, 864000.0];
    const LESS_ROUND: [f64; 21] = [
        0.001, 0.002, 0.005, 0.02, 0.05, 0.2, 0.5, 2.0, 5.0, 20.0, 30.0, 120.0, 300.0, 1200.0,
        1800.0, 7200.0, 10800.0, 21600.0, 43200.0, 172800.0, 432000.0,
    ];
    let write = |period: f64| {
        let unit = match period {
            p if p < 60.0 => TimeUnit::Seconds,
            p if p < 3600.0 => TimeUnit::Minutes,
            p if p < 86400.0 => TimeUnit::Hours,
            _ => TimeUnit::Days,
        };
        let number = period / unit.seconds();
        format!("{}\u{a0}{}", fixed(number, decimals_of(number)), unit.symbol())
    };
    let mut periods: Vec<f64> =
        ROUND.iter().chain(&LESS_ROUND).copied().filter(|p| range_s.holds(*p)).collect();
    if periods.len() < 2 {
        // Beyond every clock-face: the ends of the axis themselves, as powers of ten.
        periods =
            multiples(Range { least: range_s.least.log10(), most: range_s.most.log10() }, 1.0)
                .into_iter()
                .map(|power| 10f64.powf(power))
                .collect();
    }
    periods.into_iter().map(|at| Tick { at, label: write(at) }).collect()
}

/// Ticks of a logarithmic axis without a unit, the roundest first.
pub(crate) fn logarithmic_ticks(range: Range) -> Vec<Tick> {
    let powers =
        multiples(Range { least: range.least.log10() - 1.0, most: range.most.log10() }, 1.0);
    let at = |factor: f64| {
        let numbers = powers.iter().map(move |power| factor * 10f64.powf(*power));
        numbers.filter(|number| range.holds(*number)).collect::<Vec<_>>()
    };
    [1.0, 2.0, 5.0]
        .into_iter()
        .flat_map(at)
        .map(|number| Tick { at: number, label: fixed(number, decimals_of(number)) })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn labels(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().map(|tick| tick.label.as_str()).collect()
    }

    fn range(least: f64, most: f64) -> Range {
        Range { least, most }
    }

    #[test]
    fn steps_are_one_two_or_five() {
        assert_eq!(labels(&ticks(range(-9.0, 9.0), 4, fixed)), ["−5", "0", "5"]);
        assert_eq!(
            labels(&ticks(range(-9.0, 9.0), 10, fixed)),
            ["−8", "−6", "−4", "−2", "0", "2", "4", "6", "8"]
        );
        assert_eq!(labels(&ticks(range(0.0, 0.32), 4, fixed)), ["0.0", "0.1", "0.2", "0.3"]);
        assert_eq!(labels(&ticks(range(180.0, 330.0), 4, fixed)), ["200", "250", "300"]);
    }

    #[test]
    fn time_is_cut_as_a_clock_face_is() {
        assert_eq!(
            labels(&time_ticks(range(0.0, 60.0), 6)),
            ["0", "10", "20", "30", "40", "50", "60\u{a0}s"]
        );
        assert_eq!(labels(&time_ticks(range(0.0, 60.0), 3)), ["0", "20", "40", "60\u{a0}s"]);
        assert_eq!(
            labels(&time_ticks(range(0.0, 120.0), 5)),
            ["0", "30", "60", "90", "120\u{a0}s"]
        );
        assert_eq!(labels(&time_ticks(range(0.0, 3600.0), 3)), ["0", "20", "40", "60\u{a0}min"]);
        assert_eq!(
            labels(&time_ticks(range(0.0, 86400.0), 5)),
            ["0", "6", "12", "18", "24\u{a0}h"]
        );
        assert_eq!(
            labels(&time_ticks(range(0.0, 2.5), 5)),
            ["0.0", "0.5", "1.0", "1.5", "2.0", "2.5\u{a0}s"]
        );
        assert_eq!(
            labels(&time_ticks(range(0.0, 30.0 * 86400.0), 3)),
            ["0", "10", "20", "30\u{a0}d"]
        );
    }

    #[test]
    fn durations_in_words() {
        assert_eq!(duration(45.0), "45\u{a0}s");
        assert_eq!(duration(720.0), "12\u{a0}min");
        assert_eq!(duration(6.5 * 3600.0), "6.5\u{a0}h");
    }

    #[test]
    fn periods_have_their_own_units() {
        let ticks = period_ticks(range(0.4, 700.0));
        assert_eq!(labels(&ticks)[..4], ["1\u{a0}s", "1\u{a0}min", "10\u{a0}s", "10\u{a0}min"]);
    }

    proptest! {
        #[test]
        fn ticks_lie_inside_and_are_few(least in -1e12..1e12f64, span in 1e-9..1e12f64, most_steps in 1usize..12) {
            let range = Range { least, most: least + span }.at_least(0.0);
            for ticks in [ticks(range, most_steps, fixed), time_ticks(range, most_steps)] {
                prop_assert!(ticks.len() <= 2 * most_steps + 2, "{}", ticks.len());
                let slack = range.span() * 1e-3;
                for tick in &ticks {
                    prop_assert!(tick.at >= range.least - slack && tick.at <= range.most + slack);
                }
            }
        }

        #[test]
        fn neighbouring_ticks_are_written_differently(span in 1e-6..1e9f64, most_steps in 2usize..12) {
            let ticks = ticks(range(0.0, span), most_steps, fixed);
            for pair in ticks.windows(2) {
                prop_assert_ne!(&pair[0].label, &pair[1].label);
            }
        }
    }
}
