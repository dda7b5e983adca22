//! A report of an invented watch from an invented workshop.

use report::{
    Block, Cell, Chapter, Column, Date, Document, Fact, Letterhead, Paper, PaperWords, Picture,
    Table, Tone,
};

pub(crate) fn nothing() -> Document {
    Document {
        paper: Paper::A4,
        language: "en".to_owned(),
        letterhead: Letterhead::default(),
        title: "Receipt".to_owned(),
        subtitle: String::new(),
        facts: Vec::new(),
        chapters: Vec::new(),
        foot: String::new(),
        words: PaperWords::default(),
        date: Date { year: 2026, month: 2, day: 9 },
        identifier: "nothing".to_owned(),
    }
}

fn fact(name: &str, value: &str) -> Fact {
    Fact { name: name.to_owned(), value: value.to_owned() }
}

/// Eight by eight dots of red, as PNG.
pub(crate) fn png() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 8, 8);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[200, 40, 30].repeat(64)).unwrap();
    writer.finish().unwrap();
    bytes
}

fn drawing() -> Vec<u8> {
    br##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 200" width="600" height="200">
<rect x="1" y="1" width="598" height="198" fill="none" stroke="#888"/>
<path d="M10 150 L150 120 L300 90 L450 70 L590 20" fill="none" stroke="#23634a" stroke-width="3"/>
</svg>"##
        .to_vec()
}

pub(crate) fn long_table(rows: usize) -> Document {
    let table = Table {
        caption: String::new(),
        columns: vec![Column::wide("Where"), Column::text("Lubricant")],
        rows: (0..rows)
            .map(|n| vec![Cell::plain(format!("point {n}")), Cell::plain("thin oil")])
            .collect(),
        is_dense: false,
    };
    let blocks = vec![Block::Table(table)];
    let chapter = Chapter { title: "Oiled".to_owned(), new_page: false, blocks };
    Document { chapters: vec![chapter], ..nothing() }
}

pub(crate) fn report() -> Document {
    let picture = |bytes: Vec<u8>, words: &str, caption: &str| Picture {
        bytes,
        words: words.to_owned(),
        caption: caption.to_owned(),
    };
    let rates = Table {
        caption: "Rates before and after, seconds a day".to_owned(),
        columns: vec![
            Column::wide("Position"),
            Column::numbers("Before"),
            Column::numbers("After"),
            Column::numbers("Amplitude"),
        ],
        rows: [
            ["CH dial up", "+42.0 ± 1.1", "+4.2 ± 0.3", "287°"],
            ["6H 6 up", "−61.3 ± 1.4", "−8.1 ± 0.4", "251°"],
        ]
        .map(|row| row.map(Cell::plain).to_vec())
        .to_vec(),
        is_dense: false,
    };
    let photo =
        || picture(png(), "the movement from the back", "Before: dried oil on the barrel bridge");
    Document {
        letterhead: Letterhead {
            name: "Workshop of the Three Pigeons".to_owned(),
            lines: vec!["Upper Mill 4".to_owned(), "Tidewell".to_owned()],
            logo: Some(picture(drawing(), "a line that rises", "")),
        },
        title: "Service report".to_owned(),
        subtitle: "A wrist watch with two balances, job 17".to_owned(),
        facts: vec![
            fact("For", "Jøran Říčný-Çelik"),
            fact("Watch", "steel, white dial"),
            fact("Came in", "9 February 2026"),
            fact("Also asked for by", "Яна Ковальчук\nΜαρία Παπαδοπούλου"),
        ],
        chapters: vec![
            Chapter {
                title: "What was found".to_owned(),
                new_page: false,
                blocks: vec![
                    Block::Text("It stopped at night.\n\nThe oil had dried.".to_owned()),
                    Block::Text(
                        "#let it = \"*kept* as _typed_\" $x$ @here <there> https://example.org"
                            .to_owned(),
                    ),
                    Block::Remark(Tone::Mind, "The crystal has a crack.".to_owned()),
                    Block::List(vec!["a worn pinion".to_owned(), "a weak mainspring".to_owned()]),
                    Block::Photos(vec![photo(), photo(), photo()]),
                ],
            },
            Chapter {
                title: "How it runs".to_owned(),
                new_page: true,
                blocks: vec![
                    Block::Table(rates),
                    Block::Picture(picture(drawing(), "Drift of balance A, rising", "Drift")),
                    Block::Heading("How sure this is".to_owned()),
                    Block::Note("The figure after ± is one standard uncertainty.".to_owned()),
                    Block::Remark(Tone::Good, "Every position is within the target.".to_owned()),
                    Block::Steps(vec!["barrel".to_owned(), "train".to_owned()]),
                    Block::Facts(vec![fact("Mainspring", "replaced")]),
                    Block::Signatures(vec!["Repairer".to_owned(), "Owner".to_owned()]),
                ],
            },
        ],
        foot: "Job 17, 9 February 2026".to_owned(),
        identifier: "job 17".to_owned(),
        ..nothing()
    }
}
