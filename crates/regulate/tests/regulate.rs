//! Which readings stand on the sheet, and what moves are learned from.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use horology::poise::{PoiseAnswer, PoiseSettings, SpringShare};
use horology::rate_sheet::Wind;
use horology::regulator::{Advice, Means, Target};
use jobs::{
    Adjustment, AdjustmentBy, BalanceReading, Id, Job, JobId, Moment, Reading, ReadingId,
    ReadingSettings, RepeatingWave, Repeats, RepeatsIn, Stage,
};
use quantities::{Measured, Position};
use regulate::{
    Kept, Sheet, Visit, advice, boundaries, earlier, heavy_spot, log_of_moves, stud_moves, waves,
};
use uuid::Uuid;

fn job_id() -> JobId {
    Id::from_uuid(Uuid::from_u128(1))
}

fn job() -> Job {
    Job::begun(Id::from_uuid(Uuid::from_u128(2)), "slow", at(0))
}

/// Minutes after the job began.
fn at(minutes: i64) -> Moment {
    Moment::from_ms(minutes * 60_000)
}

fn reading(minutes: i64, wind: &str, position: Position, balances: &[(&str, f64, f64)]) -> Reading {
    let balance = |(label, rate, beat_error): &(&str, f64, f64)| BalanceReading {
        label: (*label).to_owned(),
        beats_per_hour: Some(18_000.0),
        rate_s_per_d: Some(Measured::new(*rate, 0.3)),
        rate_sd_with_clock_s_per_d: Some(0.5),
        amplitude_deg: Some(Measured::new(280.0, 0.5)),
        lift_angle_deg: Some(52.0),
        beat_error_ms: Some(Measured::new(*beat_error, 0.02)),
        beats_used: 300,
        beats_expected: 300,
        ..BalanceReading::default()
    };
    Reading {
        job: job_id(),
        position: Some(position),
        wind: wind.to_owned(),
        taken: at(minutes),
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

fn moved(minutes: i64, balance: &str, by: AdjustmentBy, amount: f64) -> Adjustment {
    let balance = balance.to_owned();
    Adjustment {
        job: job_id(),
        balance,
        at: at(minutes),
        by,
        amount: Some(amount),
        note: String::new(),
    }
}

fn kept(readings: &[Reading]) -> Vec<Kept<'_>> {
    let id = |n: usize| ReadingId::from_uuid(Uuid::from_u128(n as u128));
    readings.iter().enumerate().map(|(n, reading)| Kept { id: id(n), reading }).collect()
}

#[test]
fn the_newest_reading_of_each_place_stands_on_the_sheet() {
    let readings = [
        reading(30, "full wind", Position::CH, &[("A", 5.0, 0.1)]),
        reading(10, "full wind", Position::CH, &[("A", 9.0, 0.1)]),
        reading(20, "after 24 h", Position::CH, &[("A", 3.0, 0.1)]),
        reading(40, "low wind", Position::CH, &[("A", 1.0, 0.1)]),
        Reading { position: None, ..reading(50, "full wind", Position::CH, &[("A", 99.0, 0.1)]) },
    ];
    let sheet = Sheet::of(&kept(&readings), &[], None).unwrap();
    let words: Vec<&str> = sheet.winds.iter().map(|wind| wind.words.as_str()).collect();
    assert_eq!(words, ["full wind", "after 24 h", "low wind"]);
    assert_eq!(sheet.winds[1].hours, Some(24.0));
    assert_eq!(sheet.winds[2].hours, None);
    let rates: Vec<f64> = sheet.placed.iter().map(|p| p.rate_s_per_d.unwrap().value).collect();
    assert_eq!(rates, [5.0, 3.0, 1.0]);
    assert_eq!(sheet.fullest(0).unwrap().wind, Wind::FULL);
    // 0.5 with the clock and 0.3 without: 0.4 is the clock's.
    assert!((sheet.rates.clock_sd_s_per_d() - 0.4).abs() < 1e-12);
}

/// A move at one balance makes its readings old, and leaves its brother's as they are.
#[test]
fn a_move_makes_the_readings_of_its_balance_old() {
    let readings = [
        reading(10, "full wind", Position::CH, &[("A", 9.0, 0.1), ("B", -4.0, 0.1)]),
        reading(20, "full wind", Position::FH, &[("A", 8.0, 0.1), ("B", -5.0, 0.1)]),
        reading(40, "full wind", Position::CH, &[("A", 2.0, 0.1)]),
    ];
    let moves = [moved(30, "A", AdjustmentBy::Index, -0.5)];
    let boundaries = boundaries(&job(), &moves);
    assert_eq!(boundaries[0].words, "index 0.5° towards −");
    let sheet = Sheet::of(&kept(&readings), &boundaries, None).unwrap();
    let of = |balance, position| {
        *sheet.placed.iter().find(|p| p.balance == balance && p.position == position).unwrap()
    };
    let now = of(0, Position::CH);
    assert_eq!((now.is_of_before, now.rate_s_per_d.unwrap().value), (false, 2.0));
    assert_eq!(now.before_s_per_d.unwrap().value, 9.0);
    assert!(of(0, Position::FH).is_of_before);
    assert!(!of(1, Position::CH).is_of_before && !of(1, Position::FH).is_of_before);
    assert_eq!(sheet.rates.cells().len(), 3);

    // The sheet as it was before the move.
    let then = Sheet::of(&kept(&readings), &boundaries, Some(at(30))).unwrap();
    assert_eq!(then.rates.cells().len(), 4);
    assert!(then.placed.iter().all(|placed| !placed.is_of_before));
}

#[test]
fn putting_together_parts_what_came_in_from_what_goes_out() {
    let readings = [
        reading(10, "as it came", Position::CH, &[("A", -80.0, 1.0)]),
        reading(90, "full wind", Position::CH, &[("A", 4.0, 0.1)]),
    ];
    let mut job = job();
    job.move_to(Stage::Rebuild, at(60));
    let sheet = Sheet::of(&kept(&readings), &boundaries(&job, &[]), None).unwrap();
    let old: Vec<bool> = sheet.placed.iter().map(|placed| placed.is_of_before).collect();
    // From full on: "as it came" says no hours.
    assert_eq!(old, [false, true]);
}

/// An earlier visit counts as long as nobody changed the watch since, in the positions of now.
#[test]
fn earlier_visits_count_back_to_the_last_change() {
    const DAY: i64 = 24 * 60;
    let full =
        |minutes, position, rate| reading(minutes, "full wind", position, &[("A", rate, 0.1)]);
    let ch = Position::CH;
    let now = [full(100 * DAY, ch, -20.0)];
    let sheet = Sheet::of(&kept(&now), &[], None).unwrap();
    // Half-way positions and others than those of now are not in the mean.
    let last = [full(60 * DAY, ch, -10.0), full(60 * DAY, Position::H6, 70.0)];
    let elsewhere = [full(50 * DAY, Position::FH, 5.0)];
    let moved_then = [full(10 * DAY, ch, 30.0), full(20 * DAY, ch, 2.0)];
    let moves = [moved(15 * DAY, "A", AdjustmentBy::Index, -1.0)];
    let older = [full(5 * DAY, ch, 90.0)];
    let job = job();
    let of = [kept(&last), kept(&elsewhere), kept(&moved_then), kept(&older)];
    let visits: Vec<Visit<'_>> = of
        .iter()
        .zip([&[][..], &[], &moves, &[]])
        .map(|(readings, adjustments)| Visit { job: &job, readings, adjustments })
        .collect();
    let found = earlier(&sheet, false, 0, &visits).unwrap();
    let told: Vec<(f64, f64)> = found.iter().map(|e| (e.days_ago, e.mean_s_per_d.value)).collect();
    // As it left after the move; what was before the move says nothing of the watch of now.
    assert_eq!(told, [(40.0, -10.0), (80.0, 2.0)]);
    // A balance that was moved in this very job is no longer what it was.
    assert_eq!(earlier(&sheet, true, 0, &visits).unwrap(), []);
}

/// Half a degree towards slower took 10 s/d: the remaining 5 want a quarter of a degree more.
#[test]
fn the_next_move_follows_from_the_last() {
    let readings = [
        reading(10, "full wind", Position::CH, &[("A", 17.0, 0.1)]),
        reading(11, "full wind", Position::H6, &[("A", 13.0, 0.1)]),
        reading(20, "full wind", Position::CH, &[("A", 7.0, 0.1)]),
        // Not read before: it takes no part.
        reading(21, "full wind", Position::FH, &[("A", -90.0, 0.1)]),
    ];
    let moves = [moved(15, "A", AdjustmentBy::Index, -0.5)];
    let labels = ["A".to_owned()];
    let log = log_of_moves(&job(), &kept(&readings), &moves, &labels).unwrap();
    let known = log.of(0, Means::Index);
    assert_eq!(known.len(), 1);
    assert_eq!((known[0].before_s_per_d.value, known[0].after_s_per_d.value), (17.0, 7.0));
    let target = Target { s_per_d: 2.0, tolerance_s_per_d: 1.0 };
    let told =
        advice(target, Measured::new(7.0, 0.3), 0, Means::Index, &log, None).unwrap().unwrap();
    let Advice::Move(next) = told else { panic!("{told:?}") };
    // A tenth for the hand, and as much for what one move can tell.
    assert!((next.amount + 0.25).abs() < 0.025, "{next:?}");
    assert!(!next.is_a_guess());
    // Of the screws nothing is known before they were tried.
    let screws =
        advice(target, Measured::new(7.0, 0.3), 0, Means::TimingScrews, &log, None).unwrap();
    assert_eq!(screws, None);
}

#[test]
fn a_second_move_ends_what_is_learned_from_the_first() {
    let readings = [
        reading(10, "full wind", Position::CH, &[("A", 20.0, 0.8)]),
        reading(30, "full wind", Position::CH, &[("A", 10.0, 0.8)]),
        reading(50, "full wind", Position::CH, &[("A", 4.0, 0.2)]),
    ];
    let moves = [
        moved(20, "A", AdjustmentBy::Index, -0.5),
        moved(40, "A", AdjustmentBy::Index, -0.3),
        moved(41, "A", AdjustmentBy::Stud, 2.0),
    ];
    let labels = ["A".to_owned()];
    let log = log_of_moves(&job(), &kept(&readings), &moves, &labels).unwrap();
    // The second has the stud between itself and the next reading: what did what is not known.
    let known = log.of(0, Means::Index);
    assert_eq!(known.len(), 1);
    assert_eq!(known[0].after_s_per_d.value, 10.0);
    let studs = stud_moves(&job(), &kept(&readings), &moves, "A").unwrap();
    // Nothing was read between the index and the stud.
    assert_eq!(studs, []);
}

/// Rates by numerical integration of the equation of motion, outside this project (10 µg at 4 mm,
/// 1e-9 kg m², 2.5 Hz, 270 degrees): 8.21 s/d slower with the heavy spot straight down. Heavy towards
/// the dial's 6, it is down in 12H.
#[test]
fn a_heavy_spot_is_found_from_the_sheet() {
    let rates =
        [(Position::H12, -8.21), (Position::H3, 0.0), (Position::H6, 8.21), (Position::H9, 0.0)];
    let readings = rates.map(|(position, rate)| {
        let mut reading = reading(1, "full wind", position, &[("A", rate, 0.1)]);
        reading.balances[0].amplitude_deg = Some(Measured::new(270.0, 0.5));
        reading
    });
    let sheet = Sheet::of(&kept(&readings), &[], None).unwrap();
    let found = heavy_spot(&sheet.rates, 0, &PoiseSettings::default()).unwrap();
    let PoiseAnswer::Told(spot) = found.answer else { panic!("{found:?}") };
    // The rates were given to 0.01 of 8 s/d.
    assert!((spot.direction_deg.value - 180.0).abs() < 0.5, "{spot:?}");
    // m g r / k of those numbers.
    let strength = 3.9227e-10 / 2.4674e-7;
    assert!((spot.strength.value / strength - 1.0).abs() < 0.01, "{spot:?}");
    // One amplitude cannot tell the spring's own share.
    assert!(matches!(found.spring, SpringShare::NotSeparated { .. }));
}

/// A period that stands in two readings is told once, by the surer; one that chance would make on a
/// sheet of so many series is not; what was read before a move says nothing of now.
#[test]
fn waves_of_the_readings_that_count() {
    let with = |reading: Reading, found: &[(f64, f64)]| {
        let wave = |(period_s, chance): &(f64, f64)| RepeatingWave {
            period_s: Measured::new(*period_s, 0.02),
            half_swing: 0.3,
            chance: *chance,
        };
        let repeats = |of, waves| Repeats {
            of,
            beat_s: 0.2,
            shortest_period_s: 0.53,
            longest_period_s: 25.0,
            each_beat: true,
            least_seen: 0.05,
            waves,
        };
        let mut reading = reading;
        reading.balances[0].repeats = Some(vec![
            repeats(RepeatsIn::Timing, found.iter().map(wave).collect()),
            repeats(RepeatsIn::Amplitude, Vec::new()),
        ]);
        reading
    };
    let read = |minutes, position| reading(minutes, "full wind", position, &[("A", 5.0, 0.1)]);
    let readings = [
        with(read(10, Position::H6), &[(11.0, 1e-9)]),
        with(read(30, Position::CH), &[(6.0, 1e-6), (9.0, 0.004)]),
        with(read(40, Position::FH), &[(6.03, 1e-8)]),
    ];
    let moves = [moved(20, "A", AdjustmentBy::Index, 0.5)];
    let sheet = Sheet::of(&kept(&readings), &boundaries(&job(), &moves), None).unwrap();
    let kept = kept(&readings);
    let found = waves(&sheet, &kept, 0);
    // Two deviations of 0.02 s lie 0.028 apart: 6.00 and 6.03 s are one period. 4 in 1,000 in each of
    // four series is 16 in 1,000 on the sheet.
    let periods: Vec<f64> = found.iter().map(|wave| wave.wave.period_s.value).collect();
    assert_eq!(periods, [6.03]);
    let fault = found[0].fault();
    assert_eq!((fault.timing_ms.map(|ms| ms.value), fault.amplitude_deg), (Some(0.3), None));
    assert_eq!(found[0].place.stance, Some(Position::FH.into()));
}
