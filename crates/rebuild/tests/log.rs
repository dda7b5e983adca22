//! The log: nothing is lost, nothing counts twice, nothing makes the whole fail.

mod movement;

use movement::*;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use rebuild::*;

/// Any entry, sensible or not, about things that may or may not be there.
fn any_change() -> impl Strategy<Value = Change> {
    let step = || (0_usize..6).prop_map(step_id);
    let part = || (0_usize..8).prop_map(part_id);
    let reason = || prop_oneof![Just(String::new()), Just("worn".to_owned())];
    let side = || proptest::sample::select(Side::ALL);
    let out = (step(), proptest::collection::vec(part(), 0..3), side(), part(), 0_usize..4);
    let out = out.prop_map(|(step, parts, side, other, screws)| {
        let one = |id: PartId| Part {
            id,
            kind: Some(kind("wheel")),
            name: String::new(),
            traits: Vec::new(),
            condition: String::new(),
            verdict: None,
        };
        Change::TookOut(TakenOut {
            step,
            parts: parts.into_iter().map(one).collect(),
            side,
            groups: vec![Group::new(" A "), Group::new("A"), Group::new("")],
            from_assembly: (side == Side::Hand).then_some(other),
            screws: vec![Screws {
                id: ScrewsId::from_uuid(uuid(screws)),
                count: 2,
                length_mm: None,
                look: String::new(),
                thread: ThreadHand::Unknown,
                place: String::new(),
            }],
            way_up: String::new(),
            rested_on: vec![other],
            was_under: Vec::new(),
            under_tension: true,
            compartment: String::new(),
            photos: Vec::new(),
            note: String::new(),
        })
    });
    let work = part()
        .prop_map(|part| WorkRef { rule: RuleId::new("r0").unwrap(), on: WorkOn::Part(part) });
    let piece = (step(), proptest::collection::vec(part(), 0..3)).prop_map(|(step, parts)| Piece {
        step,
        parts,
        screws: vec![ScrewsId::from_uuid(uuid(0))],
    });
    prop_oneof![
        6 => out,
        2 => (step(), proptest::collection::vec(piece, 0..3))
            .prop_map(|(step, into)| Change::Split { step, into }),
        1 => (step(), side()).prop_map(|(step, side)| {
            let fix = StepFix { side: Some(side), screws: Some(Vec::new()), ..StepFix::default() };
            Change::Amended { step, fix }
        }),
        2 => (step(), proptest::option::of(step()))
            .prop_map(|(step, after)| Change::Moved { step, after }),
        3 => step().prop_map(|step| Change::Placed { step }),
        1 => (step(), reason()).prop_map(|(step, reason)| Change::Removed { step, reason }),
        1 => (work, reason()).prop_map(|(work, reason)| Change::Skipped { work, reason }),
        2 => (part(), part()).prop_map(|(first, then)| Change::RelationAdded {
            first, then, why: String::new()
        }),
        1 => (part(), part()).prop_map(|(first, then)| Change::RelationDropped {
            first, then, why: String::new()
        }),
        1 => (part(), reason())
            .prop_map(|(part, reason)| Change::LeftOut { what: LeftOut::Part(part), reason }),
        1 => (0_usize..4, 0_u16..4, reason()).prop_map(|(set, count, reason)| {
            let set = ScrewsId::from_uuid(uuid(set));
            Change::LeftOut { what: LeftOut::Screws { set, count }, reason }
        }),
        3 => (0_usize..40).prop_map(|n| Change::TakenBack { entry: EntryId::from_uuid(uuid(n)) }),
    ]
}

