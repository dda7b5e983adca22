//! What stands in the papers of an invented job. Expected numbers are worked out beside each check.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

mod invented;
mod pages;

use handover::{Kind, Sections, estimate, lacking, receipt, service};
use invented::{Invented, at, photo};
use jobs::Answer;
use quantities::Measured;
use rebuild::{Change, Entry, EntryId, Log, PhotoRef, Verdict};
use report::{Block, Document, Fonts, Table, print};
use uuid::Uuid;

const WITH_COLLEAGUE: Sections = Sections { colleague: true };

/// All text of a chapter, a line a block.
fn chapter(document: &Document, title: &str) -> String {
    let found = document.chapters.iter().find(|chapter| chapter.title == title);
    let blocks = found.map(|chapter| chapter.blocks.as_slice()).unwrap_or_default();
    let words = blocks.iter().map(block).collect::<Vec<_>>().join("\n");
    // What keeps a number and its unit on one line is no matter here.
    words.replace('\u{a0}', " ")
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(words) | Block::Text(words) | Block::Note(words) => words.clone(),
        Block::Remark(_, words) => words.clone(),
        Block::List(all) | Block::Steps(all) | Block::Signatures(all) => all.join("\n"),
        Block::Facts(facts) => {
            facts.iter().map(|f| format!("{}: {}", f.name, f.value)).collect::<Vec<_>>().join("\n")
        }
        Block::Table(table) => rows(table).join("\n"),
        Block::Picture(picture) => picture.words.clone(),
        Block::Photos(photos) => {
            photos.iter().map(|photo| photo.caption.clone()).collect::<Vec<_>>().join("\n")
        }
    }
}

fn rows(table: &Table) -> Vec<String> {
    let text = |row: &Vec<report::Cell>| {
        row.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | ")
    };
    table.rows.iter().map(text).collect()
}

#[test]
fn a_report_says_what_was_done_and_how_it_runs() {
    let invented = Invented::new();
    let document = invented.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    let runs = chapter(&document, "How it runs");
    // Before: +40 and +20 make 30 on average; now +6 and +2 make 4.
    assert!(
        runs.contains(
            "The watch gained about 30 seconds a day on average over 2 positions (+20 to +40) when \
             it came in. It gains about 4.0 seconds a day on average over 2 positions (+2.0 to +6.0) \
             now."
        ),
        "{runs}"
    );
    assert!(
        runs.contains("dial up (CH) | full | +40.00 ± 0.30 s/d | +6.00 ± 0.30 s/d |"),
        "{runs}"
    );
    let done = chapter(&document, "What was done");
    for words in ["Taken apart and put together", "Oiled at", "mainspring.", "2 × gasket"] {
        assert!(done.contains(words), "{words:?} is not in\n{done}");
    }
    assert!(!done.contains("hands"), "a part that is only on order was not fitted:\n{done}");
    assert_eq!(chapter(&document, "What to watch for"), "It may gain a little while it is new.");
    assert_eq!(chapter(&document, "Next service"), "Please bring it in again in June 2031.");
    let next = chapter(&document, "For the colleague who opens it next");
    for words in ["28,800 beats an hour", "thin oil", "barrel", "index 0.5° towards +"] {
        assert!(next.contains(words), "{words:?} is not in\n{next}");
    }
}

/// The mean of six readings, each known to 0.3 s/d, is known to 0.3 over the root of six, twice that
/// being 0.24 (GUM, clauses 5.1.2 and 6.3.3). That A is heavy towards 6 its readings were made for.
#[test]
fn each_balance_is_told_with_its_hands_how_sure_it_is_and_where_it_is_heavy() {
    let two = Invented::of_two_balances();
    let document = two.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    let runs = chapter(&document, "How it runs");
    for words in [
        "Balance A (hand: seconds) gained about",
        "Balance B (hand: minute) lost about",
        "Each average is sure to within 0.24 seconds a day, in nineteen of twenty cases.",
    ] {
        assert!(runs.contains(words), "{words:?} is not in\n{runs}");
    }
    let next = chapter(&document, "For the colleague who opens it next");
    for words in [
        "12H −7.00, 3H +4.00, 6H +16.00, 9H +5.50, CH +6.00",
        "Heavy towards 6:00",
        "Cannot be told",
    ] {
        assert!(next.contains(words), "{words:?} is not in\n{next}");
    }
}

