//! An invented job: a watch that gained, was taken apart, put together and regulated.

use handover::{Bench, Case, Drawings, Shot, Workshop};
use jiff::civil::date;
use jobs::{
    Adjustment, AdjustmentBy, Answer, BalanceReading, ConditionEntry, ConditionOf, ConditionState,
    Currency, DayOrMonth, Estimate, EstimateLine, Figure, FinalTest, Id, Job, MediaHash, Moment,
    Owner, Part, PartState, Photo, PhotoId, Reading, ReadingId, ReadingSettings, Stage, TestKind,
    TestStandard, TestWay, Watch, WatchBalance,
};
use quantities::{Measured, Position};
use rebuild::{Change, Entry, EntryId, Graph, Log, PartFix, Rules, Verdict, Vocabulary, Work};
use regulate::Kept;
use report::{Letterhead, Paper};
use std::collections::HashSet;
use uuid::Uuid;

/// 2026-02-09 23:30 UTC (`date -u -d '2026-02-09 23:30' +%s`: 1770679800).
const CAME_MS: i64 = 1_770_679_800_000;
const HOUR_MS: i64 = 3_600_000;

pub(crate) struct Invented {
    pub(crate) ahead_of_utc_min: i32,
    pub(crate) estimate: Option<Estimate>,
    owner: Option<Owner>,
    pub(crate) watch: Watch,
    job: Job,
    parts: Vec<Part>,
    pub(crate) readings: Vec<(ReadingId, Reading)>,
    adjustments: Vec<Adjustment>,
    pub(crate) photos: Vec<(PhotoId, Photo)>,
    pub(crate) tests: Vec<FinalTest>,
    pub(crate) log: Log,
    rules: Rules,
    vocabulary: Vocabulary,
}

fn id<T>(n: u128) -> Id<T> {
    Id::from_uuid(Uuid::from_u128(n))
}

pub(crate) fn at(hours: i64) -> Moment {
    Moment::from_ms(CAME_MS + hours * HOUR_MS)
}

fn reading(hours: i64, position: Position, rate_s_per_d: f64) -> Reading {
    reading_of(hours, position, &[("A", rate_s_per_d)])
}

fn reading_of(hours: i64, position: Position, rates: &[(&str, f64)]) -> Reading {
    let balance = |&(label, rate_s_per_d): &(&str, f64)| BalanceReading {
        label: label.to_owned(),
        beats_per_hour: Some(28_800.0),
        rate_s_per_d: Some(Measured::new(rate_s_per_d, 0.3)),
        rate_sd_with_clock_s_per_d: Some(0.3),
        amplitude_deg: Some(Measured::new(280.0, 2.0)),
        lift_angle_deg: Some(52.0),
        beats_used: 480,
        beats_expected: 480,
        ..BalanceReading::default()
    };
    Reading {
        job: id(1),
        position: Some(position),
        wind: "full".to_owned(),
        taken: at(hours),
        duration_s: 60.0,
        device: String::new(),
        settings: ReadingSettings::default(),
        program: String::new(),
        sound: None,
        balances: rates.iter().map(balance).collect(),
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    }
}

/// A photo with a number of its own, taken so many hours after the watch came in.
pub(crate) fn photo(n: u128, hours: i64, caption: &str) -> (PhotoId, Photo) {
    let photo = Photo {
        job: id(1),
        media: MediaHash::from_bytes([7; 32]),
        caption: caption.to_owned(),
        width_px: 8,
        height_px: 6,
        taken: at(hours),
    };
    (id(n), photo)
}

/// A dry test by ISO 22810, so many hours after the watch came in, with so many micrograms a minute.
fn dry_test(hours: i64, leak: f64) -> FinalTest {
    let figure = |code: &str, value| (code.to_owned(), Figure { value, sd: None });
    FinalTest {
        way: Some(TestWay::Air),
        standard: TestStandard::Iso22810,
        instrument: "dry tester".to_owned(),
        figures: [
            figure("marked_bar", 3.0),
            figure("tested_bar", 2.0),
            figure("leak_ug_per_min", leak),
            figure("of_a_later_version", 7.0),
        ]
        .into(),
        ..FinalTest::begun(id(1), TestKind::Water, at(hours))
    }
}

/// Eight by six dots, as PNG.
fn dots() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 8, 6);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[90, 110, 130].repeat(48)).unwrap();
    writer.finish().unwrap();
    bytes
}

impl Invented {
    /// A job that has just begun, of which nothing is known.
    pub(crate) fn empty() -> Self {
        let (vocabulary, rules) = trade::in_force(trade::own("", "").sheet, &HashSet::new());
        Self {
            ahead_of_utc_min: 0,
            estimate: None,
            owner: None,
            watch: Watch { description: "wrist watch, steel".to_owned(), ..Watch::default() },
            job: Job::begun(id(2), "", at(0)),
            parts: Vec::new(),
            readings: Vec::new(),
            adjustments: Vec::new(),
            photos: Vec::new(),
            tests: Vec::new(),
            log: Log::default(),
            rules,
            vocabulary,
        }
    }

