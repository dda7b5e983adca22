//! A workshop of arbitrary content, and all that stands in its tables.

use crate::given::{self, later};
use bytes::Bytes;
use jobs::*;
use proptest::prelude::*;
use quantities::{Measured, Position};
use sea_orm::{ConnectionTrait, QueryResult, Statement};
use store::{Clock, Database, Error, NewLogEntry, Store};
use uuid::Uuid;

/// One thing that is done to a workshop, made of arbitrary values.
#[derive(Debug, Clone)]
pub(crate) struct Deed {
    what: u8,
    on: usize,
    words: String,
    more: String,
    numbers: [f64; 8],
    when: i64,
}

pub(crate) fn deed() -> impl Strategy<Value = Deed> {
    use prop::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    let number = prop_oneof![
        3 => -100.0..100.0_f64,
        1 => NORMAL | SUBNORMAL | ZERO | POSITIVE | NEGATIVE,
    ];
    let words = "[\\PC\u{e9}\u{1f570}\"\\\\ ]{1,24}";
    let numbers = prop::array::uniform8(number);
    (0..20_u8, 0..1_000_usize, words, "(?s)[\\PC\n\t]{0,60}", numbers, -1_000..1_000_000_i64)
        .prop_map(|(what, on, words, more, numbers, when)| Deed {
            what,
            on,
            words,
            more,
            numbers,
            when,
        })
}

#[derive(Default)]
struct Made {
    owners: Vec<OwnerId>,
    watches: Vec<WatchId>,
    jobs: Vec<JobId>,
    entries: u128,
}

fn pick<T: Copy>(from: &[T], n: usize) -> Option<T> {
    (!from.is_empty()).then(|| from[n % from.len()])
}

/// Carries all of it out. What may not be kept is not.
pub(crate) async fn fill(store: &Store, deeds: &[Deed]) {
    let mut made = Made::default();
    for deed in deeds {
        match carry_out(store, &mut made, deed).await {
            Ok(()) | Err(Error::Invalid(_) | Error::InBin(_) | Error::Conflict(_)) => {}
            Err(Error::NotFound(_)) => {}
            Err(other) => panic!("{other}"),
        }
    }
}

