//! What may not be kept, and the sentences that say so.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use jobs::*;
use uuid::Uuid;

fn sentence(record: &impl Record) -> String {
    record.check().unwrap_err().to_string()
}

fn part() -> Part {
    Part {
        job: Id::from_uuid(Uuid::nil()),
        what: "mainspring".into(),
        quantity: 1,
        supplier: String::new(),
        state: PartState::Wanted,
        cost: None,
    }
}

fn estimate(amounts: &[i64]) -> Estimate {
    let line = |amount: &i64| EstimateLine { what: "work".into(), minor_units: *amount };
    Estimate {
        job: Id::from_uuid(Uuid::nil()),
        currency: Currency::from_letters("EUR").unwrap(),
        lines: amounts.iter().map(line).collect(),
        answer: Answer::NotAsked,
        answered: None,
    }
}

#[test]
fn a_name_is_needed() {
    let owner = Owner { name: "  ".into(), ..Owner::default() };
    assert_eq!(sentence(&owner), "Name: this is empty; please fill it in.");
    let watch = Watch::default();
    assert_eq!(sentence(&watch), "Description: this is empty; please fill it in.");
}

#[test]
fn a_template_has_a_name_and_a_log() {
    let whole = Template { name: "calibre 9".into(), log: "[]".into(), ..Template::default() };
    assert_eq!(whole.check(), Ok(()));
    let nameless = Template { name: String::new(), ..whole.clone() };
    assert_eq!(sentence(&nameless), "Name: this is empty; please fill it in.");
    let bare = Template { log: String::new(), ..whole };
    assert_eq!(sentence(&bare), "Log: this is empty; please fill it in.");
}

#[test]
fn a_bottle_has_a_class_and_a_name() {
    let bottle = Bottle { class: "thin-oil".into(), ..Bottle::default() };
    assert_eq!(sentence(&bottle), "Name: this is empty; please fill it in.");
    let bottle = Bottle { name: "the small one".into(), ..Bottle::default() };
    assert_eq!(sentence(&bottle), "Class: this is empty; please fill it in.");
}

#[test]
fn control_characters_are_named() {
    let owner = Owner { name: "A\u{1b}[31m".into(), ..Owner::default() };
    assert_eq!(
        sentence(&owner),
        "Name: this holds a control character (U+001B); please type it again by hand."
    );
}

#[test]
fn a_lift_angle_that_cannot_be_is_refused() {
    let balance = WatchBalance { lift_angle_deg: Some(5_200.0), beats_per_hour: None };
    let fine = WatchBalance { lift_angle_deg: Some(52.0), beats_per_hour: Some(28_800.0) };
    let watch = |balance| Watch {
        description: "pocket watch".into(),
        balances: vec![fine, balance],
        ..Watch::default()
    };
    assert_eq!(watch(fine).check(), Ok(()));
    assert!(sentence(&watch(balance)).starts_with("Lift angle of balance 2: 5200 is outside "));
    let nan = WatchBalance { lift_angle_deg: Some(f64::NAN), beats_per_hour: None };
    assert!(watch(nan).check().is_err());
}

#[test]
fn a_move_of_nought_and_one_beyond_all_reach_are_refused() {
    let job = Id::from_uuid(uuid::Uuid::from_u128(1));
    let of = |amount| Adjustment {
        job,
        balance: "A".into(),
        at: Moment::from_ms(1),
        by: AdjustmentBy::Index,
        amount,
        note: String::new(),
    };
    assert_eq!(of(Some(-0.5)).check(), Ok(()));
    assert_eq!(of(None).check(), Ok(()));
    assert_eq!(
        sentence(&of(Some(0.0))),
        "Amount: a move of nought is none; enter how far it went, or leave it empty."
    );
    assert!(sentence(&of(Some(1e9))).contains("outside -1000 to 1000"));
    assert!(of(Some(f64::NAN)).check().is_err());
}

