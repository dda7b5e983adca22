//! The logs as take-downs: nothing in them makes no sense, every word is one of the trade, and what
//! has to be done before something comes out was done.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod follow;

use follow::{START_MS, Story, all, rule};
use rebuild::{Change, Log, Side, ThreadHand, advice, taking_out};
use std::collections::BTreeSet;

#[test]
fn every_log_folds_without_a_warning_and_without_a_contradiction() {
    for movement in all() {
        Story::of(movement.take_down()).is_sound(movement.name());
    }
}

#[test]
fn a_take_down_that_got_half_way_is_sound_too() {
    for movement in all() {
        let entries = movement.take_down();
        for count in (0..entries.len()).step_by(7) {
            let what = format!("the first {count} entries of {}", movement.name());
            Story::of(&entries[..count]).is_sound(&what);
        }
    }
}

#[test]
fn they_are_of_the_size_of_real_movements() {
    let parts = all().map(|movement| Story::of(movement.take_down()).state().part_count());
    for (count, about) in parts.into_iter().zip([60, 90, 130]) {
        assert!(count.abs_diff(about) <= 5, "{count} parts, about {about} wanted");
    }
}

#[test]
fn every_kind_and_trait_is_a_word_of_the_trade_and_few_parts_have_none() {
    let mut without = BTreeSet::new();
    for movement in all() {
        let story = Story::of(movement.take_down());
        for part in story.state().steps().flat_map(|step| story.state().parts_of(step)) {
            match &part.part.kind {
                Some(kind) => assert!(story.vocabulary.kind(kind).is_some(), "{kind}"),
                None => assert!(without.insert(part.part.name.clone())),
            }
            for its in &part.part.traits {
                assert!(story.vocabulary.trait_word(its).is_some(), "{its}");
            }
        }
    }
    let expected = ["cover of the reserve work", "dial support ring"];
    assert!(without.iter().map(String::as_str).eq(expected), "{without:?}");
}

/// Wanted: let down before balance, before fork and train, and every barrel where there are several.
#[test]
fn what_has_to_be_done_before_something_comes_out_was_done_and_is_demanded_otherwise() {
    for movement in all() {
        let mut demanded = BTreeSet::new();
        let (mut said, mut unsaid) = (Log::default(), Log::default());
        let story = Story::of(&[]);
        for entry in movement.take_down() {
            if let Change::TookOut(out) = &entry.change {
                let open = taking_out(said.state(), &story.rules, &story.vocabulary, out);
                assert_eq!(open.demands, [], "{}: {out:?}", movement.name());
                let open = taking_out(unsaid.state(), &story.rules, &story.vocabulary, out);
                demanded.extend(open.demands.into_iter().map(|(work, _)| work.rule));
            }
            said.add(entry);
            if !matches!(entry.change, Change::WorkDone { .. }) {
                unsaid.add(entry);
            }
        }
        let entered = movement.take_down().iter().filter_map(|entry| match &entry.change {
            Change::WorkDone { work, .. } => Some(work.rule.clone()),
            _ => None,
        });
        assert_eq!(demanded, entered.collect::<BTreeSet<_>>(), "{}", movement.name());
        assert!(demanded.contains(&rule("let-down-before-balance")));
        assert!(demanded.contains(&rule("let-down-before-fork-and-train")));
    }
}

/// Who enters what is demanded, and nothing else, is asked once to let the mainspring down; with two
/// barrels once more, when what connects them comes out, that each of them is slack.
#[test]
fn letting_down_is_demanded_once_for_one_act() {
    for (movement, wanted) in all().into_iter().zip([1, 1, 2]) {
        let mut story = Story::of(&[]);
        let mut asked = Vec::new();
        for entry in movement.take_down() {
            if let Change::TookOut(out) = &entry.change {
                let open = taking_out(story.state(), &story.rules, &story.vocabulary, out).demands;
                let open: Vec<_> = open.into_iter().map(|(work, _)| work).collect();
                // Of several that are asked for at once, what meets them all is entered.
                if let Some(work) = open.last().cloned() {
                    asked.push(work.rule.to_string());
                    let note = String::new();
                    story.enter(Change::WorkDone { work, bottle: None, note });
                }
                let open = taking_out(story.state(), &story.rules, &story.vocabulary, out).demands;
                assert_eq!(open, [], "{}", movement.name());
            }
            if !matches!(entry.change, Change::WorkDone { .. }) {
                story.log.add(entry);
            }
        }
        assert_eq!(asked.len(), wanted, "{asked:?} in {}", movement.name());
    }
}

