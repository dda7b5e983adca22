//! What is written is read again as it was, by this program and by others.

use crate::given;
use archive::{Item, Reader, Sort, Unwritten, Writer, check};
use jobs::Owner;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use std::io::Cursor;

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