async fn carry_out(store: &Store, made: &mut Made, deed: &Deed) -> Result<(), Error> {
    let Deed { what, on, words, more, numbers, when } = deed.clone();
    let by = later(when);
    let [a, b, c, d, e, f, g, h] = numbers;
    let measured = |value: f64, sd: f64| Some(Measured { value, sd });
    let job = pick(&made.jobs, on);
    match (what, job) {
        (0, _) => {
            let owner =
                Owner { name: words, contact: vec![more.replace(['\n', '\t'], " ")], notes: more };
            made.owners.push(store.create(&by, owner).await?.id);
        }
        (1, _) => {
            let mut watch = given::watch(pick(&made.owners, on), &words);
            watch.notes = more;
            watch.target_s_per_d = Some(a);
            made.watches.push(store.create(&by, watch).await?.id);
        }
        (2 | 3, _) => {
            if let Some(watch) = pick(&made.watches, on) {
                made.jobs.push(store.create(&by, given::job(watch, &words)).await?.id);
            }
        }
        (4, Some(job)) => {
            store.create(&by, given::part(job, &words)).await?;
        }
        (5, Some(job)) => {
            store.create(&by, given::estimate(job)).await?;
        }
        (6, Some(job)) => {
            let content = [&[0xff, 0xd8, 0xff], more.as_bytes()].concat();
            let media = store.put_media(Bytes::from(content)).await?;
            store.create(&by, given::photo(job, media, &words)).await?;
        }
        (7 | 8, Some(job)) => {
            let sound = store.put_media(Bytes::from(format!("fLaC{words}"))).await?;
            let mut reading = given::reading(job, (on % 2 == 0).then_some(sound));
            reading.position = pick(&[Position::H6, Position::H12], on);
            reading.settings.lift_angles_deg = vec![a, b];
            reading.settings.clock_error_ppm = measured(c, d);
            reading.balances[0].rate_s_per_d = measured(e, f);
            reading.balances[0].amplitude_deg = measured(g, h);
            reading.balances[0].measured_beats_per_hour = Some(a);
            reading.note = more;
            store.create(&by, reading).await?;
        }
        (9, _) => {
            let log = "{\"schema\":\"endshake.template/1\",\"name\":\"x\",\"steps\":[]}".to_owned();
            store.create(&by, Template { name: words, note: more, log }).await?;
        }
        (10, _) => {
            store.create(&by, given::bottle(&words)).await?;
        }
        (11, Some(job)) => {
            let mut adjustment = given::adjustment(job, &more);
            adjustment.amount = Some(a);
            store.create(&by, adjustment).await?;
        }
        (12, Some(job)) if on % 2 == 0 => {
            store.create(&by, given::final_test(job, &more)).await?;
        }
        (12, Some(job)) => {
            let mut trial = given::trial(job, &more);
            trial.days[3] = Some(TrialRate::entered(b));
            store.create(&by, trial).await?;
        }
        (13 | 14, Some(job)) => {
            made.entries += 1;
            let note = serde_json::to_string(&words).unwrap();
            let body = entry_body(made.entries, &note);
            let id = Uuid::from_u128(made.entries);
            let found_by = vec![words.clone(), more];
            let entry = NewLogEntry { id, at: by.at, body, title: words, found_by };
            store.append_entries(&by, job, &[entry]).await?;
        }
        (15, _) => store.set(&by, &format!("key {}", on % 3), &more).await?,
        (16, _) => {
            let clock =
                Clock { device: words, error_ppm: a, sd_ppm: b.abs(), how: "quartz".into() };
            store.keep_clock(&by, clock).await?;
        }
        (17, Some(job)) => {
            let kept = store.get(job).await?;
            let mut value = kept.value.clone();
            value.notes = more;
            value.hand_over(by.at);
            store.change(&by, job, kept.version, value).await?;
        }
        (18, Some(job)) => match on % 5 {
            0 => store.delete(&by, job).await?,
            1 => {
                store.restore(&by, job).await?;
            }
            2 => {
                if let Some(watch) = pick(&made.watches, on) {
                    store.delete(&by, watch).await?;
                }
            }
            3 => {
                if let Some(owner) = pick(&made.owners, on) {
                    store.delete(&by, owner).await?;
                }
            }
            _ => {
                store.empty_bin(&by, Moment::from_ms(i64::MAX)).await?;
            }
        },
        (19, _) => {
            if let Some(owner) = pick(&made.owners, on) {
                let kept = store.get(owner).await?;
                let value = Owner { name: words, ..kept.value };
                store.change(&by, owner, kept.version, value).await?;
            }
        }
        _ => {}
    }
    Ok(())
}

/// An entry in its form, with a note in JSON.
pub(crate) fn entry_body(n: u128, note: &str) -> String {
    let id = Uuid::from_u128(n);
    let step = Uuid::from_u128(n + 1_000_000);
    format!(
        "{{\"id\":\"{id}\",\"at\":\"2026-03-02T09:00:00.000Z\",\"change\":{{\"kind\":\"annotated\",\
         \"step\":\"{step}\",\"note\":{note}}}}}"
    )
}