fn run<S: Strategy>(cases: u32, of: &S, check: impl Fn(S::Value)) {
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    let ran = TestRunner::new(config).run(of, |value| {
        check(value);
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

#[test]
fn whatever_is_entered_there_is_a_plan_and_all_parts_and_screws_are_accounted_for() {
    let some = proptest::collection::vec(any_change(), 0..40);
    run(1_500, &some, |changes| {
        let mut log = Log::default();
        for (n, change) in changes.into_iter().enumerate() {
            let new = entry(n, change);
            assert_eq!(log.add(&new), Added::New);
            assert_eq!(log.add(&new), Added::Known);
        }
        let state = log.state();
        assert_eq!(&Log::new(log.entries().to_vec()), &log);
        // Each part belongs to the one step that has it.
        let mut seen = 0;
        for step in state.steps() {
            for part in &step.parts {
                assert_eq!(state.part(*part).unwrap().step, step.id);
                seen += 1;
            }
        }
        assert_eq!(seen, state.part_count());
        let oiled = rule(
            "r0",
            &["wheel"],
            oil(LubricantClass::ThinOil),
            window(Opens::Placed, Closes::BeforeCovered),
        );
        let rules = Rules::new(vec![oiled], Vec::new(), &std::collections::HashSet::new());
        let graph = Graph::of(state);
        let work = Work::of(state, &graph, &rules, &Vocabulary::default());
        let plan = Plan::of(state, &graph, &work, Trains::AsTakenDown);
        let placed = plan.actions().iter().filter(|a| matches!(a, Action::Place { .. })).count();
        let waiting = state.steps().filter(|step| step.placed.is_none() && state.goes_in(step));
        assert_eq!(placed, waiting.count());
        let _ = end_check(state, &graph, &work);
    });
}

#[test]
fn what_is_sent_twice_counts_once_and_what_clashes_is_told() {
    let mut story = Story::default();
    story.out(Side::Train, "a");
    let first = story.log.entries()[0].clone();
    let mut other = first.clone();
    other.by = "someone else".to_owned();
    assert_eq!(story.log.add(&other), Added::IdTaken);
    let again = Log::new(vec![first.clone(), first.clone(), other]);
    assert_eq!(again.entries(), [first.clone()]);
    let problem = EntryProblem::IdTaken;
    assert_eq!(again.state().warnings(), [StateWarning { entry: first.id, problem }]);
}

#[test]
fn what_is_taken_back_can_be_taken_back_again() {
    let mut story = Story::default();
    story.out(Side::Train, "a");
    let step = story.step("a");
    let placed = story.enter(Change::Placed { step });
    let is_in = |story: &Story| story.state().step(step).unwrap().placed.is_some();
    assert!(is_in(&story));
    let undone = story.enter(Change::TakenBack { entry: placed });
    assert!(!is_in(&story));
    story.enter(Change::TakenBack { entry: undone });
    assert!(is_in(&story));
    assert_eq!(story.state().warnings(), []);
}

#[test]
fn a_step_is_split_and_keeps_what_it_says() {
    let mut story = Story::default();
    let set = |n: usize| Screws {
        id: ScrewsId::from_uuid(uuid(n)),
        count: 2,
        length_mm: None,
        look: String::new(),
        thread: ThreadHand::Right,
        place: String::new(),
    };
    let wheel = part_id(50);
    story.out_with(Side::Train, "bridge", |out| {
        let second = Part { id: wheel, kind: Some(kind("wheel")), ..out.parts[0].clone() };
        out.parts.push(second);
        out.screws = vec![set(0), set(1)];
        out.way_up = "jewels down".to_owned();
    });
    let step = story.step("bridge");
    let bridge = story.part("bridge");
    let piece = Piece { step: step_id(70), parts: vec![bridge], screws: vec![set(0).id] };
    story.enter(Change::Split { step, into: vec![piece] });
    assert_eq!(story.state().warnings(), []);
    let steps: Vec<&Step> = story.state().steps().collect();
    assert_eq!((steps[0].id, steps[1].id), (step_id(70), step));
    assert_eq!((&steps[0].parts[..], &steps[1].parts[..]), (&[bridge][..], &[wheel][..]));
    assert_eq!(steps.iter().map(|step| step.screws.len()).collect::<Vec<_>>(), [1, 1]);
    assert!(steps.iter().all(|step| step.way_up == "jewels down"));
    // The wheel stays with the step, came out after the bridge and goes in before it.
    let plan = story.plan();
    let first = &plan.actions()[0];
    assert_eq!(*first, Action::Place { step });
}

#[test]
fn what_is_in_the_tray_and_what_is_left_out_is_told_at_the_end() {
    let mut story = Story::default();
    story.out_with(Side::Train, "bridge", |out| {
        out.screws = vec![Screws {
            id: ScrewsId::from_uuid(uuid(0)),
            count: 3,
            length_mm: None,
            look: String::new(),
            thread: ThreadHand::Right,
            place: String::new(),
        }];
    });
    story.out(Side::Train, "washer");
    assert_eq!(tray(story.state()).screw_count(), 3);
    let set = ScrewsId::from_uuid(uuid(0));
    let left = |what: LeftOut, reason: &str| Change::LeftOut { what, reason: reason.to_owned() };
    story.enter(left(LeftOut::Screws { set, count: 1 }, "head broken off; to order"));
    let washer = story.part("washer");
    story.enter(left(LeftOut::Part(washer), "fitted by an earlier hand; does not belong"));
    assert_eq!(tray(story.state()).screw_count(), 2);
    story.place("bridge");
    let (graph, work) = (story.graph(), story.work());
    let end = end_check(story.state(), &graph, &work);
    assert!(end.is_complete());
    assert_eq!(end.parts_left_out[0].0, washer);
    assert_eq!(end.screws_left_out[0].1, 1);
}

#[test]
fn a_template_keeps_how_it_is_built_and_nothing_of_the_one_watch() {
    let mut story = Story::default();
    story.out_with(Side::Train, "bridge/A", |out| {
        out.note = "for the lady with the dog".to_owned();
        out.compartment = "3".to_owned();
        out.way_up = "jewels down".to_owned();
        out.parts[0].condition = "scratched".to_owned();
        out.parts[0].verdict = Some(Verdict::Clean);
        out.photos = vec![PhotoRef::from_uuid(uuid(5))];
    });
    let bridge = story.part("bridge/A");
    story.out_with(Side::Train, "wheel/A", |out| out.was_under = vec![bridge]);
    let (first, then, why) = (bridge, story.part("wheel/A"), String::new());
    story.enter(Change::RelationDropped { first: then, then: first, why });
    let mut next = 1_000;
    let drafts = Template::of(story.state()).drafts(|| {
        next += 1;
        uuid(next)
    });
    let mut again = Log::default();
    for (n, draft) in drafts.into_iter().enumerate() {
        assert!(!format!("{draft:?}").contains("dog"));
        again.add(&entry(2_000 + n, draft));
    }
    assert_eq!(again.state().warnings(), []);
    let (old, new) = (story.graph(), Graph::of(again.state()));
    assert_eq!(new.relations().len(), old.relations().len());
    let step = again.state().steps().next().unwrap();
    assert_eq!((step.way_up.as_str(), step.compartment.as_str()), ("jewels down", ""));
    let part = again.state().parts_of(step).next().unwrap();
    assert_eq!((part.part.condition.as_str(), part.part.verdict), ("", None));
    assert!(story.state().part(part.part.id).is_none(), "ids are new");
}

#[test]
fn twins_are_found_and_their_differences_told() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["bridge", "fork/A", "wheel/A", "fork/B", "wheel/B", "stud/B"]);
    let oiled = window(Opens::Placed, Closes::BeforeCovered);
    story.rules.push(rule("pivot", &["wheel"], oil(LubricantClass::ThinOil), oiled));
    let measured = window(Opens::Placed, Closes::BeforeCovered);
    story.rules.push(rule("shake", &["wheel"], check(1, false), measured));
    let (a, b) = (Group::new("A"), Group::new("B"));
    assert_eq!(likely_twins(story.state()), [(a.clone(), b.clone())]);
    story.place("wheel/A");
    story.done("pivot", "wheel/A");
    let made = |story: &mut Story, name: &str, value: f64| {
        let (work, note) = (story.work_on("shake", name), String::new());
        let (outcome, value) = (Outcome::Good, Some(value));
        story.enter(Change::CheckMade { work, outcome, value, note });
    };
    made(&mut story, "wheel/A", 0.03);
    made(&mut story, "wheel/B", 0.05);
    let twins = compare_twins(story.state(), &story.work(), &a, &b);
    assert_eq!(twins.pairs.len(), 2);
    let told = |wanted: fn(&TwinDifference) -> bool| twins.differences.iter().any(wanted);
    assert!(told(|each| matches!(each, TwinDifference::OnlyIn { .. })));
    assert!(told(|each| matches!(each, TwinDifference::OneIsIn { .. })));
    assert!(told(|each| matches!(each, TwinDifference::WorkDiffers { .. })));
    assert!(told(|each| matches!(
        each,
        TwinDifference::ChecksDiffer { one: (_, Some(0.03)), other: (_, Some(0.05)) }
    )));
    assert_eq!(twins.differences.len(), 4);
}

#[test]
fn the_users_rules_go_over_the_librarys() {
    let what = || oil(LubricantClass::ThinOil);
    let placed = || window(Opens::Placed, Closes::BeforeCovered);
    let library = vec![rule("a", &[], what(), placed()), rule("b", &[], what(), placed())];
    let own = vec![rule("b", &["wheel"], what(), placed()), rule("c", &[], what(), placed())];
    let off = [RuleId::new("a").unwrap()].into_iter().collect();
    let rules = Rules::new(library, own.clone(), &off);
    assert_eq!(rules.all(), own);
    assert!(rules.is_own(&own[0].id));
    assert_eq!(rules.get(&RuleId::new("a").unwrap()), None);
}
