//! Two values of a kind that differ show at least one difference, equal ones none: whatever field
//! it is that differs. Values are drawn from so few that both happen often.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use jobs::*;
use proptest::prelude::*;
use quantities::{Measured, Position};
use uuid::Uuid;

fn id<T: 'static>() -> impl Strategy<Value = Id<T>> {
    (0_u128..2).prop_map(|n| Id::from_uuid(Uuid::from_u128(n)))
}
fn text() -> impl Strategy<Value = String> {
    prop::sample::select(vec!["", "a", "a, b", "2"]).prop_map(str::to_owned)
}
fn texts() -> impl Strategy<Value = Vec<String>> {
    prop::collection::vec(text(), 0..3)
}
fn number() -> impl Strategy<Value = f64> {
    prop::sample::select(vec![0.0, -0.0, 1.0, 1.000_000_000_000_000_2])
}
fn maybe_number() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(number())
}
fn measured() -> impl Strategy<Value = Option<Measured>> {
    prop::option::of((number(), number()).prop_map(|(value, sd)| Measured { value, sd }))
}
fn moment() -> impl Strategy<Value = Moment> {
    (0_i64..2).prop_map(Moment::from_ms)
}
fn one_of<T: Copy + std::fmt::Debug + 'static>(all: &'static [T]) -> impl Strategy<Value = T> {
    prop::sample::select(all)
}
fn currency() -> impl Strategy<Value = Currency> {
    prop::sample::select(vec!["EUR", "JPY"]).prop_map(|c| Currency::from_letters(c).unwrap())
}
fn hash() -> impl Strategy<Value = MediaHash> {
    (0_u8..2).prop_map(|n| MediaHash::from_bytes([n; 32]))
}

fn owner() -> impl Strategy<Value = Owner> {
    (text(), texts(), text()).prop_map(|(name, contact, notes)| Owner { name, contact, notes })
}

fn watch() -> impl Strategy<Value = Watch> {
    let balance = (maybe_number(), maybe_number()).prop_map(|(lift_angle_deg, beats_per_hour)| {
        WatchBalance { lift_angle_deg, beats_per_hour }
    });
    let balances = prop::collection::vec(balance, 0..3);
    let known = (maybe_number(), text());
    (prop::option::of(id()), text(), text(), texts(), balances, known, text()).prop_map(
        |(owner, description, calibre, serial_numbers, balances, known, notes)| Watch {
            owner,
            description,
            calibre,
            serial_numbers,
            balances,
            target_s_per_d: known.0,
            movement: known.1,
            notes,
        },
    )
}

fn job() -> impl Strategy<Value = Job> {
    let entry =
        (one_of(&[ConditionOf::Crystal, ConditionOf::Case]), one_of(ConditionState::ALL), text())
            .prop_map(|(of, state, note)| ConditionEntry { of, state, note });
    let moves = (one_of(&[Stage::Intake, Stage::Rebuild]), moment())
        .prop_map(|(to, at)| StageMove { to, at });
    let day = prop::option::of((1_i8..3).prop_map(|day| jiff::civil::date(2026, 1, day)));
    let service = prop::option::of(
        prop::sample::select(vec!["2031-01", "2031-01-01"]).prop_map(|text| text.parse().unwrap()),
    );
    (
        (id(), 0_u32..2, text(), prop::collection::vec(entry, 0..3)),
        (text(), day, prop::collection::vec(moves, 0..3), prop::option::of(moment())),
        (text(), service),
    )
        .prop_map(
            |(
                (watch, number, complaint, condition),
                (notes, due, moves, handed_over),
                (to_watch, next_service),
            )| Job {
                watch,
                number,
                complaint,
                condition,
                notes,
                due,
                moves,
                handed_over,
                to_watch,
                next_service,
            },
        )
}

fn part() -> impl Strategy<Value = Part> {
    let cost =
        (0_i64..2, currency()).prop_map(|(minor_units, currency)| Money { minor_units, currency });
    (id(), text(), 1_u32..3, text(), one_of(PartState::ALL), prop::option::of(cost)).prop_map(
        |(job, what, quantity, supplier, state, cost)| Part {
            job,
            what,
            quantity,
            supplier,
            state,
            cost,
        },
    )
}

fn estimate() -> impl Strategy<Value = Estimate> {
    let line =
        (text(), 0_i64..2).prop_map(|(what, minor_units)| EstimateLine { what, minor_units });
    (
        id(),
        currency(),
        prop::collection::vec(line, 0..3),
        one_of(Answer::ALL),
        prop::option::of(moment()),
    )
        .prop_map(|(job, currency, lines, answer, answered)| Estimate {
            job,
            currency,
            lines,
            answer,
            answered,
        })
}

fn photo() -> impl Strategy<Value = Photo> {
    (id(), hash(), text(), 1_u32..3, 1_u32..3, moment()).prop_map(
        |(job, media, caption, width_px, height_px, taken)| Photo {
            job,
            media,
            caption,
            width_px,
            height_px,
            taken,
        },
    )
}