#[test]
fn the_crown_wheel_screw_is_left_handed_and_no_other() {
    for movement in all() {
        let story = Story::of(movement.take_down());
        let state = story.state();
        let wheel = state.part(movement.part("crown-wheel")).unwrap().step;
        let at = rebuild::CautionAt::Placing;
        for step in state.steps() {
            let minded = advice(state, &story.rules, &story.vocabulary, step.id, at);
            let hands: Vec<ThreadHand> = minded.left_handed.iter().map(|set| set.thread).collect();
            let wanted = if step.id == wheel { vec![ThreadHand::Left] } else { Vec::new() };
            assert_eq!(hands, wanted, "{}", state.name_of(step));
            assert!(minded.hand_unknown.is_empty());
        }
        // And it is told before the driver is put to it.
        let taken = movement.take_down().iter().find_map(|entry| match &entry.change {
            Change::TookOut(out) if out.step == wheel => Some(out),
            _ => None,
        });
        let taken = taking_out(state, &story.rules, &story.vocabulary, taken.unwrap()).advice;
        assert_eq!(taken.left_handed.len(), 1);
        let cautions: Vec<&str> = taken.cautions.iter().map(|rule| rule.id.as_str()).collect();
        assert!(cautions.contains(&"caution-left-handed-screw"), "{cautions:?}");
    }
}

#[test]
fn springs_are_told_to_be_under_tension() {
    for movement in all() {
        let story = Story::of(movement.take_down());
        for name in ["click-spring", "yoke-spring", "mainspring", "upper shock spring"] {
            let of = |part: &str| story.state().part(movement.part(part));
            let parts = [of(name), of(&format!("{name} left")), of(&format!("{name} right"))];
            let mut found = parts.into_iter().flatten().peekable();
            assert!(found.peek().is_some(), "{name} in {}", movement.name());
            for part in found {
                assert!(story.state().step(part.step).unwrap().under_tension, "{name}");
            }
        }
    }
}

#[test]
fn the_same_log_comes_in_every_run_with_moments_at_even_spacing() {
    for (movement, again) in all().into_iter().zip(all()) {
        assert_eq!(movement.take_down(), again.take_down());
        let moments: Vec<i64> = movement.take_down().iter().map(|entry| entry.at_ms).collect();
        assert_eq!(moments[0], START_MS);
        let spacing = moments[1] - moments[0];
        assert!(spacing > 0 && moments.windows(2).all(|pair| pair[1] - pair[0] == spacing));
    }
    // No id of one movement is an id of another.
    let ids: BTreeSet<_> = all()
        .iter()
        .flat_map(|movement| movement.take_down().to_vec())
        .map(|entry| entry.id)
        .collect();
    assert_eq!(ids.len(), all().iter().map(|movement| movement.take_down().len()).sum::<usize>());
}

#[test]
fn where_each_part_lies_is_said_and_the_tray_holds_few_together() {
    for movement in all() {
        let story = Story::of(movement.take_down());
        for step in story.state().steps() {
            assert!(!step.compartment.is_empty(), "{}", story.state().name_of(step));
        }
        let of_movement = story
            .state()
            .steps()
            .filter(|step| step.side != Side::Case)
            .map(|step| &step.compartment);
        let mut held: Vec<&String> = of_movement.collect();
        held.sort();
        let most = held.chunk_by(|a, b| a == b).map(<[_]>::len).max();
        assert!(most <= Some(12), "{most:?} in one compartment of {}", movement.name());
    }
}
