//! What is written is read again as it was, by this program and by others.

use crate::given;
use archive::{Item, Ms, Reader, Sort, Unwritten, Writer, check};
use jobs::{Adjustment, AdjustmentBy, Owner, Reading};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use quantities::{Measured, Position};
use std::io::Cursor;
use uuid::Uuid;

fn read(archive: &[u8]) -> Vec<Item> {
    let mut reader = Reader::open(Cursor::new(archive)).unwrap();
    check(&mut reader, &mut |_, _| true).unwrap();
    (0..reader.pieces()).flat_map(|n| reader.items(n).unwrap()).collect()
}

#[test]
fn all_comes_back_to_the_last_bit() {
    let archive = given::archive();
    assert_eq!(read(&archive), given::items());
    let mut reader = Reader::open(Cursor::new(&archive)).unwrap();
    assert_eq!(reader.media().len(), 2);
    for (n, wanted) in [(0, given::PHOTO), (1, given::SOUND)] {
        let mut found = Vec::new();
        let mut blocks = reader.blocks(n).unwrap();
        while let Some(block) = blocks.next_block().unwrap() {
            found.extend_from_slice(block);
        }
        assert_eq!(found, wanted);
    }
    assert_eq!(reader.counts()["job"], 1);
    assert_eq!(reader.counts()["sound_files"], 1);
}

/// The same goes in, the same comes out, byte for byte.
#[test]
fn an_archive_depends_on_what_is_in_it_alone() {
    assert!(given::archive() == given::archive());
}

/// More than one file holds, in order, and what packs too tight to be unpacked again safely.
#[test]
fn long_ones_go_into_several_files() {
    let name = |n: u64| format!("{n} {}", "a".repeat(200));
    let owner = |n: u64| Owner {
        name: name(n),
        contact: vec!["b".repeat(300); 40],
        notes: "c".repeat(20_000),
    };
    let items: Vec<Item> =
        (1..=400).map(|n| Item::Owner(given::whole(u128::from(n), 401 - n, owner(n)))).collect();
    let archive = given::archive_of(&items, &[]);
    let files: Vec<String> = given::files(&archive).into_iter().map(|(path, _)| path).collect();
    assert!(files.contains(&"data/owner-0003.jsonl".to_owned()), "{files:?}");
    assert_eq!(read(&archive), items);
}

#[test]
fn what_could_not_be_read_is_not_written() {
    let mut writer = Writer::new(Cursor::new(Vec::new()));
    let empty = Item::Owner(given::whole(1, 1, Owner::default()));
    let refused = writer.put(&empty).unwrap_err();
    assert!(refused.to_string().contains("Name: this is empty"), "{refused}");
    let orphan = given::items().remove(1);
    assert!(matches!(writer.put(&orphan), Err(Unwritten::Unfit { .. })));
    writer.begin_media(Sort::Photo, given::hash(b"<svg/>")).unwrap();
    assert!(matches!(writer.media_block(b"<svg/>"), Err(Unwritten::Unfit { .. })));
}

