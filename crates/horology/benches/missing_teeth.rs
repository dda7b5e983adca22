//! How long the search for lost wheels takes: one of a watch train, two of it, and two with the widest
//! bounds and the largest error that can be asked for.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "what is measured is made here")]

use criterion::{Criterion, criterion_group, criterion_main};
use horology::train::missing::{
    MOST_SOUGHT, MOST_WITHIN_S_PER_D, USUAL_LEAVES, USUAL_TEETH, Unknown, Wanted, missing_teeth,
};
use horology::train::{Ratio, Row};
use std::hint::black_box;

fn searches(c: &mut Criterion) {
    let row = Row {
        wheels: vec![80, 75, 70],
        pinions: vec![10, 10, 7],
        escape: Some(15),
        first_turns_in_s: None,
        beats_per_hour: Ratio::whole(18_000),
    };
    let movement = row.movement(Ratio::whole(3600), None).unwrap();
    let wheel = |place, teeth| Unknown { at: Row::wheel(place), teeth };
    let pinion = |place, teeth| Unknown { at: Row::pinion(place), teeth };
    for (name, unknowns, within_s_per_d) in [
        ("one wheel", vec![wheel(2, USUAL_TEETH)], 60.0),
        ("wheel and pinion", vec![wheel(2, USUAL_TEETH), pinion(2, USUAL_LEAVES)], 60.0),
        ("two wheels", vec![wheel(0, USUAL_TEETH), wheel(1, USUAL_TEETH)], 60.0),
        (
            "two wheels, widest bounds",
            vec![wheel(0, 1..=MOST_SOUGHT), wheel(1, 1..=MOST_SOUGHT)],
            MOST_WITHIN_S_PER_D,
        ),
    ] {
        let wanted = Wanted { unknowns, within_s_per_d };
        c.bench_function(name, |b| {
            b.iter(|| missing_teeth(black_box(&movement), &wanted).unwrap());
        });
    }
}

criterion_group!(benches, searches);
criterion_main!(benches);
