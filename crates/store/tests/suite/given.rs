//! Records to begin with. All invented.

use bytes::Bytes;
use jobs::*;
use quantities::{Measured, Position};
use store::{By, Kept, NewLogEntry, Store};
use uuid::Uuid;

pub(crate) fn by() -> By {
    By::at("bench", Moment::from_ms(1_700_000_000_000))
}

/// So many seconds later.
pub(crate) fn later(s: i64) -> By {
    By::at("bench", Moment::from_ms(1_700_000_000_000 + 1_000 * s))
}

pub(crate) fn owner(name: &str) -> Owner {
    Owner { name: name.into(), contact: vec!["12 Mill Lane".into()], notes: String::new() }
}

pub(crate) fn watch(owner: Option<OwnerId>, description: &str) -> Watch {
    Watch {
        owner,
        description: description.into(),
        calibre: "calibre 9".into(),
        serial_numbers: vec!["A-123/45".into()],
        balances: vec![
            WatchBalance { lift_angle_deg: Some(52.0), beats_per_hour: Some(28_800.0) },
            WatchBalance { lift_angle_deg: None, beats_per_hour: Some(21_600.0) },
        ],
        target_s_per_d: Some(-0.5),
        movement: "# nothing counted yet\n".into(),
        notes: "two balances\nboth visible".into(),
    }
}

pub(crate) fn job(watch: WatchId, complaint: &str) -> Job {
    let mut job = Job::begun(watch, complaint, by().at);
    job.condition = vec![ConditionEntry {
        of: ConditionOf::WaterMarks,
        state: ConditionState::Damaged,
        note: "under the 6".into(),
    }];
    job.due = Some(jiff::civil::date(2026, 12, 24));
    job.to_watch = "may gain at first\nkeep it dry".into();
    job.next_service = Some("2031-06".parse().unwrap());
    job.move_to(Stage::Estimate, later(5).at);
    job
}

pub(crate) fn part(job: JobId, what: &str) -> Part {
    let currency = Currency::from_letters("EUR").unwrap();
    Part {
        job,
        what: what.into(),
        quantity: 2,
        supplier: "the shop at the corner".into(),
        state: PartState::Ordered,
        cost: Some(Money { minor_units: 1_250, currency }),
    }
}

pub(crate) fn estimate(job: JobId) -> Estimate {
    Estimate {
        job,
        currency: Currency::from_letters("EUR").unwrap(),
        lines: vec![
            EstimateLine { what: "cleaning".into(), minor_units: 12_000 },
            EstimateLine { what: "returning customer".into(), minor_units: -500 },
        ],
        answer: Answer::Yes,
        answered: Some(by().at),
    }
}

pub(crate) fn photo(job: JobId, media: MediaHash, caption: &str) -> Photo {
    let taken = by().at;
    Photo { job, media, caption: caption.into(), width_px: 4_000, height_px: 3_000, taken }
}

pub(crate) fn reading(job: JobId, sound: Option<MediaHash>) -> Reading {
    let measured = |value, sd| Some(Measured { value, sd });
    Reading {
        job,
        position: Some(Position::H6),
        wind: "full".into(),
        taken: by().at,
        duration_s: 30.25,
        device: "pickup".into(),
        settings: ReadingSettings {
            lift_angles_deg: vec![52.0, 0.1 + 0.2],
            beats_per_hour: vec![28_800.0],
            balances: Some(2),
            clock_error_ppm: measured(-3.25, 0.1),
        },
        program: "0.1.0".into(),
        sound,
        balances: vec![BalanceReading {
            label: "A".into(),
            beats_per_hour: Some(28_800.0),
            // Nearest to a third that there is: it must come back to the last bit.
            measured_beats_per_hour: Some(28_801.0 / 3.0),
            rate_s_per_d: measured(5.1, 0.04),
            rate_sd_with_clock_s_per_d: Some(1.7),
            amplitude_deg: measured(284.2, 0.4),
            lift_angle_deg: Some(52.0),
            beat_error_ms: measured(0.11, 1e-300),
            beats_used: 158,
            beats_expected: 160,
            signal_to_noise_db: Some(-24.0),
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
                    chance: 1e-300,
                }],
            }]),
        }],
        relation: Some(Relation {
            state: RelationState::Independent,
            rate_difference_s_per_d: Some(9.0),
            next_coincidence_s: None,
        }),
        lost_samples: 480,
        warnings: vec![ReadingWarning {
            code: "clock_uncalibrated".into(),
            message: "The recorder's clock has not been calibrated.".into(),
        }],
        note: "on the bench, door open".into(),
    }
}

