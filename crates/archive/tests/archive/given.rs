//! A small archive. All invented.

use archive::{Change, Clock, Difference, Entry, Holds, Item, Ms, Setting, Sort, Whole, Writer};
use jobs::*;
use quantities::{Measured, Position};
use sha2::{Digest, Sha256};
use std::io::{Cursor, Read};
use uuid::Uuid;

pub(crate) const SOUND: &[u8] = b"fLaC and what follows";
pub(crate) const PHOTO: &[u8] = &[0xff, 0xd8, 0xff, 0xe0, 1, 2, 3];

pub(crate) fn at(s: i64) -> Moment {
    Moment::from_ms(1_700_000_000_000 + 1_000 * s)
}

pub(crate) fn hash(bytes: &[u8]) -> MediaHash {
    MediaHash::from_bytes(Sha256::digest(bytes).into())
}

pub(crate) fn whole<T>(number: u128, order: u64, value: T) -> Whole<T> {
    Whole {
        id: Id::from_uuid(Uuid::from_u128(number)),
        version: 3,
        created: at(0),
        changed: at(9),
        deleted: None,
        deleted_with: None,
        order,
        value,
    }
}

pub(crate) fn job_id() -> JobId {
    Id::from_uuid(Uuid::from_u128(3))
}

pub(crate) fn reading() -> Reading {
    let measured = |value, sd| Some(Measured { value, sd });
    Reading {
        job: job_id(),
        position: Some(Position::H6),
        wind: "full, =1+1".into(),
        taken: at(1),
        duration_s: 30.25,
        device: "pickup \"one\"".into(),
        settings: ReadingSettings {
            lift_angles_deg: vec![0.1 + 0.2],
            beats_per_hour: vec![],
            balances: Some(2),
            clock_error_ppm: measured(-3.25, 0.1),
        },
        program: "0.1.0".into(),
        sound: Some(hash(SOUND)),
        balances: vec![
            BalanceReading {
                label: "A".into(),
                measured_beats_per_hour: Some(28_801.0 / 3.0),
                rate_s_per_d: measured(-1.0 / 3.0, 1e-300),
                amplitude_deg: measured(284.2, 0.4),
                beats_used: u64::from(u32::MAX) + 7,
                repeats: Some(vec![Repeats {
                    of: RepeatsIn::Timing,
                    beat_s: 0.125,
                    shortest_period_s: 1.0 / 3.0,
                    longest_period_s: 16.6,
                    each_beat: true,
                    least_seen: 0.02,
                    waves: vec![RepeatingWave {
                        period_s: Measured::new(6.0, 0.01),
                        half_swing: 0.1 + 0.2,
                        chance: 5e-324,
                    }],
                }]),
                ..BalanceReading::default()
            },
            BalanceReading { label: "B".into(), ..BalanceReading::default() },
        ],
        relation: None,
        lost_samples: 480,
        warnings: vec![],
        note: "door open\nsecond line".into(),
    }
}

pub(crate) fn entry() -> Entry {
    let id = Uuid::from_u128(0x51);
    Entry {
        id,
        job: job_id().uuid(),
        at_ms: Ms::of(at(2)),
        kept_ms: Ms::of(at(3)),
        device: "phone".into(),
        body: format!(
            "{{\"id\":\"{id}\",\"at\":\"2026-03-02T09:00:00.000Z\",\"change\":{{\"kind\":\"turned\",\
             \"up\":\"dial\"}}}}"
        ),
        found_by: "turned\n".into(),
    }
}

