//! A final test that is kept, judged; and what the rate sheet says in one.

use crate::sheet::{Sheet, WindColumn};
use horology::final_tests::{
    self as tests, Judged, Known, LEAK_UG_PER_MIN, LookSeen, MagnetismLimits, MagnetismSeen, Means,
    Midnight, Number, OwnWater, RateLimits, RateSeen, Reason, RunSeen, WaterProblem, WaterSeen,
    WaterStandard, WindingSeen, residual_s_per_d,
};
use horology::rate_sheet::{Bounded, mean};
use jobs::{Figure, FigureOf, FinalTest, ReadingId, SignOf, TestKind, TestStandard, TestWay};
use quantities::Measured;
use std::collections::BTreeMap;

/// What a test comes to by its numbers and signs, whatever its repairer says of it.
#[must_use]
pub fn judged(test: &FinalTest) -> Judged {
    match test.kind {
        TestKind::Rate => tests::rate(
            &RateSeen {
                mean_s_per_d: measured(test, FigureOf::MeanSPerD),
                spread_s_per_d: measured(test, FigureOf::SpreadSPerD),
                // Within 1 to 100.
                positions: number(test, FigureOf::Positions).unwrap_or(1.0) as usize,
                amplitude_deg: measured(test, FigureOf::AmplitudeDeg),
            },
            &RateLimits {
                from_s_per_d: number(test, FigureOf::FromSPerD),
                to_s_per_d: number(test, FigureOf::ToSPerD),
                most_spread_s_per_d: number(test, FigureOf::MostSpreadSPerD),
                least_amplitude_deg: number(test, FigureOf::LeastAmplitudeDeg),
            },
        ),
        TestKind::RunningTime => tests::running_time(run(test), number(test, FigureOf::WantedH)),
        TestKind::AutomaticWinding => tests::automatic_winding(
            &WindingSeen {
                run: run(test),
                amplitude_deg: measured(test, FigureOf::AmplitudeDeg),
                rotor_free: is_not(test, SignOf::RotorTouches),
            },
            number(test, FigureOf::WantedH),
            number(test, FigureOf::LeastAmplitudeDeg),
        ),
        TestKind::Water => water(test),
        TestKind::Magnetism => magnetism(test),
        TestKind::HandsAndCalendar => tests::midnight(
            &Midnight {
                changed_min: number(test, FigureOf::ChangedMin),
                changes_whole: test.sign(SignOf::ChangesWhole),
                shows_right: test.sign(SignOf::ShowsRight),
                hands_clear: is_not(test, SignOf::HandsTouch),
                hands_agree: test.sign(SignOf::HandsAgree),
                sets_right: test.sign(SignOf::SetsRight),
            },
            test.sign(SignOf::HasCalendar) != Some(false),
            number(test, FigureOf::WithinMin),
        ),
        TestKind::Look => tests::look(LookSeen {
            no_new_marks: is_not(test, SignOf::NewMarks),
            clean: is_not(test, SignOf::DustInside),
            tight: test.sign(SignOf::AllTight),
        }),
        TestKind::Other => Judged::from_reasons(vec![Reason::YoursToSay], None),
    }
}

fn number(test: &FinalTest, of: FigureOf) -> Option<f64> {
    test.figure(of).map(|figure| figure.value)
}

/// A number that counts as exact where nobody said how well it is known.
fn measured(test: &FinalTest, of: FigureOf) -> Option<Measured> {
    test.figure(of).map(|figure| Measured::new(figure.value, figure.sd.unwrap_or(0.0)))
}

fn is_not(test: &FinalTest, of: SignOf) -> Option<bool> {
    test.sign(of).map(|seen| !seen)
}

/// How long it ran, where somebody said whether it still did.
fn run(test: &FinalTest) -> Option<RunSeen> {
    let hours = number(test, FigureOf::HoursRun)?;
    let still_ran = test.sign(SignOf::StillRan)?;
    // Nobody knows of a look in between: it may have stopped at once.
    let looked_every_hours = number(test, FigureOf::LookedEveryH).unwrap_or(hours);
    Some(RunSeen { hours, still_ran, looked_every_hours })
}