/// As another reader of CSV, and the reader of Parquet that its own project gives, see it: the same
/// numbers, to the last bit.
#[test]
fn other_programs_read_the_tables() {
    let files = given::files(&given::archive());
    let file = |path: &str| files.iter().find(|(own, _)| own == path).unwrap().1.clone();
    let mut csv = csv::Reader::from_reader(Cursor::new(file("tables/readings-0001.csv")));
    let header = csv.headers().unwrap().clone();
    let rows: Vec<_> = csv.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    let column = |name: &str| header.iter().position(|own| own == name).unwrap();
    let number = |name: &str| rows[0][column(name)].parse::<f64>().unwrap();
    assert_eq!(number("rate_s_per_d").to_bits(), (-1.0_f64 / 3.0).to_bits());
    assert_eq!(number("rate_sd_s_per_d").to_bits(), 1e-300_f64.to_bits());
    assert_eq!(&rows[0][column("wind")], "full, =1+1");
    assert_eq!(&rows[0][column("job_number")], "7");
    assert_eq!(&rows[0][column("taken")], "2023-11-14T22:13:21.000Z");
    assert_eq!(&rows[1][column("balance")], "B");
    assert_eq!(&rows[1][column("rate_s_per_d")], "");

    let parquet = file("tables/readings-0001.parquet");
    let folder = std::env::temp_dir().join(format!("archive-{}.parquet", std::process::id()));
    std::fs::write(&folder, parquet).unwrap();
    let reader = SerializedFileReader::new(std::fs::File::open(&folder).unwrap()).unwrap();
    std::fs::remove_file(&folder).unwrap();
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    let field = |row: usize, name: &str| {
        let found = rows[row].get_column_iter().find(|(own, _)| *own == name);
        found.unwrap().1.clone()
    };
    assert_eq!(field(0, "rate_s_per_d"), Field::Double(-1.0 / 3.0));
    assert_eq!(field(0, "taken"), Field::TimestampMillis(given::at(1).ms()));
    assert_eq!(field(0, "beats_used"), Field::Long(i64::from(u32::MAX) + 7));
    assert_eq!(field(1, "rate_s_per_d"), Field::Null);
    assert_eq!(field(1, "balance"), Field::Str("B".into()));
    for name in ["repeats", "moves", "trial_days"] {
        let csv = file(&format!("tables/{name}-0001.csv"));
        assert_eq!(String::from_utf8(csv).unwrap().lines().count(), 2, "{name}");
    }
}

/// Columns of a table, and its rows.
fn table(files: &[(String, Vec<u8>)], path: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let bytes = &files.iter().find(|(own, _)| own == path).unwrap().1;
    let mut csv = csv::Reader::from_reader(Cursor::new(bytes));
    let texts = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect();
    let header = texts(csv.headers().unwrap());
    (header, csv.records().map(|record| texts(&record.unwrap())).collect())
}

#[test]
fn final_tests_are_a_row_for_each_number_and_sign() {
    let files = given::files(&given::archive());
    let (header, rows) = table(&files, "tables/final_tests-0001.csv");
    let column = |name: &str| header.iter().position(|own| own == name).unwrap();
    let tests: Vec<_> = given::items()
        .into_iter()
        .filter_map(|item| if let Item::FinalTest(test) = item { Some(test) } else { None })
        .collect();
    let all: usize =
        tests.iter().map(|t| (t.value.figures.len() + t.value.signs.len()).max(1)).sum();
    assert!(all > 1 && rows.len() == all, "{rows:?}");
    for test in &tests {
        for (code, figure) in &test.value.figures {
            let is_it = |row: &&Vec<String>| row[column("of")] == *code;
            let row = rows.iter().find(is_it).unwrap();
            assert_eq!(row[column("value")].parse(), Ok(figure.value));
            assert_eq!(row[column("value_sd")].parse().ok(), figure.sd);
            assert_eq!(row[column("test_id")], test.id.to_string());
            assert_eq!(row[column("kind")], test.value.kind.code());
        }
    }
    assert!(files.iter().any(|(path, _)| path == "tables/final_tests-0001.parquet"));
}

/// A job with these readings, moves and entries of its log, all of one job.
fn rates_of(items: Vec<Item>) -> Option<ratefile::RateFile> {
    let mut all: Vec<Item> = given::items().into_iter().take(3).collect();
    assert!(matches!(all.last(), Some(Item::Job(_))), "an owner, a watch and a job");
    all.extend(items);
    let files = given::files(&given::archive_of(&all, &[]));
    let rates = files.into_iter().find(|(path, _)| path.starts_with("tables/rates-"));
    let (path, csv) = rates?;
    assert_eq!(path, "tables/rates-0007.csv");
    let unsaid = ratefile::Unsaid { rate_sd: 9.0, amplitude_sd_deg: 9.0, beat_error_sd_ms: 9.0 };
    Some(ratefile::read(&String::from_utf8(csv).unwrap(), &unsaid).unwrap())
}