pub(crate) fn items() -> Vec<Item> {
    let owner = Owner { name: "Ada Ørsted".into(), ..Owner::default() };
    let watch = Watch {
        owner: Some(Id::from_uuid(Uuid::from_u128(1))),
        description: "steel wristwatch".into(),
        ..Watch::default()
    };
    let mut job = Job::begun(Id::from_uuid(Uuid::from_u128(2)), "loses a minute", at(0));
    job.number = 7;
    let currency = Currency::from_letters("EUR").unwrap();
    let part = Part {
        job: job_id(),
        what: "crown, \"gilt\"".into(),
        quantity: 2,
        supplier: "the shop at the corner".into(),
        state: PartState::Ordered,
        cost: Some(Money { minor_units: 1_250, currency }),
    };
    let estimate = Estimate {
        job: job_id(),
        currency,
        lines: vec![
            EstimateLine { what: "cleaning".into(), minor_units: 12_000 },
            EstimateLine { what: "returning customer".into(), minor_units: -500 },
        ],
        answer: Answer::Yes,
        answered: Some(at(3)),
    };
    let template = Template {
        name: "calibre 9".into(),
        note: "two trains".into(),
        log: include_str!("../../../../fuzz/corpus/log/template").into(),
    };
    let photo = Photo {
        job: job_id(),
        media: hash(PHOTO),
        caption: "dial".into(),
        width_px: 4,
        height_px: 3,
        taken: at(4),
    };
    let adjustment = Adjustment {
        job: job_id(),
        balance: "A".into(),
        at: at(5),
        by: AdjustmentBy::Index,
        amount: Some(-0.125),
        note: String::new(),
    };
    let mut days = [None; Trial::DAYS];
    days[3] = Some(TrialRate::entered(2.5));
    let trial = Trial {
        job: job_id(),
        balance: String::new(),
        size: TrialSize::UpTo20Mm,
        begun: at(6),
        rate_sd_s_per_d: 0.3,
        days,
        note: String::new(),
    };
    let mut test = FinalTest::begun(job_id(), TestKind::Water, at(7));
    let leak = Figure { value: 12.5, sd: Some(0.75) };
    test.figures.insert(FigureOf::LeakUgPerMin.code().into(), leak);
    test.figures.insert(FigureOf::TestedBar.code().into(), Figure { value: 0.1 + 0.2, sd: None });
    test.signs.insert(SignOf::BendLetUp.code().into(), false);
    let mut bottle = whole(
        8,
        8,
        Bottle { class: "thin-oil".into(), name: "the small one".into(), ..Bottle::default() },
    );
    bottle.deleted = Some(at(8));
    vec![
        Item::Owner(whole(1, 5, owner)),
        Item::Watch(whole(2, 2, watch)),
        Item::Job(whole(3, 3, job)),
        Item::Part(whole(10, 10, part)),
        Item::Estimate(whole(11, 11, estimate)),
        Item::Photo(whole(4, 4, photo)),
        Item::Reading(Box::new(whole(5, 1, reading()))),
        Item::Template(whole(12, 12, template)),
        Item::Bottle(bottle),
        Item::Adjustment(whole(6, 6, adjustment)),
        Item::Trial(whole(7, 7, trial)),
        Item::FinalTest(whole(9, 9, test)),
        Item::Entry(entry()),
        Item::Clock(Clock {
            id: Uuid::from_u128(0x61),
            device: "pickup".into(),
            error_ppm: 0.1 + 0.2,
            sd_ppm: 0.01,
            how: "a quartz watch".into(),
            found_ms: Ms::of(at(1)),
        }),
        Item::Setting(Setting {
            key: "tolerance".into(),
            version: 2,
            changed_ms: Ms::of(at(1)),
            value: "plus 4".into(),
        }),
        Item::Change(Change {
            at_ms: Ms::of(at(1)),
            device: "bench".into(),
            action: "created".into(),
            subject: "job".into(),
            subject_id: job_id().to_string(),
            parent: Some(Uuid::from_u128(2)),
            title: "job 7: loses a minute".into(),
            fields: vec![Difference { field: "x".into(), before: None, after: Some("y".into()) }],
        }),
    ]
}

/// The whole of it.
pub(crate) fn archive() -> Vec<u8> {
    archive_of(&items(), &[(Sort::Photo, PHOTO), (Sort::Sound, SOUND)])
}

pub(crate) fn archive_of(items: &[Item], media: &[(Sort, &[u8])]) -> Vec<u8> {
    let mut writer = Writer::new(Cursor::new(Vec::new()));
    items.iter().for_each(|item| writer.put(item).unwrap());
    for (sort, bytes) in media {
        writer.begin_media(*sort, hash(bytes)).unwrap();
        writer.media_block(bytes).unwrap();
        writer.end_media().unwrap();
    }
    let holds = Holds { what: "everything".into(), title: String::new() };
    writer.finish(at(100), holds).unwrap().0.into_inner()
}

/// Its files, the manifest among them, as any zip program gives them.
pub(crate) fn files(archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
    (0..zip.len())
        .map(|index| {
            let mut file = zip.by_index(index).unwrap();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        })
        .collect()
}
