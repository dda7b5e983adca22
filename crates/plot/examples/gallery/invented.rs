//! Invented numbers that look like what a watch gives. None of them was measured.

use plot::{
    Against, Balance, BeatPicture, BeatTrace, Course, CourseLine, CoursePoint, Dial, DialSector,
    DialWords, Drift, DriftBalance, DriftBeat, KeyNumber, NamedPeak, PeriodogramPicture, ScaleMark,
    Sheet, SheetBalance, Side, Tolerance, Value,
};

/// A small generator of repeatable noise (Numerical Recipes' "quick and dirty" constants).
pub(crate) struct Noise(u32);

impl Noise {
    pub(crate) fn new(seed: u32) -> Self {
        Self(seed)
    }

    /// Even between 0 and 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1u32 << 24)
    }

    /// Near enough normal, with standard deviation one (Irwin and Hall: twelve even ones).
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// What one invented balance does.
pub(crate) struct Plan {
    pub(crate) place: usize,
    pub(crate) rate_s_per_d: f64,
    pub(crate) sd: f64,
    pub(crate) beat_error_ms: f64,
    pub(crate) offset_ms: f64,
    pub(crate) jitter_ms: f64,
    pub(crate) running_s: Vec<(f64, f64)>,
    pub(crate) beat_s: f64,
}

impl Plan {
    fn new(place: usize, rate_s_per_d: f64, beat_error_ms: f64) -> Self {
        Self {
            place,
            rate_s_per_d,
            sd: 0.1,
            beat_error_ms,
            offset_ms: 0.0,
            jitter_ms: 0.06,
            running_s: vec![(0.0, 60.0)],
            beat_s: 0.125,
        }
    }

    pub(crate) fn balance(&self) -> DriftBalance {
        let mut noise = Noise::new(17 + self.place as u32);
        let gain = |t: f64| self.offset_ms + self.rate_s_per_d * t / 86.4;
        let mut beats = Vec::new();
        for &(from, to) in &self.running_s {
            let count = ((to - from) / self.beat_s) as usize;
            for n in 0..count {
                let time_s = from + n as f64 * self.beat_s;
                let side = if n % 2 == 0 { Side::Tick } else { Side::Tock };
                let apart = if side == Side::Tick { 1.0 } else { -1.0 };
                let used = noise.even() > 0.02;
                let knock = if used { 0.0 } else { 0.9 * noise.normal() };
                let gain_ms = gain(time_s)
                    + apart * self.beat_error_ms / 2.0
                    + self.jitter_ms * noise.normal()
                    + knock;
                beats.push(DriftBeat { time_s, gain_ms, side, used });
            }
        }
        let fit = self.running_s.iter().map(|&(a, b)| vec![(a, gain(a)), (b, gain(b))]).collect();
        DriftBalance {
            balance: Balance::nth(self.place),
            beats,
            fit,
            rate_s_per_d: Some(Value::new(self.rate_s_per_d, self.sd)),
        }
    }
}

const TOLERANCE: Tolerance = Tolerance { lower_s_per_d: -4.0, upper_s_per_d: 6.0 };

pub(crate) fn drift_two() -> Drift {
    Drift {
        balances: vec![Plan::new(0, 4.2, 0.3).balance(), Plan::new(1, -8.1, 0.7).balance()],
        tolerance: Some(TOLERANCE),
        span_s: None,
        ..Drift::default()
    }
}

pub(crate) fn drift_one() -> Drift {
    let plan = Plan { running_s: vec![(0.0, 20.0)], ..Plan::new(0, 1.3, 0.1) };
    Drift {
        balances: vec![plan.balance()],
        tolerance: Some(TOLERANCE),
        span_s: None,
        ..Drift::default()
    }
}

pub(crate) fn drift_six() -> Drift {
    let rates = [4.2, 4.0, 5.1, -8.1, -7.6, 12.0];
    let balances = rates.iter().enumerate();
    let balances = balances.map(|(n, rate)| Plan::new(n, *rate, 0.2 * n as f64).balance());
    Drift {
        balances: balances.collect(),
        tolerance: Some(TOLERANCE),
        span_s: None,
        ..Drift::default()
    }
}