/// A reading of balance A, at a moment in a position.
fn read_at(n: u64, position: Position, wind: &str, rate: f64) -> Item {
    let mut reading = Reading {
        sound: None,
        position: Some(position),
        wind: wind.into(),
        taken: given::at(n as i64),
        ..given::reading()
    };
    reading.balances.truncate(1);
    reading.balances[0].rate_s_per_d = Some(Measured { value: rate, sd: 0.25 });
    Item::Reading(Box::new(given::whole(u128::from(1000 + n), 100 + n, reading)))
}

fn moved_at(n: u64, by: AdjustmentBy, amount: Option<f64>) -> Item {
    let (job, balance, at) = (given::job_id(), "A".into(), given::at(n as i64));
    let adjustment = Adjustment { job, balance, at, by, amount, note: "by hand".into() };
    Item::Adjustment(given::whole(u128::from(2000 + n), 200 + n, adjustment))
}

/// What a file says in order: rates, and moves as they are told.
fn said(file: &ratefile::RateFile) -> Vec<String> {
    let entry = |entry: &ratefile::Entry| match entry.what {
        ratefile::What::Read(ratefile::Reading { shown: ratefile::Shown::Rate(rate), .. }) => {
            assert_eq!(rate.sd, 0.25);
            format!("{:+}", rate.value)
        }
        ratefile::What::Moved { amount, .. } => format!("moved {amount:+}"),
        other => panic!("{other:?}"),
    };
    file.entries.iter().map(entry).collect()
}

#[test]
fn the_rate_sheet_of_a_job_is_a_file_that_the_reader_of_rate_sheets_reads() {
    let (ch, h6) = (Position::CH, Position::H6);
    let index = AdjustmentBy::Index;
    let file = rates_of(vec![
        read_at(1, ch, "full", 12.0),
        read_at(2, h6, "full", 9.0),
        // The same place once more: the last counts.
        read_at(3, ch, "", 11.0),
        // No state of wind that a rate sheet knows.
        read_at(4, ch, "as it came", 30.0),
        read_at(6, ch, "full", 4.5),
        read_at(7, ch, "24 h", 3.5),
        moved_at(5, index, Some(-0.5)),
    ])
    .unwrap();
    assert_eq!(said(&file), ["+9", "+11", "moved -0.5", "+4.5", "+3.5"]);
    let rounds = file.rounds(0.0).unwrap();
    assert_eq!(rounds.moves_not_seen, 0, "CH was read before it and after it");

    // What a rate sheet has no words for parts all before it from all after it.
    for between in [moved_at(5, index, None), moved_at(5, AdjustmentBy::Other, None)] {
        let file =
            rates_of(vec![read_at(1, ch, "full", 12.0), read_at(6, ch, "full", 4.5), between]);
        assert_eq!(said(&file.unwrap()), ["+4.5"]);
    }
    // So does work at the movement; a note to a step does not.
    for (kind, left) in [("placed", vec!["+4.5"]), ("annotated", vec!["+12", "+4.5"])] {
        let entry = given::items().into_iter().find(|item| matches!(item, Item::Entry(_)));
        let Some(Item::Entry(mut entry)) = entry else { panic!("an entry is given") };
        let step = Uuid::from_u128(77);
        entry.body = format!(
            r#"{{"id":"{step}","at":"2026-03-02T09:00:00.000Z","change":{{"kind":"{kind}","step":"{step}","note":"x"}}}}"#
        );
        if kind == "placed" {
            entry.body = entry.body.replace(r#","note":"x""#, "");
        }
        entry.at_ms = Ms::of(given::at(5));
        let file = rates_of(vec![
            read_at(1, h6, "full", 12.0),
            read_at(6, ch, "full", 4.5),
            Item::Entry(entry),
        ]);
        assert_eq!(said(&file.unwrap()), left, "{kind}");
    }
    // Where there is no rate there is no file.
    assert!(rates_of(vec![read_at(1, ch, "as it came", 1.0)]).is_none());
}
