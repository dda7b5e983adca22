//! What stands for a day of a trial, and how sharp it is.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use horology::rate_sheet::Verdict;
use jobs::{
    BalanceReading, Id, JobId, Moment, Reading, ReadingSettings, Trial, TrialRate, TrialSize,
};
use quantities::{Measured, Position};
use regulate::{Kept, readings_of_days, standing};
use uuid::Uuid;

const BEGUN_MS: i64 = 1_700_000_000_000;
const HOUR_MS: i64 = 3_600_000;

fn job() -> JobId {
    Id::from_uuid(Uuid::from_u128(1))
}

fn trial(balance: &str) -> Trial {
    Trial {
        job: job(),
        balance: balance.into(),
        size: TrialSize::Over20Mm,
        begun: Moment::from_ms(BEGUN_MS),
        rate_sd_s_per_d: 0.0,
        days: [None; Trial::DAYS],
        note: String::new(),
    }
}

/// Taken so many hours after the trial began: balances with their rates, 0.3 s/d each, the clock
/// 0.4 s/d.
fn reading(hours: i64, position: Position, balances: &[(&str, f64)]) -> Reading {
    let balance = |(label, rate): &(&str, f64)| BalanceReading {
        label: (*label).to_owned(),
        rate_s_per_d: Some(Measured::new(*rate, 0.3)),
        rate_sd_with_clock_s_per_d: Some(0.5),
        beats_used: 300,
        beats_expected: 300,
        ..BalanceReading::default()
    };
    Reading {
        job: job(),
        position: Some(position),
        wind: String::new(),
        taken: Moment::from_ms(BEGUN_MS + hours * HOUR_MS),
        duration_s: 60.0,
        device: String::new(),
        settings: ReadingSettings::default(),
        program: String::new(),
        sound: None,
        balances: balances.iter().map(balance).collect(),
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    }
}

fn offered(trial: &Trial, readings: &[Reading]) -> [Option<TrialRate>; Trial::DAYS] {
    let kept: Vec<Kept<'_>> = (1..)
        .zip(readings)
        .map(|(n, reading)| Kept { id: Id::from_uuid(Uuid::from_u128(n)), reading })
        .collect();
    readings_of_days(trial, &kept)
}

/// Days 1 and 2 are 6H, day 3 is 3H (bib:tendance-horlogerie). Two readings of 0.3 make 0.3/sqrt 2.
#[test]
fn readings_of_the_day_in_its_position_stand_for_it() {
    let readings = [
        reading(1, Position::H6, &[("A", 2.0)]),
        reading(23, Position::H6, &[("A", 2.2)]),
        reading(2, Position::CH, &[("A", 90.0)]),
        reading(24, Position::H6, &[("A", 5.0)]),
        reading(-1, Position::H6, &[("A", 70.0)]),
        reading(49, Position::H6, &[("A", 60.0)]),
    ];
    let days = offered(&trial("A"), &readings);
    let first = days[0].unwrap();
    assert!((first.rate_s_per_d - 2.1).abs() < 1e-12);
    assert!((first.sd_s_per_d.unwrap() - 0.3 / 2.0_f64.sqrt()).abs() < 1e-12);
    // 0.5 with the clock and 0.3 without: 0.4.
    assert!((first.clock_sd_s_per_d - 0.4).abs() < 1e-12);
    assert_eq!(first.readings, 2);
    assert_eq!(days[1].map(|rate| rate.rate_s_per_d), Some(5.0));
    assert_eq!(days[2..], [None; 13]);
    assert_eq!(offered(&trial(""), &readings)[0], Some(first));
}

/// 0, 4 and 8 have a standard deviation of 4, so their mean is known to 4/sqrt 3, whatever each of
/// them claims.
#[test]
fn readings_that_disagree_are_no_sharper_than_their_scatter() {
    let readings = [0.0, 4.0, 8.0].map(|rate| reading(3, Position::H6, &[("A", rate)]));
    let sd = offered(&trial("A"), &readings)[0].unwrap().sd_s_per_d.unwrap();
    assert!((sd - 4.0 / 3.0_f64.sqrt()).abs() < 1e-12, "{sd}");
}

#[test]
fn of_two_balances_each_has_its_own_trial() {
    let both = [reading(1, Position::H6, &[("A", 1.0), ("B", -3.0)])];
    assert_eq!(offered(&trial("B"), &both)[0].map(|rate| rate.rate_s_per_d), Some(-3.0));
    assert_eq!(offered(&trial(""), &both)[0], None);
    assert_eq!(offered(&trial("C"), &both)[0], None);
}

/// M (ten days) and D (four) by hand: with all days from recordings the clock's 0.4 joins M alone;
/// with one day from elsewhere it joins each recorded day.
#[test]
fn the_clock_cancels_only_where_all_days_share_it() {
    let recorded =
        TrialRate { rate_s_per_d: 1.0, sd_s_per_d: Some(0.3), clock_sd_s_per_d: 0.4, readings: 1 };
    let mut trial = Trial { days: [Some(recorded); Trial::DAYS], ..trial("A") };
    let sds = |trial: &Trial| {
        let (criteria, _) = standing(trial).unwrap();
        [0, 3].map(|of: usize| criteria[of].judgement.found.unwrap().measured.sd)
    };
    let close = |found: [f64; 2], expected: [f64; 2]| {
        for (one, other) in found.iter().zip(expected) {
            assert!((one - other).abs() < 1e-12, "{found:?} {expected:?}");
        }
    };
    // 0.3/sqrt 10 and 0.4 together; D is of four days, each at half: 0.3.
    close(sds(&trial), [(0.009_f64 + 0.16).sqrt(), 0.3]);
    trial.days[14] = Some(TrialRate::entered(1.0));
    close(sds(&trial), [0.5 / 10.0_f64.sqrt(), 0.5]);
}

/// The limit of M is 6. Entered rates are exact unless the trial says how well they are known.
#[test]
fn entered_rates_are_as_sharp_as_the_trial_says() {
    let mut trial = Trial { days: [Some(TrialRate::entered(6.0)); Trial::DAYS], ..trial("") };
    let verdict = |trial: &Trial| standing(trial).unwrap().0[0].judgement.verdict;
    assert_eq!(verdict(&trial), Verdict::Pass);
    trial.rate_sd_s_per_d = 0.3;
    assert_eq!(verdict(&trial), Verdict::CannotTell);
}
