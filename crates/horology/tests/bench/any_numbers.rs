//! Whatever is put in: an answer or a sentence, never a panic; and what must hold of every answer.

use horology::chronometer::{DailyRates, Evaluation};
use horology::findings::{Earlier, PeriodicFault, Readings, findings};
use horology::isochronism::{candidates, observe};
use horology::poise::{
    PoiseAnswer, PoiseSet, PoiseSettings, UprightReading, find_heavy_spot,
    rate_from_heavy_spot_s_per_d,
};
use horology::rate_sheet::{
    Bounded, Cell, Evidence, MovementSize, RateSheet, Verdict, Wind, published_classes,
};
use horology::regulator::{Advice, Means, Move, Prior, Reach, Target, next_move};
use horology::stance::{Stance, Upright};
use proptest::prelude::*;
use quantities::Measured;

/// Numbers of every kind, ordinary ones more often.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -400.0..400.0_f64, 1 => any::<f64>()]
}

fn measured() -> impl Strategy<Value = Measured> {
    (number(), number()).prop_map(|(value, sd)| Measured::new(value, sd))
}

fn stance() -> impl Strategy<Value = Stance> {
    prop_oneof![
        Just(Stance::DialUp),
        Just(Stance::DialDown),
        (0..8_usize).prop_map(|i| Stance::Upright(Upright::EIGHT[i])),
    ]
}

fn sheet() -> impl Strategy<Value = RateSheet> {
    let cell = (stance(), 0..3_u16, measured(), proptest::option::of(measured())).prop_map(
        |(stance, half_days, rate, amplitude)| Cell {
            balance: 0,
            wind: Wind::after_hours(12 * half_days),
            stance,
            rate_s_per_d: rate,
            amplitude_deg: amplitude,
            beat_error_ms: amplitude,
        },
    );
    proptest::collection::vec(cell, 0..20).prop_map(|cells| {
        let mut sheet = RateSheet::new(0.5).unwrap();
        for cell in cells {
            // Those that are refused stay out.
            let _ = sheet.put(cell);
        }
        sheet
    })
}

/// A reading as `rate` and `amplitude` have it.
fn upright(position: Upright, rate: Measured, amplitude: Measured) -> UprightReading {
    UprightReading { position, rate_s_per_d: rate, amplitude_deg: amplitude }
}

fn evaluated(rates: &[f64]) -> Evaluation {
    let rates: [f64; 15] = rates.try_into().unwrap();
    DailyRates::new(rates.map(|r| Measured::new(r, 0.2))).unwrap().evaluate(0.0)
}