fn repeats() -> impl Strategy<Value = Repeats> {
    let wave = (number(), number(), number(), number());
    let wave = wave.prop_map(|(value, sd, half_swing, chance)| RepeatingWave {
        period_s: Measured { value, sd },
        half_swing,
        chance,
    });
    let sizes = (number(), number(), number(), number());
    let waves = prop::collection::vec(wave, 0..3);
    (one_of(RepeatsIn::ALL), sizes, any::<bool>(), waves).prop_map(
        |(of, (beat_s, shortest_period_s, longest_period_s, least_seen), each_beat, waves)| {
            Repeats {
                of,
                beat_s,
                shortest_period_s,
                longest_period_s,
                each_beat,
                least_seen,
                waves,
            }
        },
    )
}

fn reading() -> impl Strategy<Value = Reading> {
    let settings = (
        prop::collection::vec(number(), 0..2),
        prop::collection::vec(number(), 0..2),
        prop::option::of(1_u32..3),
        measured(),
    )
        .prop_map(|(lift_angles_deg, beats_per_hour, balances, clock_error_ppm)| {
            ReadingSettings { lift_angles_deg, beats_per_hour, balances, clock_error_ppm }
        });
    let balance = (
        (text(), maybe_number(), maybe_number(), measured(), maybe_number()),
        (measured(), maybe_number(), measured(), 0_u64..2, 0_u64..2, maybe_number()),
        prop::option::of(prop::collection::vec(repeats(), 0..3)),
    )
        .prop_map(|(first, second, repeats)| BalanceReading {
            label: first.0,
            beats_per_hour: first.1,
            measured_beats_per_hour: first.2,
            rate_s_per_d: first.3,
            rate_sd_with_clock_s_per_d: first.4,
            amplitude_deg: second.0,
            lift_angle_deg: second.1,
            beat_error_ms: second.2,
            beats_used: second.3,
            beats_expected: second.4,
            signal_to_noise_db: second.5,
            repeats,
        });
    let warning = (text(), text()).prop_map(|(code, message)| ReadingWarning { code, message });
    let warnings = prop::collection::vec(warning, 0..3);
    let relation = (one_of(RelationState::ALL), maybe_number(), maybe_number()).prop_map(
        |(state, rate_difference_s_per_d, next_coincidence_s)| Relation {
            state,
            rate_difference_s_per_d,
            next_coincidence_s,
        },
    );
    (
        (id(), prop::option::of(one_of(&Position::ALL)), text(), moment(), number(), text()),
        (settings, text(), prop::option::of(hash()), prop::collection::vec(balance, 0..3)),
        (prop::option::of(relation), 0_u64..2, warnings, text()),
    )
        .prop_map(|(first, second, third)| Reading {
            job: first.0,
            position: first.1,
            wind: first.2,
            taken: first.3,
            duration_s: first.4,
            device: first.5,
            settings: second.0,
            program: second.1,
            sound: second.2,
            balances: second.3,
            relation: third.0,
            lost_samples: third.1,
            warnings: third.2,
            note: third.3,
        })
}

fn template() -> impl Strategy<Value = Template> {
    (text(), text(), text()).prop_map(|(name, note, log)| Template { name, note, log })
}

fn bottle() -> impl Strategy<Value = Bottle> {
    let day = || prop::option::of((1_i8..3).prop_map(|day| jiff::civil::date(2026, 1, day)));
    (text(), text(), day(), day(), text(), any::<bool>()).prop_map(
        |(class, name, opened, expires, note, used_up)| Bottle {
            class,
            name,
            opened,
            expires,
            note,
            used_up,
        },
    )
}

fn adjustment() -> impl Strategy<Value = Adjustment> {
    (id(), text(), moment(), one_of(AdjustmentBy::ALL), maybe_number(), text()).prop_map(
        |(job, balance, at, by, amount, note)| Adjustment { job, balance, at, by, amount, note },
    )
}

fn trial() -> impl Strategy<Value = Trial> {
    let rate = (number(), maybe_number(), number(), 0_u32..2).prop_map(
        |(rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings)| TrialRate {
            rate_s_per_d,
            sd_s_per_d,
            clock_sd_s_per_d,
            readings,
        },
    );
    let days = prop::array::uniform15(prop::option::of(rate));
    (id(), text(), one_of(TrialSize::ALL), moment(), number(), days, text()).prop_map(
        |(job, balance, size, begun, rate_sd_s_per_d, days, note)| Trial {
            job,
            balance,
            size,
            begun,
            rate_sd_s_per_d,
            days,
            note,
        },
    )
}

