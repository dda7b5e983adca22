//! How long a plan takes: a movement of 2,000 steps on two sides in three trains, of 40 kinds of
//! parts, with 80 rules, which ask for some 4,000 items of work.
//!
//! Where the system tells it, the time is what the thread spent on the processor, so that a busy
//! machine does not spoil it; else time on the wall.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "what is measured is made here")]

use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use rebuild::{
    Action, Change, Closes, Entry, EntryId, ForParts, Graph, Group, KindId, Log, LubricantClass,
    Once, Opens, Part, PartId, Plan, Reach, Rule, RuleId, Rules, Screws, ScrewsId, Side, Source,
    State, StepId, TakenOut, ThreadHand, Trains, Vocabulary, What, Window, Work,
};
use std::collections::HashSet;
use std::hint::black_box;
use std::time::{Duration, Instant};
use uuid::Uuid;

/// Time that this thread spent on the processor.
struct OwnTime;

/// Nanoseconds of it so far (Linux: first number of `schedstat`, proc_pid_schedstat(5)).
fn own_ns() -> Option<u64> {
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    stat.split_whitespace().next()?.parse().ok()
}

impl Measurement for OwnTime {
    type Intermediate = (Option<u64>, Instant);
    type Value = Duration;

    fn start(&self) -> Self::Intermediate {
        (own_ns(), Instant::now())
    }

    fn end(&self, start: Self::Intermediate) -> Duration {
        match (start.0, own_ns()) {
            (Some(from), Some(to)) => Duration::from_nanos(to.saturating_sub(from)),
            _ => start.1.elapsed(),
        }
    }

    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        *a + *b
    }

    fn zero(&self) -> Duration {
        Duration::ZERO
    }

    fn to_f64(&self, value: &Duration) -> f64 {
        WallTime.to_f64(value)
    }

    fn formatter(&self) -> &dyn ValueFormatter {
        WallTime.formatter()
    }
}

const STEPS: u128 = 2_000;
const KINDS: u128 = 40;

fn kind(n: u128) -> KindId {
    KindId::new(&format!("kind-{}", n % KINDS)).unwrap()
}

fn entry(n: u128, change: Change) -> Entry {
    let id = EntryId::from_uuid(Uuid::from_u128(n + 1));
    Entry { id, by: "someone".to_owned(), at_ms: 0, change }
}

/// Turns of the side come every hundred steps; every tenth step is common to all trains.
fn log() -> Log {
    let entries = (0..STEPS).map(|n| {
        let id = Uuid::from_u128(n + 1);
        let groups = ["A", "B", "C"].map(Group::new);
        let group = groups[usize::try_from(n % 3).unwrap()].clone();
        let part = Part {
            id: PartId::from_uuid(id),
            kind: Some(kind(n / 3)),
            name: String::new(),
            traits: Vec::new(),
            condition: String::new(),
            verdict: None,
        };
        let screws = Screws {
            id: ScrewsId::from_uuid(id),
            count: 2,
            length_mm: None,
            look: String::new(),
            thread: ThreadHand::Right,
            place: String::new(),
        };
        let out = TakenOut {
            step: StepId::from_uuid(id),
            parts: vec![part],
            side: if (n / 100).is_multiple_of(2) { Side::Dial } else { Side::Train },
            groups: if n.is_multiple_of(10) { Vec::new() } else { vec![group] },
            from_assembly: None,
            screws: vec![screws],
            way_up: String::new(),
            rested_on: Vec::new(),
            was_under: match n.checked_sub(150) {
                Some(over) if n.is_multiple_of(7) => {
                    vec![PartId::from_uuid(Uuid::from_u128(over + 1))]
                }
                _ => Vec::new(),
            },
            under_tension: false,
            compartment: String::new(),
            photos: Vec::new(),
            note: String::new(),
        };
        entry(n, Change::TookOut(out))
    });
    Log::new(entries.collect())
}

fn rules() -> Rules {
    let rule = |n: u128| Rule {
        id: RuleId::new(&format!("rule-{n}")).unwrap(),
        for_parts: ForParts { kinds: vec![kind(n)], ..ForParts::default() },
        once: Once::EachPart,
        what: if n.is_multiple_of(4) {
            let question = "Is it so?".to_owned();
            let order = u16::try_from(n).unwrap();
            What::Check { question, expected: None, order, under_power: false }
        } else {
            let classes = LubricantClass::ALL;
            let class = classes[usize::try_from(n).unwrap() % classes.len()];
            What::Oil { place: "pivot".to_owned(), class, amount: "a little".to_owned() }
        },
        window: Some(Window {
            opens: if n.is_multiple_of(3) { Opens::InHand } else { Opens::Placed },
            closes: Closes::BeforeCovered,
        }),
        reach: Reach::OwnSide,
        sources: vec![Source::CommonPractice],
        conflicts: Vec::new(),
    };
    Rules::new((0..2 * KINDS).map(rule).collect(), Vec::new(), &HashSet::new())
}

fn plan(state: &State, rules: &Rules, words: &Vocabulary) -> Plan {
    let graph = Graph::of(state);
    let work = Work::of(state, &graph, rules, words);
    Plan::of(state, &graph, &work, Trains::AsTakenDown)
}

fn plans(c: &mut Criterion<OwnTime>) {
    let (log, rules, words) = (log(), rules(), Vocabulary::default());
    let graph = Graph::of(log.state());
    let work = Work::of(log.state(), &graph, &rules, &words);
    let whole = plan(log.state(), &rules, &words);
    assert!(work.items().len() > 3_900 && whole.actions().len() > 5_900);
    c.bench_function("entries of 2,000 steps read again", |b| {
        b.iter_batched(|| log.entries().to_vec(), Log::new, BatchSize::SmallInput);
    });
    c.bench_function("relations", |b| b.iter(|| Graph::of(black_box(log.state()))));
    c.bench_function("work", |b| {
        b.iter(|| Work::of(black_box(log.state()), &graph, &rules, &words));
    });
    c.bench_function("order alone", |b| {
        b.iter(|| Plan::of(black_box(log.state()), &graph, &work, Trains::AsTakenDown));
    });
    c.bench_function("next action after an entry, everything made anew", |b| {
        let step = whole.actions().iter().find_map(|action| match action {
            Action::Place { step } => Some(*step),
            _ => None,
        });
        let placed = entry(STEPS, Change::Placed { step: step.unwrap() });
        b.iter_batched(
            || log.clone(),
            |mut log| {
                log.add(&placed);
                let plan = plan(log.state(), &rules, &words);
                (plan.actions().first().cloned(), log)
            },
            BatchSize::SmallInput,
        );
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .with_measurement(OwnTime)
        .sample_size(20)
        .warm_up_time(Duration::from_secs(1))
        .measurement_time(Duration::from_secs(3));
    targets = plans
}
criterion_main!(benches);