proptest! {
    #[test]
    fn poise_of_any_numbers(
        readings in proptest::collection::vec((0..8_usize, measured(), measured()), 0..12),
        split in 0..12_usize,
        repeat in number(),
        scale in number(),
    ) {
        let all: Vec<UprightReading> =
            readings.iter().map(|(p, r, a)| upright(Upright::EIGHT[*p], *r, *a)).collect();
        let (one, other) = all.split_at(split.min(all.len()));
        let sets = [one, other].map(|part| PoiseSet { readings: part.to_vec() });
        let settings = PoiseSettings { repeat_sd_s_per_d: repeat, amplitude_scale_sd: scale };
        if let Ok(found) = find_heavy_spot(&sets, &settings)
            && let PoiseAnswer::Told(spot) = found.answer
        {
            prop_assert!((0.0..360.0).contains(&spot.direction_deg.value), "{spot:?}");
            prop_assert!(spot.strength.value.is_finite() && spot.direction_deg.sd.is_finite());
        }
    }

    /// Round trip: rates made by the formula, in four or eight positions, give back the spot that
    /// made them, and the same watch held a quarter turn on gives a spot a quarter turn on.
    #[test]
    fn a_heavy_spot_comes_back(
        strength in 3e-4..3e-3_f64,
        direction in 0.0..360.0_f64,
        amplitude in prop_oneof![150.0..195.0_f64, 250.0..320.0_f64],
        eight in any::<bool>(),
        mean in -30.0..30.0_f64,
    ) {
        let positions: &[Upright] = if eight { &Upright::EIGHT } else { &Upright::FOUR };
        let found = |turned_deg: u16| {
            let reading = |position: &Upright| {
                let rate =
                    rate_from_heavy_spot_s_per_d(strength, direction, *position, amplitude) + mean;
                let shown = Upright::from_uppermost_deg(position.uppermost_deg() as u16 + turned_deg);
                upright(shown, Measured::new(rate, 0.01), Measured::new(amplitude, 0.0))
            };
            let set = PoiseSet { readings: positions.iter().map(reading).collect() };
            let settings = PoiseSettings { repeat_sd_s_per_d: 0.0, amplitude_scale_sd: 0.01 };
            match find_heavy_spot(&[set], &settings).unwrap().answer {
                PoiseAnswer::Told(spot) => spot,
                other @ PoiseAnswer::CannotTell { .. } => panic!("{other:?}"),
            }
        };
        let spot = found(0);
        let apart = |a: f64, b: f64| ((a - b + 540.0).rem_euclid(360.0) - 180.0).abs();
        prop_assert!((spot.strength.value / strength - 1.0).abs() < 1e-9);
        prop_assert!(apart(spot.direction_deg.value, direction) < 1e-6);
        prop_assert!(apart(found(90).direction_deg.value, direction + 90.0) < 1e-6);
    }

    /// An answer moves towards the target, or says why it does not.
    #[test]
    fn moves_go_towards_the_target(
        now in measured(),
        target in number(),
        tolerance in number(),
        moves in proptest::collection::vec((number(), measured(), measured()), 0..6),
    ) {
        let moves: Vec<Move> = moves
            .into_iter()
            .map(|(amount, before_s_per_d, after_s_per_d)| Move {
                balance: 0,
                means: Means::Index,
                amount,
                before_s_per_d,
                after_s_per_d,
            })
            .collect();
        let wanted = Target { s_per_d: target, tolerance_s_per_d: tolerance };
        let prior = Prior::INDEX_DEGREE;
        let advice = next_move(wanted, now, Means::Index, &prior, &moves, Reach::UNKNOWN);
        if let Ok(Advice::Move(advised)) = advice {
            prop_assert!(advised.amount * (target - now.value) >= 0.0, "{advised:?}");
            prop_assert!(advised.effect.per_unit_s_per_d.value > 0.0);
        }
    }

    /// A wider tolerance is never kept less.
    #[test]
    fn wider_tolerances_are_kinder(
        value in -20.0..20.0_f64,
        sd in 0.0..5.0_f64,
        limit in 0.0..20.0_f64,
        more in 0.0..20.0_f64,
    ) {
        let rank = |verdict| match verdict {
            Verdict::Fail => 0,
            Verdict::CannotTell => 1,
            Verdict::Pass => 2,
        };
        let of = |limit: f64| {
            rank(Bounded::from(Measured::new(value, sd)).against(Some(-limit), Some(limit)))
        };
        prop_assert!(of(limit) <= of(limit + more));
    }

    /// A watch that gains so much more every day has the same six of seven results.
    #[test]
    fn a_constant_gain_moves_the_mean_rate_alone(
        rates in proptest::collection::vec(-10.0..10.0_f64, 15),
        gain in -5.0..5.0_f64,
    ) {
        let (before, after) = (
            evaluated(&rates),
            evaluated(&rates.iter().map(|rate| rate + gain).collect::<Vec<f64>>()),
        );
        let seven = |e: &Evaluation| [
            e.mean_daily_rate_s_per_d,
            e.mean_variation_s_per_d,
            e.greatest_variation_s_per_d,
            e.upright_less_flat_s_per_d,
            e.largest_variation_s_per_d,
            e.temperature_s_per_d_per_deg_c,
            e.rate_resumption_s_per_d,
        ];
        for (index, (one, other)) in seven(&before).iter().zip(seven(&after)).enumerate() {
            let moved = other.measured.value - one.measured.value;
            let expected = if index == 0 { gain } else { 0.0 };
            prop_assert!((moved - expected).abs() < 1e-9, "{index}: {moved}");
            prop_assert!(one.least <= one.measured.value && one.measured.value <= one.most);
        }
        // The wider limits of small movements are never kept less.
        let large = before.judge(MovementSize::Over20Mm).verdict;
        prop_assert!(large != Verdict::Pass
            || before.judge(MovementSize::UpTo20Mm).verdict == Verdict::Pass);
    }

    #[test]
    fn any_sheet_is_judged_and_looked_at(
        sheet in sheet(),
        period in measured(),
        earlier in proptest::collection::vec((number(), measured()), 0..4),
        other in measured(),
    ) {
        for wind in sheet.winds(0) {
            let column = sheet.column(0, wind).unwrap();
            let evidence = Evidence { column: Some(&column), ..Evidence::default() };
            for class in published_classes(Upright::FOUR[0]) {
                prop_assert_eq!(class.judge(&evidence).judgements.len(), class.limits.len());
            }
        }
        let periods =
            [PeriodicFault {
                period_s: period,
                timing_ms: Some(other),
                amplitude_deg: None,
                place: None,
            }];
        let earlier: Vec<Earlier> = earlier
            .into_iter()
            .map(|(days_ago, mean_s_per_d)| Earlier { days_ago, mean_s_per_d })
            .collect();
        let readings = Readings {
            periods: &periods,
            earlier: &earlier,
            erratic_s_per_d: Some(other),
            hands_s_per_d: Some(other),
            worn_and_expected_s_per_d: Some((other, period)),
            ..Readings::of_sheet(&sheet, 0)
        };
        for finding in findings(&readings) {
            prop_assert!(!finding.evidence.is_empty());
        }
        if let Ok(seen) = observe(&sheet, 0) {
            prop_assert_eq!(candidates(&seen).len(), 6);
        }
    }
}