/// What the standard calls a way of testing against water; none for a way of another test.
#[must_use]
pub const fn water_means(way: TestWay) -> Option<Means> {
    Some(match way {
        TestWay::Air => Means::Air,
        TestWay::Water => Means::Water,
        TestWay::LowPressure => Means::LowPressure,
        TestWay::Immersion => Means::Immersion,
        TestWay::CrownPressed => Means::CrownPressed,
        TestWay::Warmth => Means::Warmth,
        TestWay::Salt => Means::Salt,
        TestWay::Condensation => Means::Condensation,
        TestWay::Worn | TestWay::Winder => return None,
    })
}

/// The standard against water; none for the workshop's own limits.
#[must_use]
pub const fn water_standard(standard: TestStandard) -> Option<WaterStandard> {
    match standard {
        TestStandard::Iso22810 => Some(WaterStandard::Iso22810),
        TestStandard::Iso6425 => Some(WaterStandard::Iso6425),
        TestStandard::Own | TestStandard::Iso764 | TestStandard::Iso764Enhanced => None,
    }
}

fn water(test: &FinalTest) -> Judged {
    let Some(means) = test.way.and_then(water_means) else {
        return Judged::from_reasons(vec![Reason::WayNotSaid], None);
    };
    let (bubbles, inside) = (test.sign(SignOf::Bubbles), test.sign(SignOf::WaterInside));
    let seen = WaterSeen {
        means,
        bar: number(test, FigureOf::TestedBar),
        minutes: number(test, FigureOf::Minutes),
        warm_deg_c: number(test, FigureOf::WarmDegC),
        cold_deg_c: number(test, FigureOf::ColdDegC),
        leak_ug_per_min: measured(test, FigureOf::LeakUgPerMin),
        bend_let_up: test.sign(SignOf::BendLetUp),
        fog: test.sign(SignOf::Fog),
        water_or_bubbles: match (bubbles, inside) {
            (Some(one), Some(other)) => Some(one || other),
            (one, other) => one.or(other),
        },
        corroded: test.sign(SignOf::Rust),
        stuck: test.sign(SignOf::Stuck),
    };
    let own = OwnWater {
        most_leak_ug_per_min: number(test, FigureOf::MostLeakUgPerMin),
        bar: number(test, FigureOf::WantedBar),
        minutes: number(test, FigureOf::WantedMinutes),
    };
    let marked = number(test, FigureOf::MarkedBar);
    let mut reasons = Vec::new();
    let (problems, most_leak, known) = match (water_standard(test.standard), marked) {
        (None, _) => (tests::own_water(&own, &seen).1, own.most_leak_ug_per_min, None),
        (Some(standard), marked) if asks_for_the_mark(standard, means) && marked.is_none() => {
            reasons.push(Reason::Missing(Number::MarkedPressure));
            let by_leak =
                OwnWater { most_leak_ug_per_min: Some(LEAK_UG_PER_MIN), ..OwnWater::default() };
            let problems = tests::own_water(&by_leak, &seen).1;
            (problems, Some(LEAK_UG_PER_MIN), Some(Known::SecondHand))
        }
        (Some(standard), marked) => {
            let marked = marked.unwrap_or(0.0);
            let step = tests::water_step(standard, marked, means);
            let known = step.map_or(Known::SecondHand, |step| step.known);
            (tests::water(standard, marked, &seen).1, Some(LEAK_UG_PER_MIN), Some(known))
        }
    };
    let told = |problem: &WaterProblem| {
        matches!(problem, WaterProblem::Leaks(_) | WaterProblem::LeakNearLimit(_))
    };
    let is_told = problems.iter().any(told);
    if let (Some(leak), Some(most)) = (seen.leak_ug_per_min, most_leak.filter(|_| !is_told)) {
        reasons.push(Reason::limit(Number::Leak, Bounded::from(leak), None, Some(most)));
    }
    if problems.is_empty() && reasons.is_empty() {
        reasons.push(match means {
            Means::Salt => Reason::SaltDidNothing,
            _ => Reason::NothingGotThrough,
        });
    }
    reasons.extend(problems.into_iter().map(Reason::Water));
    Judged::from_reasons(reasons, known)
}