pub(crate) fn template(name: &str) -> Template {
    Template { name: name.into(), note: "two trains".into(), log: "[{\"took\":\"…\"}]\n".into() }
}

pub(crate) fn adjustment(job: JobId, note: &str) -> Adjustment {
    Adjustment {
        job,
        balance: "B".into(),
        at: later(7).at,
        by: AdjustmentBy::TimingScrews,
        amount: Some(-0.125),
        note: note.into(),
    }
}

pub(crate) fn trial(job: JobId, note: &str) -> Trial {
    let mut days = [None; Trial::DAYS];
    days[0] = Some(TrialRate::entered(2.5));
    // Nearest to a third that there is: it must come back to the last bit.
    days[14] = Some(TrialRate {
        rate_s_per_d: -1.0 / 3.0,
        sd_s_per_d: Some(0.25),
        clock_sd_s_per_d: 1.7,
        readings: 3,
    });
    Trial {
        job,
        balance: "B".into(),
        size: TrialSize::UpTo20Mm,
        begun: later(7).at,
        rate_sd_s_per_d: 0.3,
        days,
        note: note.into(),
    }
}

pub(crate) fn final_test(job: JobId, note: &str) -> FinalTest {
    let figure = |value, sd| Figure { value, sd };
    FinalTest {
        balance: "B".into(),
        way: Some(TestWay::CrownPressed),
        standard: TestStandard::Iso6425,
        instrument: "pressure pot".into(),
        conditions: "21 °C\nbarometer at 1013 hPa".into(),
        figures: [
            ("marked_bar".to_owned(), figure(20.0, None)),
            // Nearest to a third that there is: it must come back to the last bit.
            ("leak_ug_per_min".to_owned(), figure(1.0 / 3.0, Some(1e-300))),
            ("of_a_later_version".to_owned(), figure(-2.5, None)),
        ]
        .into(),
        signs: [("fog".to_owned(), false), ("of_a_later_version".to_owned(), true)].into(),
        photos: vec![Id::from_uuid(Uuid::from_u128(8)), Id::from_uuid(Uuid::from_u128(7))],
        readings: vec![Id::from_uuid(Uuid::from_u128(9))],
        outcome: TestOutcome::Passed,
        note: note.into(),
        ..FinalTest::begun(job, TestKind::Water, later(7).at)
    }
}

pub(crate) fn bottle(name: &str) -> Bottle {
    Bottle {
        class: "thin-oil".into(),
        name: name.into(),
        opened: Some(jiff::civil::date(2026, 3, 1)),
        expires: None,
        note: "second drawer".into(),
        used_up: false,
    }
}

/// An entry that says that this came out, so many seconds after the first.
pub(crate) fn entry(n: u128, what: &str) -> NewLogEntry {
    NewLogEntry {
        id: Uuid::from_u128(n),
        at: later(i64::try_from(n % 1_000).unwrap()).at,
        body: format!("{{\"took out\":\"{what}\"}}"),
        title: format!("took out: {what}"),
        found_by: vec![what.into()],
    }
}

/// An owner, a watch of theirs and a job on it.
pub(crate) async fn visit(store: &Store) -> (Kept<Owner>, Kept<Watch>, Kept<Job>) {
    let owner = store.create(&by(), owner("Ada Ørsted")).await.unwrap();
    let watch = store.create(&by(), watch(Some(owner.id), "steel wristwatch")).await.unwrap();
    let job = store.create(&by(), job(watch.id, "loses a minute a day")).await.unwrap();
    (owner, watch, job)
}

pub(crate) async fn sound(store: &Store, content: &str) -> MediaHash {
    store.put_media(Bytes::from(content.to_owned())).await.unwrap()
}

/// Number of the latest change.
pub(crate) async fn latest_change(store: &Store) -> i64 {
    store.changes_since(0).await.unwrap().last().map_or(0, |change| change.seq)
}

/// The folder of its sounds and photos.
pub(crate) fn media_folder(store: &Store) -> std::path::PathBuf {
    match &store.places().media {
        store::MediaPlace::Folder(folder) => folder.clone(),
        store::MediaPlace::Bucket(url) => panic!("{url} is no folder"),
    }
}
