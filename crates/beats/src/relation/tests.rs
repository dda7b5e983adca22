use super::*;
use crate::pretend::{Pretend, read};
use crate::reading::Reading;
use quantities::{BeatFrequency, Measured};

/// A balance at a rate against `period_s`, with its beat 0 at `offset_s`.
fn at_rate(period_s: f64, s_per_d: f64, offset_s: f64) -> Pretend {
    Pretend {
        period_s: period_s / (1.0 + s_per_d / SECONDS_PER_DAY),
        offset_s,
        tock_late_s: 0.0,
        to_s: 1e6,
        ..Pretend::default()
    }
}

fn relation(reading: &Reading) -> Relation {
    reading.relation.expect("two balances are heard or claimed")
}

fn codes(reading: &Reading) -> Vec<WarningCode> {
    reading.warnings.iter().map(|w| w.code).collect()
}

/// When a beat of A and one of B next fall together after `end_s`, beat by beat: the first beat of
/// A that has changed sides with its nearest beat of B.
fn next_by_counting(a: &Pretend, b: &Pretend, end_s: f64) -> f64 {
    let beat_s = 0.5 * b.period_s;
    let after = |n: i64| {
        let t = a.steady_s(n);
        let near = ((t - b.offset_s) / beat_s).round() as i64;
        (t - b.steady_s(near), t)
    };
    let first = ((end_s - a.offset_s) / (0.5 * a.period_s)).ceil() as i64;
    let mut before = after(first);
    for n in first + 1.. {
        let now = after(n);
        let through = before.0.signum() != now.0.signum() && now.0.abs() < 0.25 * beat_s;
        if through {
            // Between two beats the lag moves evenly.
            let share = before.0 / (before.0 - now.0);
            return before.1 + share * (now.1 - before.1) - end_s;
        }
        before = now;
    }
    unreachable!("an endless range")
}

#[test]
fn the_next_coincidence_is_the_one_counted_beat_by_beat() {
    let duration_s = 120.0;
    for (one, other) in [(3.0, -4.0), (-4.0, 3.0), (25.0, 9.0), (-60.0, -1.0)] {
        for lag_ms in [3.0, 20.0, 61.0, 100.0, 124.0] {
            let mut a = at_rate(0.25, one, 0.05);
            a.jitter_s = 3e-6;
            a.strength = 2.0;
            let mut b = at_rate(0.25, other, 0.05 + 1e-3 * lag_ms);
            b.jitter_s = 3e-6;
            let reading = read(&[a, b], duration_s, 0.0, 9, &Settings::default());
            let found = relation(&reading);
            assert_eq!(found.state, RelationState::Independent);
            let next_s = found.next_coincidence_s.expect("independent balances meet");
            let counted_s = next_by_counting(&a, &b, duration_s);
            // The rates are known to some thousandths of their difference, and with them the time.
            let difference = found.rate_difference_s_per_d.expect("both rates are known");
            let unsure_s = 5.0 * counted_s * difference.sd / difference.value.abs() + 0.5;
            assert!(
                (next_s - counted_s).abs() < unsure_s,
                "{one} {other} {lag_ms}: {next_s} {counted_s} ± {unsure_s}"
            );
            assert!((difference.value - (one - other)).abs() < 5.0 * difference.sd + 1e-3);
        }
    }
}

/// A beat error moves ticks and tocks to either side; what meets is their mean.
#[test]
fn a_beat_error_does_not_move_the_coincidence() {
    let mut a = at_rate(0.25, 10.0, 0.05);
    a.strength = 2.0;
    let b = at_rate(0.25, 0.0, 0.08);
    let plain = read(&[a, b], 100.0, 0.0, 2, &Settings::default());
    a.tock_late_s = 4e-3;
    let out_of_beat = read(&[a, b], 100.0, 0.0, 2, &Settings::default());
    let times: Vec<f64> =
        [plain, out_of_beat].iter().filter_map(|r| relation(r).next_coincidence_s).collect();
    assert_eq!(times.len(), 2);
    // Both are known to about a second: 0.01 s/d of 10.
    assert!((times[0] - times[1]).abs() < 2.0, "{times:?}");
}

#[test]
fn one_rate_for_long_enough_is_locked() {
    let mut a = at_rate(0.25, 4.0, 0.05);
    a.strength = 2.0;
    let reading = read(&[a, at_rate(0.25, 4.0, 0.09)], 40.0, 0.0, 3, &Settings::default());
    assert_eq!(relation(&reading).state, RelationState::Locked);
    assert_eq!(relation(&reading).next_coincidence_s, None);
    // In five seconds rates are known to some tenths of a second a day: that says nothing yet.
    let mut jittery = a;
    jittery.jitter_s = 80e-6;
    let mut other = at_rate(0.25, 4.0, 0.09);
    other.jitter_s = 80e-6;
    let reading = read(&[jittery, other], 5.0, 0.0, 3, &Settings::default());
    assert_eq!(relation(&reading).state, RelationState::Unresolved);
    assert!(codes(&reading).contains(&WarningCode::Unresolved));
}

/// Of 300 pairs that differ by less than can be told, none may be called independent (a chance of
/// 6e-7 each at five deviations), and of 300 that differ by 0.5 s/d none locked.
#[test]
fn no_false_relation() {
    for seed in 0..300u64 {
        let mut a = at_rate(0.25, 2.0, 0.05);
        a.strength = 2.0;
        let shift = 1e-4 * seed as f64;
        let same =
            read(&[a, at_rate(0.25, 2.0, 0.07 + shift)], 30.0, 0.1, seed, &Settings::default());
        assert_ne!(relation(&same).state, RelationState::Independent, "{seed}");
        let other =
            read(&[a, at_rate(0.25, 2.5, 0.07 + shift)], 30.0, 0.1, seed, &Settings::default());
        assert_ne!(relation(&other).state, RelationState::Locked, "{seed}");
    }
}