#[test]
fn a_trial_says_which_day_is_wrong() {
    let plain = Trial {
        job: Id::from_uuid(uuid::Uuid::from_u128(1)),
        balance: String::new(),
        size: TrialSize::Over20Mm,
        begun: Moment::from_ms(1_700_000_000_000),
        rate_sd_s_per_d: 0.0,
        days: [None; Trial::DAYS],
        note: String::new(),
    };
    assert_eq!(plain.check(), Ok(()));
    assert_eq!(plain.day_begins(2).ms() - plain.begun.ms(), 86_400_000);
    let mut far = plain.clone();
    far.days[6] = Some(TrialRate::entered(1_500.0));
    assert_eq!(
        sentence(&far),
        "Rate of day 7: 1500 is outside -1000 to 1000; please check the number."
    );
    far.days[6] = Some(TrialRate { sd_s_per_d: Some(-1.0), ..TrialRate::entered(1.0) });
    assert!(sentence(&far).starts_with("Uncertainty of day 7: -1 is outside 0 to "));
    far.days[6] = Some(TrialRate::entered(f64::NAN));
    assert_eq!(
        sentence(&far),
        "Rate of day 7: this is not a finite number; please enter it again."
    );
    for begun in [-1, i64::MAX, 253_402_207_200_000] {
        let late = Trial { begun: Moment::from_ms(begun), ..plain.clone() };
        assert!(sentence(&late).starts_with("First day: fifteen days from there"), "{begun}");
    }
    let negative = Trial { rate_sd_s_per_d: -0.1, ..plain };
    assert!(sentence(&negative).starts_with("Uncertainty of a rate: -0.1 is outside 0 to "));
}

fn final_test(kind: TestKind) -> FinalTest {
    let job = Id::from_uuid(Uuid::from_u128(1));
    FinalTest::begun(job, kind, Moment::from_ms(1_700_000_000_000))
}

fn with(kind: TestKind, code: &str, value: f64, sd: Option<f64>) -> FinalTest {
    let mut test = final_test(kind);
    test.figures.insert(code.to_owned(), Figure { value, sd });
    test
}

#[test]
fn a_test_has_only_the_numbers_of_its_kind() {
    for kind in TestKind::ALL.iter().filter(|kind| **kind != TestKind::Other) {
        assert_eq!(final_test(*kind).check(), Ok(()), "{kind:?}");
    }
    let water = |code: &str, value, sd| with(TestKind::Water, code, value, sd);
    assert_eq!(water("leak_ug_per_min", 12.0, Some(1.0)).check(), Ok(()));
    assert_eq!(
        sentence(&water("field_a_per_m", 4_800.0, None)),
        "Field: a test of this kind has none; please remove it, or choose another kind."
    );
    assert_eq!(
        sentence(&water("tested_bar", -2.0, None)),
        "Pressure of the test: -2 is outside -1 to 2000; please check the number."
    );
    assert!(sentence(&water("tested_bar", 3.0, Some(0.1))).contains("set, not measured"));
    let less = sentence(&water("leak_ug_per_min", 12.0, Some(-1.0)));
    assert!(less.starts_with("Uncertainty of air leaked: -1 is outside 0 to "), "{less}");
    assert!(water("leak_ug_per_min", f64::NAN, None).check().is_err());
    let mut looked = final_test(TestKind::Look);
    looked.signs.insert("new_marks".into(), false);
    assert_eq!(looked.check(), Ok(()));
    looked.signs.insert("fog".into(), false);
    assert!(sentence(&looked).starts_with("Fog on the inside of the glass: a test of this kind"));
}

#[test]
fn a_number_of_a_later_version_is_kept_and_nonsense_is_not() {
    assert_eq!(with(TestKind::Look, "hue_angle_deg", -3.0, Some(0.5)).check(), Ok(()));
    assert!(with(TestKind::Look, "hue_angle_deg", f64::INFINITY, None).check().is_err());
    for code in ["", "Hue", "hue angle", &"a".repeat(61)] {
        assert!(with(TestKind::Look, code, 1.0, None).check().is_err(), "{code}");
    }
    let mut many = final_test(TestKind::Look);
    many.signs = (0..=limit::ENTRIES).map(|n| (format!("sign_{n}"), true)).collect();
    assert!(sentence(&many).starts_with("Signs: there are 201 entries"));
}