/// Tables with their columns, `u` for ids, `i` for whole numbers, `f` for others, `b` for yes or no,
/// `t` for texts; `#` for numbers of which only the order counts.
const TABLES: [&str; 20] = [
    "record: id=u kind=t parent=u version=i created_ms=i changed_ms=i deleted_ms=i deleted_with=u \
     title=t doc=#",
    "owner: id=u name=t contact=t notes=t",
    "watch: id=u description=t calibre=t serial_numbers=t balances=t notes=t movement=t \
     target_s_per_d=f",
    "job: id=u number=i complaint=t condition=t notes=t due=t moves=t stage=t handed_over_ms=i \
     to_watch=t next_service=t",
    "part: id=u what=t quantity=i supplier=t state=t cost_minor_units=i cost_currency=t",
    "estimate: id=u currency=t lines=t answer=t answered_ms=i",
    "photo: id=u media=t caption=t width_px=i height_px=i taken_ms=i",
    "reading: id=u position=t wind=t taken_ms=i duration_s=f device=t settings=t program=t sound=t \
     balances=t relation=t lost_samples=i warnings=t note=t",
    "template: id=u name=t note=t log=t",
    "bottle: id=u class=t name=t opened=t expires=t note=t used_up=b",
    "adjustment: id=u balance=t at_ms=i moved_by=t amount=f note=t",
    "trial: id=u balance=t size=t begun_ms=i rate_sd_s_per_d=f days=t note=t",
    "final_test: id=u balance=t tested=t way=t standard=t what=t instrument=t conditions=t done_ms=i \
     figures=t signs=t photos=t readings=t outcome=t note=t",
    "log_entry: id=u job=u number=# at_ms=i kept_ms=i device=t body=t found_by=t",
    "change: seq=# at_ms=i device=t action=t subject=t subject_id=t parent=u title=t fields=t",
    "clock: id=u device=t error_ppm=f sd_ppm=f how=t found_ms=i",
    "setting: key=t value=t changed_ms=i version=i",
    "group_word: root=u word=t",
    "word: word=t doc=#",
    "counter: name=t",
];

/// All that stands in the tables of a store, and its sounds and photos, as lines.
pub(crate) async fn dump(store: &Store) -> Vec<String> {
    let url = match &store.places().database {
        Database::File(path) => format!("sqlite:{}", path.display()),
        Database::Server(url) => url.clone(),
    };
    let database = sea_orm::Database::connect(url).await.unwrap();
    let mut lines = Vec::new();
    for table in TABLES {
        let (name, columns) = table.split_once(": ").unwrap();
        let columns: Vec<(&str, &str)> =
            columns.split_whitespace().map(|column| column.split_once('=').unwrap()).collect();
        let names: Vec<String> = columns.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let sql = format!("SELECT {} FROM \"{name}\"", names.join(", "));
        let ask = Statement::from_string(database.get_database_backend(), sql);
        let rows = database.query_all_raw(ask).await.unwrap();
        let numbers = |column: &str| {
            let mut all: Vec<i64> =
                rows.iter().map(|row| row.try_get("", column).unwrap()).collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        let ranked: Vec<(&str, Vec<i64>)> = columns
            .iter()
            .filter(|(_, of)| *of == "#")
            .map(|(column, _)| (*column, numbers(column)))
            .collect();
        for row in &rows {
            let cells = columns.iter().map(|(column, of)| cell(row, column, of, &ranked));
            lines.push(format!("{name}: {}", cells.collect::<Vec<_>>().join(" | ")));
        }
    }
    database.close().await.unwrap();
    lines.sort();
    for hash in named(&lines) {
        let content = store.media(&hash.parse().unwrap()).await.unwrap();
        lines.push(format!("media {hash}: {content:?}"));
    }
    lines
}

fn cell(row: &QueryResult, column: &str, of: &str, ranked: &[(&str, Vec<i64>)]) -> String {
    match of {
        "u" => format!("{:?}", row.try_get::<Option<Uuid>>("", column).unwrap()),
        "i" => format!("{:?}", row.try_get::<Option<i64>>("", column).unwrap()),
        "f" => {
            let number = row.try_get::<Option<f64>>("", column).unwrap();
            format!("{:?}", number.map(f64::to_bits))
        }
        "b" => format!("{:?}", row.try_get::<bool>("", column).unwrap()),
        "#" => {
            let number: i64 = row.try_get("", column).unwrap();
            let (_, all) = ranked.iter().find(|(own, _)| *own == column).unwrap();
            format!("{}", all.partition_point(|own| *own < number))
        }
        _ => format!("{:?}", row.try_get::<Option<String>>("", column).unwrap()),
    }
}

/// Names of media: of photos the second column, of readings the ninth.
fn named(lines: &[String]) -> Vec<String> {
    let mut named = Vec::new();
    for line in lines {
        let column = match line.split_once(": ") {
            Some(("photo", _)) => 1,
            Some(("reading", _)) => 8,
            _ => continue,
        };
        let cell = line.split(" | ").nth(column).unwrap();
        named.extend(cell.split('"').find(|word| word.len() == 64).map(str::to_owned));
    }
    named.sort();
    named.dedup();
    named
}
