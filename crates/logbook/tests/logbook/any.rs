//! Any entry that can be entered.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use rebuild::{
    BottleId, Change, Entry, EntryId, Group, KindId, LeftOut, Outcome, Part, PartFix, PartId,
    PhotoRef, Piece, RuleId, Screws, ScrewsId, Side, StepFix, StepId, TakenOut, ThreadHand,
    TraitId, Verdict, WorkOn, WorkRef,
};
use uuid::Uuid;

/// Few ids, so that entries speak of the same things.
fn id() -> impl Strategy<Value = Uuid> + Clone {
    prop_oneof![3 => (1_u128..20).prop_map(Uuid::from_u128), 1 => any::<u128>().prop_map(Uuid::from_u128)]
}

fn step() -> impl Strategy<Value = StepId> {
    id().prop_map(StepId::from_uuid)
}

fn part_id() -> impl Strategy<Value = PartId> {
    id().prop_map(PartId::from_uuid)
}

/// Anything that can be typed, with quotes, backslashes, line breaks and other scripts.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![Just(String::new()), "[\\PC\"\\\\\n\r\t]{0,30}"]
}

fn slug() -> impl Strategy<Value = String> {
    "[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,3}"
}

fn group() -> impl Strategy<Value = Group> {
    "[^\\pC\\s][\\PC]{0,10}".prop_map(|name| Group::new(&name))
}

fn kind() -> impl Strategy<Value = KindId> {
    slug().prop_map(|name| KindId::new(&name).unwrap())
}

fn traits() -> impl Strategy<Value = Vec<TraitId>> {
    vec(slug().prop_map(|name| TraitId::new(&name).unwrap()), 0..3)
}

fn side() -> impl Strategy<Value = Side> {
    select(Side::ALL)
}

fn verdict() -> impl Strategy<Value = Verdict> {
    select(Verdict::ALL)
}

fn part() -> impl Strategy<Value = Part> {
    (part_id(), option::of(kind()), text(), traits(), text(), option::of(verdict())).prop_map(
        |(id, kind, name, traits, condition, verdict)| Part {
            id,
            kind,
            name,
            traits,
            condition,
            verdict,
        },
    )
}

fn screws() -> impl Strategy<Value = Screws> {
    let length = option::of(f64::MIN_POSITIVE..=100.0);
    (id(), any::<u16>(), length, text(), select(ThreadHand::ALL), text()).prop_map(
        |(id, count, length_mm, look, thread, place)| Screws {
            id: ScrewsId::from_uuid(id),
            count,
            length_mm,
            look,
            thread,
            place,
        },
    )
}

fn taken_out() -> impl Strategy<Value = TakenOut> {
    let what = (step(), vec(part(), 0..4), side(), vec(group(), 0..3), option::of(part_id()));
    let how = (vec(screws(), 0..3), text(), vec(part_id(), 0..3), vec(part_id(), 0..3));
    let rest = (any::<bool>(), text(), vec(id().prop_map(PhotoRef::from_uuid), 0..3), text());
    (what, how, rest).prop_map(
        |(
            (step, parts, side, groups, from_assembly),
            (screws, way_up, rested_on, was_under),
            (under_tension, compartment, photos, note),
        )| TakenOut {
            step,
            parts,
            side,
            groups,
            from_assembly,
            screws,
            way_up,
            rested_on,
            was_under,
            under_tension,
            compartment,
            photos,
            note,
        },
    )
}

fn step_fix() -> impl Strategy<Value = StepFix> {
    let first = (
        option::of(side()),
        option::of(vec(group(), 0..3)),
        option::of(option::of(part_id())),
        option::of(vec(screws(), 0..3)),
        option::of(text()),
    );
    let second = (
        option::of(vec(part_id(), 0..3)),
        option::of(vec(part_id(), 0..3)),
        option::of(any::<bool>()),
        option::of(text()),
        option::of(text()),
    );
    (first, second).prop_map(
        |(
            (side, groups, from_assembly, screws, way_up),
            (rested_on, was_under, under_tension, compartment, note),
        )| StepFix {
            side,
            groups,
            from_assembly,
            screws,
            way_up,
            rested_on,
            was_under,
            under_tension,
            compartment,
            note,
        },
    )
}