#[test]
fn way_and_standard_fit_the_kind() {
    let diver = FinalTest {
        standard: TestStandard::Iso6425,
        way: Some(TestWay::Salt),
        ..final_test(TestKind::Water)
    };
    assert_eq!(diver.check(), Ok(()));
    let worn = FinalTest { way: Some(TestWay::Worn), ..diver.clone() };
    assert!(sentence(&worn).starts_with("Way: "));
    let magnetic = FinalTest { standard: TestStandard::Iso764, ..diver.clone() };
    assert!(sentence(&magnetic).starts_with("Standard: this standard does not ask"));
    let enhanced =
        FinalTest { standard: TestStandard::Iso764Enhanced, ..final_test(TestKind::Magnetism) };
    assert_eq!(enhanced.check(), Ok(()));
    let photo = Id::from_uuid(Uuid::from_u128(7));
    let twice = FinalTest { photos: vec![photo, photo], ..diver };
    assert_eq!(sentence(&twice), "Photos: a photo stands here twice; please keep one of them.");
    assert_eq!(
        sentence(&final_test(TestKind::Other)),
        "What was tested: this is empty; please fill it in."
    );
    let early = FinalTest { done: Moment::from_ms(-1), ..final_test(TestKind::Look) };
    assert!(sentence(&early).starts_with("Done: this is no day"));
}

#[test]
fn a_target_far_off_is_refused() {
    let target = |target| Watch {
        description: "pocket watch".into(),
        target_s_per_d: Some(target),
        ..Watch::default()
    };
    assert_eq!(target(3.0).check(), Ok(()));
    assert!(sentence(&target(3_600.0)).starts_with("Target rate: 3600 is outside "));
}

#[test]
fn quantities_begin_at_one() {
    assert_eq!(part().check(), Ok(()));
    let none = Part { quantity: 0, ..part() };
    assert_eq!(sentence(&none), "Quantity: 0 is outside 1 to 1000000; please check the number.");
}

#[test]
fn amounts_that_cannot_be_counted_are_refused() {
    assert_eq!(estimate(&[12_000, -500]).total().unwrap().to_string(), "115.00 EUR");
    let beyond = estimate(&[i64::MAX, 1]);
    assert_eq!(beyond.total().unwrap_err().problem, Problem::Overflow);
    assert!(beyond.check().is_err());
    let currency = Currency::from_letters("EUR").unwrap();
    let dear = Part { cost: Some(Money { minor_units: i64::MIN, currency }), ..part() };
    assert!(dear.check().is_err());
    // A full list of the largest amounts can still be added up.
    assert_eq!(estimate(&vec![limit::MINOR_UNITS; limit::ENTRIES]).check(), Ok(()));
}

#[test]
fn an_answer_has_its_time() {
    let yes = Estimate { answer: Answer::Yes, ..estimate(&[1]) };
    assert!(sentence(&yes).contains("please enter when it was given"));
    let when = Estimate { answered: Some(Moment::from_ms(1)), ..estimate(&[1]) };
    assert!(sentence(&when).contains("please enter yes or no"));
}

#[test]
fn nothing_is_looked_at_twice() {
    let entry = ConditionEntry {
        of: ConditionOf::WaterMarks,
        state: ConditionState::Damaged,
        note: "under the 6".into(),
    };
    let mut job = Job::begun(Id::from_uuid(Uuid::nil()), "stops", Moment::from_ms(0));
    job.condition = vec![entry.clone()];
    assert_eq!(job.check(), Ok(()));
    job.condition.push(entry);
    assert_eq!(
        sentence(&job),
        "Condition: water marks stands here twice; please keep one of them."
    );
}

#[test]
fn a_job_is_at_a_stage() {
    let mut job = Job::begun(Id::from_uuid(Uuid::nil()), "", Moment::from_ms(0));
    job.moves.clear();
    assert_eq!(sentence(&job), "Stage: this is empty; please fill it in.");
}

#[test]
fn lists_and_notes_have_an_end() {
    let owner = Owner {
        name: "A".into(),
        contact: vec![String::new(); limit::ENTRIES + 1],
        notes: String::new(),
    };
    assert_eq!(
        owner.check().unwrap_err().problem,
        Problem::TooMany { is: limit::ENTRIES + 1, limit: limit::ENTRIES }
    );
    let owner = Owner { name: "A".into(), contact: vec![], notes: "n".repeat(limit::NOTES + 1) };
    assert!(sentence(&owner).starts_with("Notes: this has 20001 characters"));
}