#[test]
fn different_beats_are_independent_and_have_no_one_coincidence() {
    let mut a = at_rate(0.25, 5.0, 0.05);
    a.strength = 2.0;
    let b = at_rate(7_200.0 / 21_600.0, -3.0, 0.02);
    let reading = read(&[a, b], 60.0, 0.0, 4, &Settings::default());
    let found = relation(&reading);
    assert_eq!(found.state, RelationState::Independent);
    assert_eq!(found.next_coincidence_s, None);
    let difference = found.rate_difference_s_per_d.expect("both have a rate");
    assert!((difference.value - 8.0).abs() < 5.0 * difference.sd, "{difference:?}");
    // Two that stand at no standard beat, far from each other, are not one beat either.
    let odd = |bph: f64| at_rate(7_200.0 / bph, 0.0, 0.03);
    let reading = read(&[odd(26_500.0), odd(23_500.0)], 60.0, 0.0, 4, &Settings::default());
    assert!(reading.balances.iter().all(|b| b.nominal.is_none()));
    assert_eq!(relation(&reading).state, RelationState::Independent);
    assert_eq!(relation(&reading).rate_difference_s_per_d, None);
}

/// Where two are said to run and one is heard, the other may hide under it: what is given must
/// cover both, and what cannot is left out.
#[test]
fn a_hidden_balance_widens_what_is_given() {
    let settings = Settings { balances: Some(2), ..Settings::default() };
    let one = at_rate(0.25, 6.0, 0.05);
    let reading = read(&[one], 30.0, 0.0, 5, &settings);
    let found = relation(&reading);
    assert_eq!(found.state, RelationState::Unresolved);
    assert_eq!((found.rate_difference_s_per_d, found.next_coincidence_s), (None, None));
    assert!(codes(&reading).contains(&WarningCode::BalancesMissing));
    assert!(codes(&reading).contains(&WarningCode::Unresolved));
    let balance = &reading.balances[0];
    assert_eq!((balance.beat_error_ms, balance.amplitude_deg), (None, None));
    // Beats that keep within 1.5 ms of each other for 30 s may differ by 1.5 ms in 30 s, 4.3 s/d;
    // evenly distributed that has a standard deviation of 4.3 / sqrt(12) = 1.25 s/d.
    let sd = balance.rate_s_per_d.expect("a rate").sd;
    assert!((1.1..1.4).contains(&sd), "{sd}");
    // As many as said: nothing is widened.
    let settings = Settings { balances: Some(1), ..Settings::default() };
    let reading = read(&[one], 30.0, 0.0, 5, &settings);
    assert_eq!(reading.relation, None);
    assert!(reading.balances[0].rate_s_per_d.is_some_and(|r: Measured| r.sd < 0.1));
}

/// With three the relation is that of the two loudest.
#[test]
fn of_three_the_two_loudest_are_related() {
    let mut all = [at_rate(0.25, 5.0, 0.02), at_rate(0.25, -5.0, 0.06), at_rate(0.25, 1.0, 0.1)];
    all[0].strength = 1.0;
    all[1].strength = 3.0;
    all[2].strength = 2.0;
    let reading = read(&all, 60.0, 0.0, 6, &Settings::default());
    let rates: Vec<f64> =
        reading.balances.iter().filter_map(|b| b.rate_s_per_d).map(|r| r.value.round()).collect();
    assert_eq!(rates, [-5.0, 1.0, 5.0]);
    let difference = relation(&reading).rate_difference_s_per_d.expect("rates");
    assert!((difference.value + 6.0).abs() < 0.1, "{difference:?}");
}

/// Longer recordings are recommended, never shorter ones, and nothing without end.
#[test]
fn advice_is_longer_and_has_an_end() {
    for duration_s in [1.0, 30.0, 600.0, 86_400.0] {
        for size in [0.0, 0.01, 0.5, 30.0] {
            for sd in [1e-4, 0.1, 10.0, 1e6] {
                let advice = advice_s(duration_s, size, sd);
                assert!(advice >= 1.5 * duration_s && advice <= 3_600f64.max(1.5 * duration_s));
            }
        }
    }
}

#[test]
fn a_named_beat_is_the_nominal_one() {
    let named = [27_000.0, 24_300.0].map(|b| BeatFrequency::from_per_hour(b).expect("in range"));
    let settings = Settings { beats_per_hour: named.to_vec(), ..Settings::default() };
    let mut a = at_rate(7_200.0 / 24_300.0, 12.0, 0.05);
    a.strength = 2.0;
    let b = at_rate(7_200.0 / 27_000.0, -7.0, 0.02);
    // Named in the order of the letters or not: each is taken for the one that it is near.
    let reading = read(&[a, b], 60.0, 0.0, 7, &settings);
    let nominal: Vec<f64> =
        reading.balances.iter().filter_map(|b| b.nominal).map(|n| n.per_hour()).collect();
    assert_eq!(nominal, [24_300.0, 27_000.0]);
    let rates: Vec<f64> =
        reading.balances.iter().filter_map(|b| b.rate_s_per_d).map(|r| r.value.round()).collect();
    assert_eq!(rates, [12.0, -7.0]);
}