/// A day of two balances with 700,000 beats each, wandering as temperature and wind do.
pub(crate) fn drift_day() -> Drift {
    let mut balances = Vec::new();
    for (place, rate) in [(0, 3.1), (1, -5.4)] {
        let plan = Plan {
            running_s: vec![(0.0, 86_400.0)],
            beat_s: 86_400.0 / 691_200.0,
            sd: 0.004,
            ..Plan::new(place, rate, 0.4)
        };
        let mut balance = plan.balance();
        let bow = |t: f64| 900.0 * (t / 86_400.0 * 5.0).sin();
        for beat in &mut balance.beats {
            beat.gain_ms += bow(beat.time_s);
        }
        let line = (0..=200).map(|n| 432.0 * f64::from(n));
        balance.fit = vec![line.map(|t| (t, rate * t / 86.4 + bow(t))).collect()];
        balances.push(balance);
    }
    Drift { balances, tolerance: Some(TOLERANCE), span_s: None, ..Drift::default() }
}

/// One balance that stops for a while, another that starts late and stops early.
pub(crate) fn drift_stop() -> Drift {
    let a = Plan { running_s: vec![(0.0, 70.0), (160.0, 240.0)], ..Plan::new(0, 6.5, 0.5) };
    let b = Plan { running_s: vec![(60.0, 190.0)], offset_ms: -4.0, ..Plan::new(1, -2.0, 1.1) };
    Drift {
        balances: vec![a.balance(), b.balance()],
        tolerance: None,
        span_s: Some((0.0, 240.0)),
        ..Drift::default()
    }
}

/// A burst of sound that starts at `at` and dies away.
fn burst(t: f64, at: f64, height: f64, decay_ms: f64) -> f64 {
    if t < at {
        return 0.0;
    }
    let age = t - at;
    height * (1.0 - (-age / 0.12).exp()) * (-age / decay_ms).exp()
}

/// The averaged tick and tock of a balance of 28,800 beats per hour, lift angle 52°.
pub(crate) fn beat(place: usize, amplitude_deg: f64) -> BeatPicture {
    let traces = [(Side::Tick, amplitude_deg + 1.2), (Side::Tock, amplitude_deg - 1.4)];
    let traces = traces.map(|(side, amplitude)| trace(place, side, amplitude));
    BeatPicture {
        balance: Balance::nth(place),
        note: "lift angle 52°".into(),
        traces: traces.to_vec(),
    }
}

// The scale that a caller would hand over: A = lift / (2 sin(pi f dt)), solved for dt.
fn drop_after_ms(amplitude_deg: f64) -> f64 {
    let share: f64 = 52.0 / (2.0 * amplitude_deg);
    share.asin() / (std::f64::consts::PI * 4.0) * 1000.0
}

fn trace(place: usize, side: Side, amplitude_deg: f64) -> BeatTrace {
    let mut noise = Noise::new(99 + place as u32 + if side == Side::Tick { 0 } else { 7 });
    let unlocking = 0.0;
    let impulse = 1.35 + 0.2 * place as f64;
    let drop = drop_after_ms(amplitude_deg);
    let step_ms = 0.05;
    let start_ms = -2.0;
    let count = 440;
    let louder = if side == Side::Tick { 1.0 } else { 0.82 };
    let mean: Vec<f64> = (0..count)
        .map(|n| {
            let t = start_ms + f64::from(n) * step_ms;
            let sound = burst(t, unlocking, 0.34, 0.5)
                + burst(t, impulse, 0.26, 0.7)
                + burst(t, drop, 1.15, 0.55)
                + burst(t, drop + 0.9, 0.45, 1.3);
            (louder * sound + 0.012 + 0.004 * noise.normal()).max(0.0)
        })
        .collect();
    let spread = mean.iter().map(|m| 0.010 + 0.14 * m).collect();
    let scale = (15..=33).map(|tens| 10.0 * f64::from(tens));
    let scale = scale.map(|a| ScaleMark { at_ms: unlocking + drop_after_ms(a), amplitude_deg: a });
    BeatTrace {
        side,
        start_ms,
        step_ms,
        mean,
        spread,
        unlocking_ms: Some(unlocking),
        impulse_ms: Some(impulse),
        drop_ms: Some(drop),
        scale: scale.collect(),
        amplitude_deg: Some(Value::new(amplitude_deg, 0.8)),
    }
}

