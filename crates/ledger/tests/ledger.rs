//! Older paper records, as people keep them in tables.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use jobs::{Money, Record, Stage};
use ledger::{Ledger, Unfit, read};
use proptest::prelude::*;
use quantities::{Measured, Position};

const BOOK: &str = "owner,contact,watch,calibre,serial,mark,in,out,complaint,done,price,currency,CH,6H,rate_sd
Ada Stone,12 Mill Lane,steel wristwatch,13 lines,A-123,,1998-03-02,1998-03-20,\"loses, a minute\",cleaned,120.50,EUR,+4,-2.5,1.5
Ada Stone,12 Mill Lane,Steel  wristwatch,,a-123,,2003-05-01,2003-05-09,stopped,new mainspring,95,EUR,3,,
,,pocket watch,,,K 17,4.7.2001,here,,,,,,,
";

fn taken(text: &str) -> Ledger {
    let ledger = read(text.as_bytes()).unwrap();
    assert_eq!(ledger.bad, []);
    ledger
}

fn bad(rows: &str) -> Vec<(u64, String)> {
    let text = format!("owner,watch,in,out,price,currency,CH,rate_sd\n{rows}");
    let bad = read(text.as_bytes()).unwrap().bad;
    bad.into_iter().map(|row| (row.line, row.what)).collect()
}

#[test]
fn a_book_becomes_visits() {
    let Ledger { visits, .. } = taken(BOOK);
    assert_eq!(visits.len(), 3);
    let [first, second, third] = &visits[..] else { panic!() };
    // One owner, one watch, two visits.
    assert_eq!(first.owner.as_ref().unwrap().0, second.owner.as_ref().unwrap().0);
    assert_eq!(first.watch.0, second.watch.0);
    assert_ne!(first.job.0, second.job.0);
    assert_eq!(first.watch.1.serial_numbers, ["A-123"]);
    let job = &first.job.1;
    assert_eq!((job.complaint.as_str(), job.notes.as_str()), ("loses, a minute", "cleaned"));
    // 1998-03-02T12:00Z and 1998-03-20T12:00Z, by `date -u -d` of GNU coreutils 9.1.
    assert_eq!(job.moves[0].at.ms(), 888_840_000_000);
    assert_eq!(job.handed_over.unwrap().ms(), 890_395_200_000);
    assert_eq!(job.stage(), Stage::HandOver);
    let estimate = &first.estimate.as_ref().unwrap().1;
    let Money { minor_units, currency } = estimate.total().unwrap();
    assert_eq!((minor_units, currency.letters()), (12_050, "EUR"));
    let rates: Vec<_> = first
        .readings
        .iter()
        .map(|(_, reading)| (reading.position.unwrap(), reading.balances[0].rate_s_per_d.unwrap()))
        .collect();
    let wanted =
        [(Position::CH, Measured::new(4.0, 1.5)), (Position::H6, Measured::new(-2.5, 1.5))];
    assert_eq!(rates, wanted);
    // A rate of which nobody knows how good it is is no reading.
    assert!(second.readings.is_empty());
    assert_eq!(second.job.1.notes, "new mainspring\nRates noted, s/d: CH 3.");
    assert_eq!((&third.owner, third.job.1.is_open()), (&None, true));
    assert_eq!(third.line, 4);
    assert_eq!(third.watch.1.title(), "pocket watch");
}

/// Two rows of one watch say different things of it: one watch, and nothing is lost.
#[test]
fn what_rows_say_of_one_watch_is_joined() {
    let text = "owner,watch,serial,mark,calibre,in,out\n\
                Ada,alarm watch,A-1,,,2001-01-01,2001-01-02\n\
                Bo,alarm watch,A-1,K 7,cal. 9,2002-01-01,2002-01-02\n\
                Bo,Alarm Watch,a-1,,cal. 10,2003-01-01,2003-01-02\n";
    let Ledger { visits, .. } = taken(text);
    for visit in &visits {
        assert_eq!(visit.watch, visits[0].watch);
    }
    let watch = &visits[0].watch.1;
    assert_eq!(
        (watch.calibre.as_str(), &watch.serial_numbers[..]),
        ("cal. 9", &["A-1".into(), "K 7".into()][..])
    );
    assert_eq!(watch.owner, visits[0].owner.as_ref().map(|(id, _)| *id));
    assert_eq!(visits[1].job.1.notes, "Brought by Bo.");
    assert_eq!(visits[2].job.1.notes, "Brought by Bo.\nCalibre as written: cal. 10.");
}

/// Whatever stands between the columns, and with the mark that some programs put before a text.
#[test]
fn tables_of_other_programs_say_the_same() {
    let plain = "watch,mark,in,out,price,currency,CH\nalarm watch,K1,2001-07-04,2001-07-05,1250.50,EUR,-2.5\n";
    let semicolons = "watch;mark;in;out;price;currency;CH\r\nalarm watch;K1;4.7.2001;5.07.2001;1250,50;eur;\u{2212}2,5\r\n";
    let tabs = plain.replace(',', "\t");
    let marked = format!("\u{feff}{semicolons}");
    let mut wanted = taken(plain);
    assert_eq!(wanted, taken(&tabs));
    // As it was noted.
    wanted.visits[0].job.1.notes = "Rates noted, s/d: CH \u{2212}2,5.".into();
    assert_eq!(wanted, taken(semicolons));
    assert_eq!(wanted, taken(&marked));
}