    pub(crate) fn new() -> Self {
        let empty = Self::empty();
        let movement = movements::automatic(CAME_MS + 24 * HOUR_MS);
        let mut entries = movement.take_down().to_vec();
        entries.push(Entry {
            id: EntryId::from_uuid(Uuid::from_u128(77)),
            by: String::new(),
            at_ms: CAME_MS + 30 * HOUR_MS,
            change: Change::PartAmended {
                part: movement.part("mainspring"),
                fix: PartFix {
                    condition: Some("set, fatigued".to_owned()),
                    verdict: Some(Some(Verdict::Replace)),
                    ..PartFix::default()
                },
            },
        });
        let all = usize::MAX;
        let start_ms = CAME_MS + 48 * HOUR_MS;
        entries.extend(movement.rebuild(&empty.rules, &empty.vocabulary, all, start_ms));
        let mut job = Job::begun(id(2), "gains half a minute a day", at(0));
        job.number = 17;
        job.move_to(Stage::Rebuild, at(48));
        job.to_watch = "It may gain a little while it is new.".to_owned();
        job.next_service = Some(DayOrMonth::Month(date(2031, 6, 1)));
        job.condition = vec![ConditionEntry {
            of: ConditionOf::Crystal,
            state: ConditionState::Damaged,
            note: "a crack at 4".to_owned(),
        }];
        let part = |what: &str, quantity, state| Part {
            job: id(1),
            what: what.to_owned(),
            quantity,
            supplier: String::new(),
            state,
            cost: None,
        };
        let line = |what: &str, minor_units| EstimateLine { what: what.to_owned(), minor_units };
        Self {
            estimate: Some(Estimate {
                job: id(1),
                currency: Currency::from_letters("EUR").unwrap(),
                lines: vec![line("service", 8_000), line("gaskets", 1_250), line("trust", -500)],
                answer: Answer::Yes,
                answered: Some(at(10)),
            }),
            owner: Some(Owner {
                name: "Jøran Říčný-Çelik".to_owned(),
                contact: vec!["Upper Mill 4".to_owned()],
                notes: String::new(),
            }),
            watch: Watch {
                balances: vec![WatchBalance {
                    lift_angle_deg: Some(52.0),
                    beats_per_hour: Some(28_800.0),
                }],
                ..empty.watch.clone()
            },
            job,
            parts: vec![part("gasket", 2, PartState::Fitted), part("hands", 1, PartState::Ordered)],
            readings: vec![
                (id(10), reading(1, Position::CH, 40.0)),
                (id(11), reading(2, Position::H6, 20.0)),
                (id(12), reading(60, Position::CH, 6.0)),
                (id(13), reading(61, Position::H6, 2.0)),
            ],
            adjustments: vec![Adjustment {
                job: id(1),
                balance: "A".to_owned(),
                at: at(50),
                by: AdjustmentBy::Index,
                amount: Some(0.5),
                note: String::new(),
            }],
            photos: vec![photo(90, 1, "the movement as it came"), photo(91, 1, "")],
            tests: vec![dry_test(62, 80.0), dry_test(70, 12.0)],
            log: Log::new(entries),
            ..empty
        }
    }

    /// With a second balance and both trains counted. Before, A is heavy towards 6: at 280 degrees
    /// it is slow with 12 up and fast with 6 up (`horology::poise`).
    pub(crate) fn of_two_balances() -> Self {
        let mut two = Self::new();
        two.watch.description = "wrist watch with two balances, steel".to_owned();
        two.watch.balances.push(two.watch.balances[0]);
        two.watch.movement = include_str!("two_trains.toml").to_owned();
        two.adjustments.push(Adjustment { balance: "B".to_owned(), ..two.adjustments[0].clone() });
        let rates = [
            (Position::CH, [6.0, -8.0], [3.5, 2.0]),
            (Position::FH, [5.0, -7.5], [3.0, 2.5]),
            (Position::H12, [-7.0, -9.0], [2.0, 1.5]),
            (Position::H3, [4.0, -8.5], [3.2, 2.2]),
            (Position::H6, [16.0, -9.5], [4.4, 1.0]),
            (Position::H9, [5.5, -8.0], [3.0, 2.0]),
        ];
        two.readings = rates
            .into_iter()
            .zip(1u8..)
            .flat_map(|((position, [a, b], [a_now, b_now]), n)| {
                let before = reading_of(i64::from(n), position, &[("A", a), ("B", b)]);
                let now = reading_of(i64::from(n) + 60, position, &[("A", a_now), ("B", b_now)]);
                let n = u128::from(n);
                [(id(100 + n), before), (id(200 + n), now)]
            })
            .collect();
        two
    }

    /// Makes something of the case.
    pub(crate) fn with_case<T>(&self, make: impl FnOnce(&Case<'_>) -> T) -> T {
        let graph = Graph::of(self.log.state());
        let work = Work::of(self.log.state(), &graph, &self.rules, &self.vocabulary);
        let bench = Bench { state: self.log.state(), work: &work, rules: &self.rules };
        let workshop = Workshop {
            letterhead: Letterhead {
                name: "Workshop of the Three Pigeons".to_owned(),
                ..Letterhead::default()
            },
            paper: Paper::A4,
        };
        let readings: Vec<Kept<'_>> =
            self.readings.iter().map(|(id, reading)| Kept { id: *id, reading }).collect();
        let photos: Vec<Shot<'_>> =
            self.photos.iter().map(|(id, photo)| Shot { id: *id, photo, bytes: dots() }).collect();
        make(&Case {
            workshop: &workshop,
            owner: self.owner.as_ref(),
            watch: &self.watch,
            job: &self.job,
            today: date(2026, 2, 20),
            ahead_of_utc_min: self.ahead_of_utc_min,
            photos: &photos,
            parts: &self.parts,
            estimate: self.estimate.as_ref(),
            readings: &readings,
            adjustments: &self.adjustments,
            tests: &self.tests,
            bench: Some(&bench),
            drawings: &Drawings::default(),
        })
    }
}