/// Everything close together, as a small window or a low beat makes it.
pub(crate) fn beat_crowded() -> BeatPicture {
    let mut picture = beat(0, 325.0);
    for trace in &mut picture.traces {
        trace.impulse_ms = Some(0.4);
        trace.drop_ms = Some(1.1);
    }
    picture
}

pub(crate) fn amplitude_course() -> Course {
    let mut noise = Noise::new(5);
    let lines = [(0usize, 284.0), (1, 262.0)].map(|(place, mean)| {
        let points =
            (0..120).filter(|n| place == 0 || !(40..52).contains(n)).map(|n| CoursePoint {
                time_s: 30.0 * f64::from(n),
                value: Value::new(
                    mean + 4.0 * (f64::from(n) * 0.21).sin() + 0.8 * noise.normal(),
                    1.5,
                ),
            });
        CourseLine {
            balance: Balance::nth(place),
            points: points.collect(),
            mean: Some(Value::new(mean, 0.4)),
        }
    });
    Course {
        title: "Amplitude".into(),
        unit: "°".into(),
        signed: false,
        least_span: 20.0,
        lines: lines.to_vec(),
    }
}

pub(crate) fn rate_course() -> Course {
    let mut noise = Noise::new(6);
    let lines = [(0usize, 4.2), (1, -8.1)].map(|(place, mean)| {
        let points = (0..60).map(|n| CoursePoint {
            time_s: 60.0 * f64::from(n),
            value: Value::new(mean + 0.9 * (f64::from(n) * 0.1).cos() + 0.5 * noise.normal(), 0.6),
        });
        CourseLine {
            balance: Balance::nth(place),
            points: points.collect(),
            mean: Some(Value::new(mean, 0.1)),
        }
    });
    Course {
        title: "Rate".into(),
        unit: "s/d".into(),
        signed: true,
        least_span: 2.0,
        lines: lines.to_vec(),
    }
}

pub(crate) fn periodogram(against: Against) -> PeriodogramPicture {
    let mut noise = Noise::new(8);
    let named = [
        (60.0, 0.42, "fourth wheel"),
        (7.5, 0.21, "escape wheel"),
        (30.0, 0.16, ""),
        (6.2, 0.1, "third of something"),
    ];
    let frequency_hz: Vec<f64> = (1..4000).map(|n| f64::from(n) / 1800.0).collect();
    let power: Vec<f64> = frequency_hz
        .iter()
        .map(|f| {
            let peaks: f64 = named
                .iter()
                .map(|(period, power, _)| {
                    let off = (f - 1.0 / period) * 1800.0;
                    power * (-off * off / 1.5).exp()
                })
                .sum();
            peaks + 0.012 * -noise.even().max(1e-6).ln()
        })
        .collect();
    let peaks = named.map(|(period, _, name)| {
        let bin = (1800.0 / period).round() as usize - 1;
        NamedPeak { frequency_hz: frequency_hz[bin], power: power[bin], name: name.into() }
    });
    PeriodogramPicture {
        title: "What repeats in the rate".into(),
        balance: Some(Balance::nth(0)),
        against,
        frequency_hz,
        power,
        one_percent_level: Some(0.135),
        peaks: peaks.to_vec(),
    }
}

fn numbers(rate: f64, amplitude: Option<f64>, error: f64) -> Vec<KeyNumber> {
    let number = |name: &str, value: Option<Value>, unit: &str, signed| KeyNumber {
        name: name.into(),
        value,
        unit: unit.into(),
        signed,
        when_missing: "too faint to tell".into(),
        also: String::new(),
    };
    vec![
        number("rate", Some(Value::new(rate, 0.04)), "s/d", true),
        number("amplitude", amplitude.map(|a| Value::new(a, 0.4)), "°", false),
        number("beat error", Some(Value::new(error, 0.012)), "ms", false),
    ]
}