fn final_test() -> impl Strategy<Value = FinalTest> {
    let figure = (number(), maybe_number()).prop_map(|(value, sd)| Figure { value, sd });
    let code = |codes: Vec<&'static str>| prop::sample::select(codes).prop_map(str::to_owned);
    // One that is known, one that is known under other words, one of a later version.
    let figures = code(vec!["minutes", "field_a_per_m", "minutes_2"]);
    let signs = code(vec!["fog", "bubbles", "smell"]);
    (
        (id(), text(), one_of(TestKind::ALL), prop::option::of(one_of(TestWay::ALL))),
        (one_of(TestStandard::ALL), text(), text(), text(), moment()),
        (
            prop::collection::btree_map(figures, figure, 0..3),
            prop::collection::btree_map(signs, any::<bool>(), 0..3),
        ),
        (prop::collection::vec(id(), 0..3), prop::collection::vec(id(), 0..3)),
        (one_of(TestOutcome::ALL), text()),
    )
        .prop_map(|(first, second, third, fourth, fifth)| FinalTest {
            job: first.0,
            balance: first.1,
            kind: first.2,
            way: first.3,
            standard: second.0,
            what: second.1,
            instrument: second.2,
            conditions: second.3,
            done: second.4,
            figures: third.0,
            signs: third.1,
            photos: fourth.0,
            readings: fourth.1,
            outcome: fifth.0,
            note: fifth.1,
        })
}

fn holds<T: Record>(before: &T, after: &T) -> Result<(), TestCaseError> {
    let told = differences(before, after);
    prop_assert_eq!(before == after, told.is_empty(), "{:#?}\n{:#?}", before, after);
    for one in told {
        prop_assert_ne!(one.before, one.after, "{}", one.field);
    }
    Ok(())
}

/// Values that differ in exactly one field: with two whole values drawn at random, another field
/// would nearly always differ as well and hide that this one was forgotten.
macro_rules! one_field_each {
    ($name:ident, $strategy:expr, $($field:ident),+) => {
        proptest! {
            #[test]
            fn $name(a in $strategy, b in $strategy) {
                holds(&a, &b)?;
                holds(&a, &a.clone())?;
                $(
                    let mut one_changed = a.clone();
                    one_changed.$field = b.$field.clone();
                    holds(&a, &one_changed)?;
                )+
            }
        }
    };
}

one_field_each!(owners, owner(), name, contact, notes);
one_field_each!(
    watches,
    watch(),
    owner,
    description,
    calibre,
    serial_numbers,
    balances,
    target_s_per_d,
    movement,
    notes
);
one_field_each!(adjustments, adjustment(), job, balance, at, by, amount, note);
one_field_each!(trials, trial(), job, balance, size, begun, rate_sd_s_per_d, days, note);
one_field_each!(
    final_tests,
    final_test(),
    job,
    balance,
    kind,
    way,
    standard,
    what,
    instrument,
    conditions,
    done,
    figures,
    signs,
    photos,
    readings,
    outcome,
    note
);
one_field_each!(
    jobs_,
    job(),
    watch,
    number,
    complaint,
    condition,
    notes,
    due,
    moves,
    handed_over,
    to_watch,
    next_service
);
one_field_each!(parts, part(), job, what, quantity, supplier, state, cost);
one_field_each!(estimates, estimate(), job, currency, lines, answer, answered);
one_field_each!(photos, photo(), job, media, caption, width_px, height_px, taken);
one_field_each!(
    readings,
    reading(),
    job,
    position,
    wind,
    taken,
    duration_s,
    device,
    settings,
    program,
    sound,
    balances,
    relation,
    warnings,
    note
);

one_field_each!(templates, template(), name, note, log);
one_field_each!(bottles, bottle(), class, name, opened, expires, note, used_up);

/// Within a reading's one balance, each number on its own.
#[test]
fn each_number_of_a_balance_takes_part() {
    let plain = BalanceReading {
        label: "A".into(),
        beats_per_hour: None,
        measured_beats_per_hour: None,
        rate_s_per_d: None,
        rate_sd_with_clock_s_per_d: None,
        amplitude_deg: None,
        lift_angle_deg: None,
        beat_error_ms: None,
        beats_used: 1,
        beats_expected: 1,
        signal_to_noise_db: None,
        repeats: None,
    };
    let some = Some(Measured { value: 1.0, sd: 2.0 });
    let changed = [
        BalanceReading { label: "B".into(), ..plain.clone() },
        BalanceReading { beats_per_hour: Some(1.0), ..plain.clone() },
        BalanceReading { measured_beats_per_hour: Some(1.0), ..plain.clone() },
        BalanceReading { rate_s_per_d: some, ..plain.clone() },
        BalanceReading { rate_sd_with_clock_s_per_d: Some(1.0), ..plain.clone() },
        BalanceReading { amplitude_deg: some, ..plain.clone() },
        BalanceReading { lift_angle_deg: Some(1.0), ..plain.clone() },
        BalanceReading { beat_error_ms: some, ..plain.clone() },
        BalanceReading { beats_used: 2, ..plain.clone() },
        BalanceReading { beats_expected: 2, ..plain.clone() },
        BalanceReading { signal_to_noise_db: Some(1.0), ..plain.clone() },
        BalanceReading { repeats: Some(Vec::new()), ..plain.clone() },
    ];
    let with = |balance: &BalanceReading| Reading {
        job: Id::from_uuid(Uuid::nil()),
        position: None,
        wind: String::new(),
        taken: Moment::from_ms(0),
        duration_s: 1.0,
        device: String::new(),
        settings: ReadingSettings::default(),
        program: String::new(),
        sound: None,
        balances: vec![balance.clone()],
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    };
    for one in &changed {
        assert!(!differences(&with(&plain), &with(one)).is_empty(), "{one:?}");
    }
}