#[test]
fn the_same_row_gives_the_same_records() {
    assert_eq!(taken(BOOK), taken(BOOK));
    let mut rows: Vec<&str> = BOOK.lines().collect();
    rows.swap(1, 2);
    let ids = |text: &str| {
        let mut ids: Vec<_> = taken(text).visits.iter().map(|visit| visit.job.0).collect();
        ids.sort();
        ids
    };
    assert_eq!(ids(&rows.join("\n")), ids(BOOK));
}

#[test]
fn each_bad_row_is_told_with_its_line_and_what_to_do() {
    let told = bad("Ada,,2001-07-04,2001-07-05,,,,
Ada,watch,,2001-07-05,,,,
Ada,watch,2001-07-04,,,,,
Ada,watch,7/4/2001,2001-07-05,,,,
Ada,watch,2001-02-30,2001-07-05,,,,
Ada,watch,2001-07-04,2001-07-03,,,,
Ada,watch,2001-07-04,2001-07-05,12,,,
Ada,watch,2001-07-04,2001-07-05,12.345,EUR,,
Ada,watch,2001-07-04,2001-07-05,\"1,200.50\",EUR,,
Ada,watch,2001-07-04,2001-07-05,12,euros,,
Ada,watch,2001-07-04,2001-07-05,,,fast,
Ada,watch,2001-07-04,2001-07-05,,,1e999,
Ada,watch,2001-07-04,2001-07-05,,,NaN,
Ada,watch,2001-07-04,2001-07-05,,,1,0
,watch,2001-07-04,2001-07-05,,,,
Ada,watch,2001-07-04,2001-07-05
Ada,watch,2001-07-04,2001-07-05,,,,
Ada,Watch,2001-07-04,2001-07-06,,,,
");
    let wanted = [
        "watch is empty",
        "in is empty",
        "out is empty",
        "in cannot be “7/4/2001”: write the day as",
        "in cannot be “2001-02-30”",
        "out lies before in",
        "currency is empty",
        "price cannot be “12.345”: it has more decimals",
        "price cannot be “1,200.50”: write it without marks",
        "currency cannot be “euros”",
        "CH cannot be “fast”: this is not a number",
        "CH cannot be “1e999”",
        "CH cannot be “NaN”",
        "rate_sd cannot be “0”",
        "give the owner, a serial number or a mark",
        "this row has 4 values",
        "the same watch on the same day as in line 18",
    ];
    assert_eq!(told.len(), wanted.len(), "{told:#?}");
    let lines = (2..=17).chain([19]);
    for (((line, what), wanted), at) in told.iter().zip(wanted).zip(lines) {
        assert_eq!(*line, at, "{what}");
        assert!(what.contains(wanted) && what.ends_with('.'), "{wanted:?}: {what}");
    }
}

#[test]
fn a_table_that_cannot_be_read_says_why() {
    let says = |text: &[u8]| read(text).unwrap_err();
    assert_eq!(says(b""), Unfit::Empty);
    assert_eq!(says(b"watch,in,out\n"), Unfit::Empty);
    assert_eq!(says(b"watch,in,out\nK\xfchn,1,2\n"), Unfit::NotUtf8);
    assert_eq!(says(b"watch,in\na,2001-01-01\n"), Unfit::Missing("out"));
    assert_eq!(says(b"watch,in,out,In\na,b,c,d\n"), Unfit::Twice("in".into()));
    let other = says(b"watch,in,out,colour\na,b,c,d\n").to_string();
    assert!(other.contains("“colour”") && other.contains("complaint"), "{other}");
}

proptest! {
    /// Any text: a sentence, or visits that may be kept and rows that are told with a line that is
    /// there.
    #[test]
    fn any_table_is_read_or_told(
        head in prop::collection::vec("owner|watch|in|out|price|currency|CH|mark|serial", 1..9),
        rows in prop::collection::vec(
            prop::collection::vec("[a-z]{0,5}|2001-0[1-9]-0[1-9]|-?[0-9.,]{0,6}|EUR|here|\"|\\PC{0,6}", 0..9),
            0..6,
        ),
        between in ",|;|\t",
    ) {
        let rows = rows.iter().map(|row| row.join(&between));
        let text = [head.join(&between)].into_iter().chain(rows).collect::<Vec<_>>().join("\n");
        match read(text.as_bytes()) {
            Err(unfit) => prop_assert!(unfit.to_string().ends_with('.')),
            Ok(ledger) => {
                let lines = text.split('\n').count() as u64;
                for bad in &ledger.bad {
                    prop_assert!((1..=lines).contains(&bad.line), "{}", bad);
                    prop_assert!(!bad.what.contains('\n'));
                }
                for visit in &ledger.visits {
                    prop_assert_eq!(visit.job.1.check(), Ok(()));
                    prop_assert_eq!(visit.watch.1.check(), Ok(()));
                }
            }
        }
    }
}