pub(crate) fn sheet_two() -> Sheet {
    let card = |place: usize, name: &str, rate, amplitude, error| SheetBalance {
        balance: Balance::nth(place),
        name: name.into(),
        note: "28,800 beats/h · 479 of 480 beats".into(),
        numbers: numbers(rate, Some(amplitude), error),
    };
    Sheet {
        scatter: None,
        title: "Twin-balance school piece".into(),
        facts: vec!["dial-up-full-wind.wav".into(), "12 March 2026, 14:02".into(), "dial up, full wind, 23 °C".into()],
        balances: vec![card(0, "left balance", 4.21, 281.3, 0.30), card(1, "right balance", -8.1, 262.1, 0.70)],
        verdict: "Independent.".into(),
        sentence: "A gains 12.3 ± 0.1 s/d on B. Their beats meet again in 14 minutes; the reading goes on through it. A is within the tolerance of −4 to +6 s/d, B is not.".into(),
        warnings: vec!["The recorder's clock has not been calibrated: it may add up to 1.7 s/d to every rate, the same to both.".into()],
        drift: Some(drift_two()),
        beats: vec![beat(0, 281.0), beat(1, 262.0)],
        dials: Vec::new(),
        courses: vec![amplitude_course(), rate_course()],
        periodograms: vec![periodogram(Against::Period)],
        footer: "Beat error is half the difference between the two kinds of beat. Uncertainties are one standard deviation. Endshake 0.1.0".into(),
    }
}

pub(crate) fn sheet_one() -> Sheet {
    Sheet {
        title: "Wrist watch, centre seconds".into(),
        facts: vec![
            "a-rather-long-name-of-a-recording-made-on-a-phone-2026-03-12.m4a".into(),
            "12 March 2026".into(),
        ],
        balances: vec![SheetBalance {
            balance: Balance::nth(0),
            name: String::new(),
            note: "18,000 beats/h · 98 of 100 beats".into(),
            numbers: numbers(1.3, None, 0.10),
        }],
        verdict: "One balance.".into(),
        sentence: "It gains 1.3 s/d.".into(),
        drift: Some(drift_one()),
        beats: vec![beat(0, 281.0)],
        ..Sheet::default()
    }
}

fn dial_words(name: &str, number: &str) -> DialWords {
    DialWords { name: name.into(), number: number.into() }
}

/// Eight positions around a dial with a heavy spot.
pub(crate) fn dial_eight() -> Dial {
    let around = [
        (0.0, "12H", "+12.4"),
        (45.0, "1:30H", "+9.8"),
        (90.0, "3H", "+4.1"),
        (135.0, "4:30H", "−6.3"),
        (180.0, "6H", "−18.5"),
        (225.0, "7:30H", "−10.2"),
        (270.0, "9H", "−3.0"),
        (315.0, "10:30H", "+6.6"),
    ];
    let around = around.map(|(direction, name, number)| (direction, dial_words(name, number)));
    Dial {
        balance: Balance::nth(0),
        title: "Before".into(),
        note: "s/d, full".into(),
        around: around.to_vec(),
        middle: vec![dial_words("CH", "+5.1"), dial_words("FH", "+4.4")],
        sector: Some(DialSector { direction_deg: 172.0, half_deg: 22.0 }),
        sentence: "Heavy towards 5:30 (±22° with 95 in 100), with the balance at rest.".into(),
    }
}

/// Three positions, and nothing to be told of them.
pub(crate) fn dial_of_little() -> Dial {
    let mut dial = Dial { sector: None, title: "Now".into(), ..dial_eight() };
    dial.around.retain(|(direction, _)| *direction < 100.0);
    dial.middle.truncate(1);
    dial
}

/// Two dials side by side.
pub(crate) fn sheet_of_dials() -> Sheet {
    Sheet { dials: vec![dial_eight(), dial_of_little()], ..Sheet::default() }
}
