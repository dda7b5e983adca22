use super::*;
use crate::pretend::{Pretend, read};

fn balance(s_per_d: f64, offset_s: f64, strength: f64) -> Pretend {
    let period_s = 0.25 / (1.0 + s_per_d / 86_400.0);
    Pretend { period_s, offset_s, strength, ..Pretend::default() }
}

fn settings(balances: Option<usize>, beats_per_hour: &[f64]) -> Settings {
    let beats_per_hour =
        beats_per_hour.iter().map(|&b| BeatFrequency::from_per_hour(b).expect("a beat")).collect();
    Settings { balances, beats_per_hour, ..Settings::default() }
}

/// Told of one, the loudest is reported as it would be alone, and the other is put into words.
#[test]
fn told_of_fewer_the_loudest_stay_and_the_rest_are_described() {
    let all = [balance(12.0, 0.02, 3.0), balance(-7.0, 0.08, 1.0)];
    let open = read(&all, 60.0, 0.0, 4, &settings(None, &[]));
    let told = read(&all, 60.0, 0.0, 4, &settings(Some(1), &[]));
    assert_eq!((open.balances.len(), told.balances.len()), (2, 1));
    assert_eq!(told.balances[0].rate_s_per_d, open.balances[0].rate_s_per_d);
    assert_eq!(told.relation, None);
    let said: Vec<&Warning> =
        told.warnings.iter().filter(|w| w.code == WarningCode::BalancesMore).collect();
    assert_eq!(said.len(), 1);
    assert!(said[0].message.starts_with("1 balance is said to run, 2 are heard"), "{said:?}");
    assert!(said[0].message.contains("28,800 beats an hour, -7.0 s/d"), "{said:?}");
    assert!(open.warnings.iter().all(|w| w.code != WarningCode::BalancesMore));
}

/// Told of more than are heard apart from each other, those stay as sure as they were.
#[test]
fn told_of_more_than_two_those_heard_keep_their_uncertainties() {
    let all = [balance(12.0, 0.02, 3.0), balance(-7.0, 0.08, 1.0)];
    let open = read(&all, 60.0, 0.0, 4, &settings(None, &[]));
    let told = read(&all, 60.0, 0.0, 4, &settings(Some(3), &[]));
    assert_eq!(told.balances, open.balances);
    assert_eq!(told.relation, open.relation);
    let missing: Vec<&Warning> =
        told.warnings.iter().filter(|w| w.code == WarningCode::BalancesMissing).collect();
    assert!(missing[0].message.starts_with("Only 2 of 3 balances are found"), "{missing:?}");
}

#[test]
fn a_beat_that_was_not_named_is_said() {
    let all = [balance(3.0, 0.02, 1.0)];
    let of = |beats: &[f64]| {
        let reading = read(&all, 60.0, 0.0, 4, &settings(None, beats));
        let said: Vec<String> = reading
            .warnings
            .into_iter()
            .filter(|w| w.code == WarningCode::BeatNotAsTold)
            .map(|w| w.message)
            .collect();
        said
    };
    assert!(
        of(&[]).is_empty() && of(&[28_800.0]).is_empty() && of(&[21_600.0, 28_800.0]).is_empty()
    );
    let said = of(&[21_600.0]);
    assert!(said[0].contains("at 28,800 beats an hour, not at 21,600"), "{said:?}");
}