/// Whether what is asked of a step hangs on the pressure that the watch is marked with.
fn asks_for_the_mark(standard: WaterStandard, means: Means) -> bool {
    standard == WaterStandard::Iso6425 || means == Means::Water
}

fn magnetism(test: &FinalTest) -> Judged {
    let (limits, known) = match test.standard {
        TestStandard::Iso764 => (Some(MagnetismLimits::ISO_764), Some(Known::SecondHand)),
        TestStandard::Iso764Enhanced => {
            (Some(MagnetismLimits::ISO_764_ENHANCED), Some(Known::FromMemory))
        }
        _ => {
            let own = number(test, FigureOf::MostChangeSPerD).map(|most_change_s_per_d| {
                MagnetismLimits { field_a_per_m: None, most_change_s_per_d }
            });
            (own, None)
        }
    };
    let before = measured(test, FigureOf::BeforeSPerD);
    let after = measured(test, FigureOf::AfterSPerD);
    let stopped = test.sign(SignOf::StoppedInField);
    let mut reasons = Vec::new();
    // What was not measured changes nothing about a watch that stopped.
    let nothing = Measured::new(0.0, 0.0);
    let seen = MagnetismSeen {
        before_s_per_d: before.unwrap_or(nothing),
        after_s_per_d: after.unwrap_or(nothing),
        field_a_per_m: number(test, FigureOf::FieldAPerM),
        stopped,
    };
    if before.is_none() || after.is_none() {
        reasons.push(Reason::Missing(Number::RatesBeforeAndAfter));
    } else if let Some(limits) = limits {
        let change = Bounded::from(residual_s_per_d(&seen));
        let most = limits.most_change_s_per_d;
        reasons.push(Reason::limit(Number::ChangeOfRate, change, Some(-most), Some(most)));
    }
    if limits.is_none() {
        reasons.push(Reason::NoLimit);
    }
    let limits = limits
        .unwrap_or(MagnetismLimits { field_a_per_m: None, most_change_s_per_d: f64::INFINITY });
    reasons.extend(tests::magnetism(&limits, &seen).1.into_iter().map(Reason::Magnetism));
    Judged::from_reasons(reasons, known)
}

/// What the rate sheet says of a balance in its fullest state of wind: the numbers of a rate test, and
/// the readings that they come from; nothing where no position was read since it was last touched.
#[must_use]
pub fn from_sheet(
    sheet: &Sheet,
    balance: usize,
) -> Option<(BTreeMap<String, Figure>, Vec<ReadingId>, &WindColumn)> {
    let wind = sheet.fullest(balance)?;
    let there: Vec<_> = sheet
        .placed
        .iter()
        .filter(|one| one.balance == balance && !one.is_of_before)
        .filter(|one| sheet.winds[one.wind].wind == wind.wind && one.rate_s_per_d.is_some())
        .collect();
    let rates: Vec<Measured> = there.iter().filter_map(|one| one.rate_s_per_d).collect();
    let clock = sheet.rates.clock_sd_s_per_d();
    let mut figures = BTreeMap::new();
    let mut put = |of: FigureOf, found: Measured| {
        let sd = of.is_measured().then_some(found.sd);
        figures.insert(of.code().to_owned(), Figure { value: found.value, sd });
    };
    let mean = mean(rates.iter().copied())?;
    // All readings have the clock in common: it does not grow less by reading more of them.
    put(FigureOf::MeanSPerD, Measured::new(mean.value, mean.sd.hypot(clock)));
    put(FigureOf::Positions, Measured::new(rates.len() as f64, 0.0));
    let by_rate = |a: &&Measured, b: &&Measured| a.value.total_cmp(&b.value);
    if let (Some(most), Some(least)) = (rates.iter().max_by(by_rate), rates.iter().min_by(by_rate))
        && rates.len() > 1
    {
        put(FigureOf::SpreadSPerD, most.minus(*least));
    }
    let amplitudes = there.iter().filter_map(|one| one.amplitude_deg);
    if let Some(lowest) = amplitudes.min_by(|a, b| a.value.total_cmp(&b.value)) {
        put(FigureOf::AmplitudeDeg, lowest);
    }
    Some((figures, there.iter().map(|one| one.reading).collect(), wind))
}