fn part_fix() -> impl Strategy<Value = PartFix> {
    let fields = (
        option::of(option::of(kind())),
        option::of(text()),
        option::of(traits()),
        option::of(text()),
        option::of(option::of(verdict())),
    );
    fields.prop_map(|(kind, name, traits, condition, verdict)| PartFix {
        kind,
        name,
        traits,
        condition,
        verdict,
    })
}

fn piece() -> impl Strategy<Value = Piece> {
    (step(), vec(part_id(), 0..3), vec(id().prop_map(ScrewsId::from_uuid), 0..3))
        .prop_map(|(step, parts, screws)| Piece { step, parts, screws })
}

fn work() -> impl Strategy<Value = WorkRef> {
    let on = prop_oneof![
        part_id().prop_map(WorkOn::Part),
        group().prop_map(WorkOn::Group),
        Just(WorkOn::Movement),
    ];
    (slug(), on).prop_map(|(rule, on)| WorkRef { rule: RuleId::new(&rule).unwrap(), on })
}

fn left_out() -> impl Strategy<Value = LeftOut> {
    prop_oneof![
        part_id().prop_map(LeftOut::Part),
        (id(), any::<u16>())
            .prop_map(|(id, count)| LeftOut::Screws { set: ScrewsId::from_uuid(id), count }),
    ]
}

fn finite() -> impl Strategy<Value = f64> {
    any::<f64>().prop_filter("what is no number is refused", |value| value.is_finite())
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        4 => taken_out().prop_map(Change::TookOut),
        2 => (step(), step_fix()).prop_map(|(step, fix)| Change::Amended { step, fix }),
        2 => (part_id(), part_fix()).prop_map(|(part, fix)| Change::PartAmended { part, fix }),
        1 => (step(), vec(piece(), 0..3)).prop_map(|(step, into)| Change::Split { step, into }),
        1 => (step(), option::of(step())).prop_map(|(step, after)| Change::Moved { step, after }),
        1 => (step(), text()).prop_map(|(step, note)| Change::Annotated { step, note }),
        1 => (step(), id()).prop_map(|(step, photo)| {
            Change::PhotoAdded { step, photo: PhotoRef::from_uuid(photo) }
        }),
        1 => step().prop_map(|step| Change::Placed { step }),
        1 => (step(), text()).prop_map(|(step, reason)| Change::Removed { step, reason }),
        1 => side().prop_map(|up| Change::Turned { up }),
        1 => (work(), option::of(id()), text()).prop_map(|(work, bottle, note)| {
            Change::WorkDone { work, bottle: bottle.map(BottleId::from_uuid), note }
        }),
        1 => (work(), select(Outcome::ALL), option::of(finite()), text()).prop_map(
            |(work, outcome, value, note)| Change::CheckMade { work, outcome, value, note }
        ),
        1 => (work(), text()).prop_map(|(work, reason)| Change::Skipped { work, reason }),
        1 => (part_id(), part_id(), text()).prop_map(|(first, then, why)| {
            Change::RelationAdded { first, then, why }
        }),
        1 => (part_id(), part_id(), text()).prop_map(|(first, then, why)| {
            Change::RelationDropped { first, then, why }
        }),
        1 => (left_out(), text()).prop_map(|(what, reason)| Change::LeftOut { what, reason }),
        1 => id().prop_map(|id| Change::TakenBack { entry: EntryId::from_uuid(id) }),
    ]
}

/// Moments that RFC 3339 can write: the years 0 to 9999.
fn at_ms() -> impl Strategy<Value = i64> {
    prop_oneof![
        -62_167_219_200_000..=253_402_207_199_999_i64,
        1_700_000_000_000..1_900_000_000_000_i64
    ]
}

pub(crate) fn entry() -> impl Strategy<Value = Entry> {
    (id(), text(), at_ms(), change()).prop_map(|(id, by, at_ms, change)| Entry {
        id: EntryId::from_uuid(id),
        by,
        at_ms,
        change,
    })
}
