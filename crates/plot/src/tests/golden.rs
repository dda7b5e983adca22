//! One small picture of each kind, kept as text: a change in how pictures look is seen in review.

use crate::*;

fn small() -> (Size, Theme) {
    (Size::new(320.0), Theme::Light)
}

fn svg(picture: Picture) -> String {
    picture.svg(FontUse::InPage)
}

#[test]
fn drift() {
    let (size, theme) = small();
    let beats = (0..8).map(|n| {
        let time_s = f64::from(n) * 2.5;
        let (side, apart) = if n % 2 == 0 { (Side::Tick, 0.2) } else { (Side::Tock, -0.2) };
        DriftBeat { time_s, gain_ms: 0.05 * time_s + apart, side, used: n != 5 }
    });
    let drift = Drift {
        balances: vec![DriftBalance {
            balance: Balance::nth(0),
            beats: beats.collect(),
            fit: vec![vec![(0.0, 0.0), (17.5, 0.875)]],
            rate_s_per_d: Some(Value::new(4.32, 0.4)),
        }],
        tolerance: Some(Tolerance { lower_s_per_d: -4.0, upper_s_per_d: 6.0 }),
        span_s: Some((0.0, 20.0)),
        ..Drift::default()
    };
    insta::assert_snapshot!(svg(drift.draw(size, theme)));
}

fn trace(side: Side) -> BeatTrace {
    BeatTrace {
        side,
        start_ms: -1.0,
        step_ms: 1.0,
        mean: vec![0.0, 0.3, 0.25, 0.1, 0.05, 0.02, 0.01, 0.01, 1.0, 0.6, 0.3, 0.1, 0.02, 0.0],
        spread: vec![0.02; 14],
        unlocking_ms: Some(0.0),
        impulse_ms: Some(1.2),
        drop_ms: Some(7.0),
        scale: vec![
            ScaleMark { at_ms: 6.5, amplitude_deg: 300.0 },
            ScaleMark { at_ms: 7.0, amplitude_deg: 280.0 },
            ScaleMark { at_ms: 10.5, amplitude_deg: 200.0 },
        ],
        amplitude_deg: Some(Value::new(280.0, 1.2)),
    }
}

fn beat() -> BeatPicture {
    BeatPicture {
        balance: Balance::nth(1),
        note: "lift angle 52°".into(),
        traces: vec![trace(Side::Tick), trace(Side::Tock)],
    }
}

#[test]
fn beat_picture() {
    let (size, theme) = small();
    insta::assert_snapshot!(svg(beat().draw(size, theme)));
}

fn course() -> Course {
    let values = [281.0, 282.0, f64::NAN, 279.0, 280.5, 280.0];
    let points = values
        .iter()
        .enumerate()
        .map(|(n, value)| CoursePoint { time_s: 60.0 * n as f64, value: Value::new(*value, 1.0) });
    Course {
        title: "Amplitude".into(),
        unit: "°".into(),
        signed: false,
        least_span: 10.0,
        lines: vec![CourseLine {
            balance: Balance::nth(2),
            points: points.collect(),
            mean: Some(Value::new(280.5, 0.4)),
        }],
    }
}

#[test]
fn course_of_amplitude() {
    let (size, theme) = small();
    insta::assert_snapshot!(svg(course().draw(size, theme)));
}

#[test]
fn dial() {
    let (size, theme) = small();
    let words = |name: &str, number: &str| DialWords { name: name.into(), number: number.into() };
    let dial = Dial {
        balance: Balance::nth(1),
        title: "Now".into(),
        note: "s/d".into(),
        around: vec![(0.0, words("12H", "+3.0")), (90.0, words("3H", "−2.5"))],
        middle: vec![words("CH", "+1.0")],
        sector: Some(DialSector { direction_deg: 90.0, half_deg: 12.0 }),
        sentence: "Heavy towards 3:00.".into(),
    };
    insta::assert_snapshot!(svg(dial.draw(size, theme)));
}

#[test]
fn periodogram() {
    let (size, theme) = small();
    let picture = PeriodogramPicture {
        title: "Rate".into(),
        balance: Some(Balance::nth(0)),
        against: Against::Period,
        frequency_hz: (1..20).map(|n| f64::from(n) / 300.0).collect(),
        power: (1..20).map(|n| if n == 5 { 0.6 } else { 0.02 * f64::from(n % 4) }).collect(),
        one_percent_level: Some(0.3),
        peaks: vec![NamedPeak {
            frequency_hz: 5.0 / 300.0,
            power: 0.6,
            name: "fourth wheel".into(),
        }],
    };
    insta::assert_snapshot!(svg(picture.draw(size, theme)));
}

#[test]
fn sheet() {
    let (_, theme) = small();
    let number = |name: &str, value: Option<Value>, unit: &str, signed| KeyNumber {
        name: name.into(),
        value,
        unit: unit.into(),
        signed,
        when_missing: "cannot tell".into(),
        also: String::new(),
    };
    let sheet = Sheet {
        title: "A watch".into(),
        facts: vec!["a.wav".into(), "12 March 2026".into()],
        balances: vec![SheetBalance {
            balance: Balance::nth(0),
            name: "the balance".into(),
            note: "28,800 beats/h".into(),
            numbers: vec![
                number("rate", Some(Value::new(4.3, 0.2)), "s/d", true),
                number("amplitude", Some(Value::new(281.0, 1.0)), "°", false),
                number("beat error", None, "ms", false),
            ],
        }],
        verdict: "One balance.".into(),
        sentence: "It gains.".into(),
        warnings: vec!["The recorder's clock is not calibrated.".into()],
        courses: vec![course()],
        footer: "Uncertainties are one standard deviation.".into(),
        ..Sheet::default()
    };
    insta::assert_snapshot!(svg(sheet.draw(Size::new(700.0), theme)));
}