/// The mean of six readings that are known to 0.6 s/d each is known to 0.6 over the root of six, twice that
/// being 0.49 (GUM, clauses 5.1.2 and 6.3.3), which is told with one figure (PDG, as everywhere).
#[test]
fn how_sure_it_is_is_told_of_before_and_of_now() {
    let mut two = Invented::of_two_balances();
    for (_, reading) in two.readings.iter_mut().filter(|(id, _)| id.uuid().as_u128() > 200) {
        for balance in &mut reading.balances {
            balance.rate_s_per_d = balance.rate_s_per_d.map(|rate| Measured::new(rate.value, 0.6));
            balance.rate_sd_with_clock_s_per_d = Some(0.6);
        }
    }
    let told = |two: &Invented| {
        let document = two.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
        chapter(&document, "How it runs")
    };
    let sure = "The average before is sure to within 0.24 seconds a day, the one now to within 0.5, \
                each in nineteen of twenty cases.";
    assert_eq!(told(&two).matches(sure).count(), 2, "{}", told(&two));
    two.readings.retain(|(id, _)| id.uuid().as_u128() < 200);
    let sure = "The average is sure to within 0.24 seconds a day, in nineteen of twenty cases.";
    assert_eq!(told(&two).matches(sure).count(), 2, "{}", told(&two));
}

/// By the meaning of the words: the watch came in at hour 0, was taken down from hour 24 on and tested at
/// hours 62 and 70.
#[test]
fn a_photo_stands_where_what_it_shows_is_told() {
    let mut invented = Invented::new();
    let mut entries = invented.log.entries().to_vec();
    let state = invented.log.state();
    let is_worn = |step: &&rebuild::Step| {
        state.parts_of(step).any(|one| one.part.verdict == Some(Verdict::Replace))
    };
    let is_plain = |step: &&rebuild::Step| {
        let plain = |part: &rebuild::Part| {
            part.condition.is_empty() && matches!(part.verdict, None | Some(Verdict::Clean))
        };
        state.parts_of(step).all(|one| plain(&one.part))
    };
    let worn = state.steps().find(is_worn).unwrap().id;
    let sound = state.steps().find(is_plain).unwrap().id;
    for (step, n) in [(worn, 92), (sound, 93)] {
        let photo = PhotoRef::from_uuid(Uuid::from_u128(n));
        let change = Change::PhotoAdded { step, photo };
        let id = EntryId::from_uuid(Uuid::from_u128(1_000 + n));
        entries.push(Entry { id, by: String::new(), at_ms: at(47).ms(), change });
    }
    invented.log = Log::new(entries);
    invented.photos.extend([
        // Taken before its step was entered, so that nothing but the step tells where it belongs.
        photo(92, 2, "a gasket, cracked"),
        photo(93, 2, "how it sat"),
        photo(94, 40, "parts in the tray"),
        photo(95, 63, "bubbles at the crown"),
        photo(96, 71, ""),
    ]);
    invented.tests[0].photos = vec![invented.photos[5].0];
    invented.tests[1].photos = vec![invented.photos[6].0];
    let report = invented.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    let captions = |title: &str| -> Vec<String> {
        let chapter = report.chapters.iter().find(|chapter| chapter.title == title).unwrap();
        let photos = chapter.blocks.iter().filter_map(|block| match block {
            Block::Photos(photos) => Some(photos),
            _ => None,
        });
        photos.flatten().map(|photo| photo.caption.clone()).collect()
    };
    assert_eq!(
        captions("How it was found"),
        ["the movement as it came", "10 February 2026", "a gasket, cracked"]
    );
    assert_eq!(captions("What was done"), ["how it sat", "parts in the tray"]);
    assert_eq!(
        captions("What it was put through"),
        [
            "Water resistance, dry, by air, 12 February 2026, done again since: bubbles at the crown",
            "Water resistance, dry, by air, 12 February 2026"
        ]
    );
}

/// By hand: the barrel's 84 teeth turn the centre's 12 leaves seven times, an hour each; 6 such turns
/// are 42 hours. 80/10 by 75/10 by 84/7 are 720 turns of the escape wheel an hour, by 20 teeth and 2
/// beats 28,800.
#[test]
fn the_movement_is_told_in_words() {
    let mut two = Invented::of_two_balances();
    let told = |two: &Invented| {
        let document = two.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
        chapter(&document, "For the colleague who opens it next")
    };
    let next = told(&two);
    for words in [
        "left barrel | wheel 84 | left centre pinion | 7 h 0 min | anticlockwise",
        "left escape pinion (centres 3.200 ± 0.020 mm apart)",
        "seconds | left fourth | 1 min 0 s | right",
        "A | left escape wheel | 28,800 | lift angle 52.0 ± 1.0°, the inertia 12 mg cm²",
        "left | 6 | 42 h 0 min | 0.1100 ± 0.0020 mm thick, 1.2 mm high, 380 mm long; barrel 10.4 mm \
         inside, arbor 3 mm",
    ] {
        assert!(next.contains(words), "{words:?} is not in\n{next}");
    }
    assert!(!next.contains("[["), "{next}");
    // With a wheel that nobody counted nothing has a speed, and nothing is guessed.
    two.watch.movement = two.watch.movement.replacen("wheel = 84", "wheel = \"?\"", 1);
    let next = told(&two);
    let barrel = "left barrel | wheel (not counted) | left centre pinion";
    assert!(next.contains(barrel) && !next.contains("7 h 0 min"), "{next}");
    two.watch.movement = "two trains, 18 jewels".to_owned();
    let next = told(&two);
    for words in ["as entered", "cannot be read as a movement", "two trains, 18 jewels"] {
        assert!(next.contains(words), "{words:?} is not in\n{next}");
    }
}

/// bib:iso2281: at most 50 micrograms of air a minute.
#[test]
fn tests_are_told_to_the_owner_in_words_and_to_the_colleague_in_figures() {
    let mut invented = Invented::new();
    let report =
        |invented: &Invented| invented.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    let told = chapter(&report(&invented), "What it was put through");
    // It leaked, was mended and tested again: the owner is told how it is now.
    assert_eq!(
        told,
        "Water resistance, dry, by air | ISO 22810, dry tester | passed | leak 12 µg/min, at most 50 \
         asked: 38 µg/min inside\n\
         Water resistance: ISO 22810 asks for more: lying in water; crown pressed in water; warm and \
         cold water; drop on the warm glass."
    );
    let next = chapter(&report(&invented), "For the colleague who opens it next");
    for words in
        ["air leaked 80 µg/min", "air leaked 12 µg/min", "of_a_later_version 7", "check your"]
    {
        assert!(next.contains(words), "{words:?} is not in\n{next}");
    }
    invented.tests[1].outcome = jobs::TestOutcome::Failed;
    let told = chapter(&report(&invented), "What it was put through");
    assert!(told.contains("not passed | by its numbers it passes"), "{told}");
}

#[test]
fn pages_for_the_colleague_are_left_out_where_they_are_not_wanted() {
    let invented = Invented::new();
    let without = Sections { colleague: false };
    let document = invented.with_case(|case| service(case, &without).unwrap());
    assert_eq!(chapter(&document, "For the colleague who opens it next"), "");
}

#[test]
fn a_job_of_which_nothing_is_known_makes_short_papers() {
    let invented = Invented::empty();
    let document = invented.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    assert_eq!(document.chapters, []);
    let receipt = invented.with_case(receipt);
    let titles: Vec<&str> = receipt.chapters.iter().map(|c| c.title.as_str()).collect();
    assert_eq!(titles, ["Received"]);
    assert!(chapter(&invented.with_case(estimate), "Cost").contains("There is no estimate yet."));
}

/// 80.00 and 12.50 less 5.00 make 87.50.
#[test]
fn an_estimate_sums_up_and_asks_or_tells_the_answer() {
    let mut invented = Invented::new();
    let cost = chapter(&invented.with_case(estimate), "Cost");
    assert!(cost.contains("Together | 87.50 EUR"), "{cost}");
    assert!(cost.contains("The owner said yes on 10 February 2026."), "{cost}");
    let asked = invented.estimate.as_mut().unwrap();
    (asked.answer, asked.answered) = (Answer::NotAsked, None);
    let cost = chapter(&invented.with_case(estimate), "Cost");
    assert!(cost.contains("Yes, please do the work"), "{cost}");
}

#[test]
fn what_is_missing_for_a_paper_is_told_before_it_is_printed() {
    let told =
        |invented: &Invented, kind| invented.with_case(|case| lacking(case, kind)).join("\n");
    let empty = Invented::empty();
    let receipt = told(&empty, Kind::Receipt);
    for words in ["no owner", "No complaint", "intake checklist", "No photo"] {
        assert!(receipt.contains(words), "{words:?} is not in\n{receipt}");
    }
    assert!(told(&empty, Kind::Estimate).contains("Nothing is estimated yet."));
    let report = told(&empty, Kind::Report);
    for words in ["No reading was kept", "No final test", "watch for", "next service"] {
        assert!(report.contains(words), "{words:?} is not in\n{report}");
    }
    let whole = Invented::new();
    assert_eq!(told(&whole, Kind::Receipt), "");
    assert_eq!(told(&whole, Kind::Estimate), "");
    // All is there but for the hands, which are still on order, and wet tests.
    assert_eq!(
        told(&whole, Kind::Report),
        "1 part is on the list and not fitted, and not on the paper.\n\
         Water resistance: ISO 22810 asks for more: lying in water; crown pressed in water; warm and \
         cold water; drop on the warm glass."
    );
}

#[test]
fn a_day_is_the_workshops_own() {
    let mut invented = Invented::new();
    // 23:30 UTC on the ninth is the tenth two hours to the east.
    invented.ahead_of_utc_min = 120;
    let document = invented.with_case(receipt);
    let came = document.facts.iter().find(|fact| fact.name == "Came in").unwrap();
    assert_eq!(came.value, "10 February 2026");
}

#[test]
fn every_paper_can_be_printed() {
    for invented in [Invented::empty(), Invented::new()] {
        let papers = invented.with_case(|case| {
            [receipt(case), estimate(case), service(case, &WITH_COLLEAGUE).unwrap()]
        });
        for paper in papers {
            let printed = print(&paper, &Fonts::default()).unwrap();
            assert!(printed.pages >= 1);
            assert_eq!(printed.unreadable, Vec::<String>::new());
            assert_eq!(printed.not_shown, Vec::<char>::new(), "{}", paper.title);
        }
    }
}
