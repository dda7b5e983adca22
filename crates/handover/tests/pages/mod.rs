//! Pages as they look: rendered by Poppler's `pdftoppm`, which shares no code with what printed them,
//! and compared with pictures that a person has looked at.
//!
//! Where pages are meant to look otherwise: run with `ENDSHAKE_PAGES=write`, and open every page of
//! the PDF whose place it tells.

use crate::WITH_COLLEAGUE;
use crate::invented::{Invented, photo};
use handover::{estimate, receipt, service};
use jobs::Answer;
use rebuild::Log;
use report::{Block, Cell, Column, Document, Fonts, Paper, Table, print};
use std::fs::{self, File};
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Dots an inch: a line of text is five or six dots high.
const DPI: &str = "32";
/// Dots of a block, each way: some 5 mm of the page, about a line of text.
const BLOCK: usize = 6;
/// By how much the mean of a block may differ, of 255. Versions of Poppler smooth edges differently:
/// by a tenth of a dot, which at an edge across a block is a tenth of its 6 rows, 255 / 60; a line of
/// text that is gone or has moved makes its block brighter by 25 and more.
const MOST: f64 = 16.0;

/// Dots of a page, row by row, 0 black to 255 white.
struct Dots {
    width: usize,
    all: Vec<u8>,
}

impl Dots {
    /// From what `pdftoppm` writes: "P5", width, height and the brightest value, each ended by white
    /// space, then a byte a dot (PGM, netpbm's pgm(5)).
    fn from_pgm(path: &Path) -> Self {
        let bytes = fs::read(path).unwrap();
        let head: Vec<&[u8]> = bytes.splitn(5, u8::is_ascii_whitespace).collect();
        let [b"P5", width, _, b"255", dots] = head[..] else { panic!("{path:?} is no grey PGM") };
        let width = std::str::from_utf8(width).unwrap().parse().unwrap();
        Self { width, all: dots.to_vec() }
    }

    fn write_png(&self, path: &Path) {
        let height = self.all.len() / self.width;
        let mut encoder =
            png::Encoder::new(File::create(path).unwrap(), self.width as u32, height as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_compression(png::Compression::High);
        encoder.write_header().unwrap().write_image_data(&self.all).unwrap();
    }

    fn read_png(path: &Path) -> Self {
        let decoder = png::Decoder::new(BufReader::new(File::open(path).unwrap()));
        let mut reader = decoder.read_info().unwrap();
        let mut all = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut all).unwrap();
        assert_eq!(info.color_type, png::ColorType::Grayscale, "{path:?}");
        Self { width: info.width as usize, all }
    }

    /// Means of its blocks, row by row.
    fn blocks(&self) -> Vec<f64> {
        let rows: Vec<&[u8]> = self.all.chunks(self.width).collect();
        let mean = |rows: &[&[u8]], left: usize| {
            let right = (left + BLOCK).min(self.width);
            let dots: Vec<f64> =
                rows.iter().flat_map(|row| &row[left..right]).map(|dot| f64::from(*dot)).collect();
            dots.iter().sum::<f64>() / dots.len() as f64
        };
        let across = (0..self.width).step_by(BLOCK);
        rows.chunks(BLOCK).flat_map(|rows| across.clone().map(|left| mean(rows, left))).collect()
    }

    /// The greatest difference of two blocks; infinite where the pages are of two sizes.
    fn differ(&self, other: &Self) -> f64 {
        if (self.width, self.all.len()) != (other.width, other.all.len()) {
            return f64::INFINITY;
        }
        let pairs = self.blocks().into_iter().zip(other.blocks());
        pairs.map(|(one, other)| (one - other).abs()).fold(0.0, f64::max)
    }
}

/// Pages of a document as PGM files, in a folder of their own.
fn rendered(document: &Document, folder: &Path) -> Vec<PathBuf> {
    let fonts = [plot::REGULAR_TTF, plot::SEMI_BOLD_TTF].map(<[u8]>::to_vec);
    let printed = print(document, &Fonts::with(fonts)).unwrap();
    let pdf = folder.join("it.pdf");
    fs::write(&pdf, &printed.pdf).unwrap();
    let done = Command::new("pdftoppm")
        .args(["-r", DPI, "-gray"])
        .args([&pdf, &folder.join("page")])
        .status()
        .unwrap_or_else(|error| panic!("pdftoppm: {error}; `./dev test` installs it"));
    assert!(done.success());
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut pages: Vec<PathBuf> =
        files.filter(|path| path.extension().is_some_and(|ending| ending == "pgm")).collect();
    pages.sort();
    assert_eq!(pages.len(), printed.pages);
    pages
}

fn looks_as_before(name: &str, document: &Document) {
    let folder = tempfile::tempdir().unwrap();
    let pages = rendered(document, folder.path());
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages").join(name);
    if std::env::var_os("ENDSHAKE_PAGES").is_some_and(|wish| wish == "write") {
        let _ = fs::remove_dir_all(&kept);
        fs::create_dir_all(&kept).unwrap();
        for (n, page) in pages.iter().enumerate() {
            Dots::from_pgm(page).write_png(&kept.join(format!("{}.png", n + 1)));
        }
        println!("{name}: the PDF lies in {}", folder.keep().display());
        return;
    }
    let wanted = fs::read_dir(&kept).unwrap().count();
    let mut wrong = Vec::new();
    if wanted != pages.len() {
        wrong.push(format!("{} pages, not {wanted}", pages.len()));
    }
    for (n, page) in pages.iter().take(wanted).enumerate() {
        let by = Dots::from_pgm(page).differ(&Dots::read_png(&kept.join(format!("{}.png", n + 1))));
        if by > MOST {
            wrong.push(format!("page {} differs by {by:.0} of 255 in one place", n + 1));
        }
    }
    if !wrong.is_empty() {
        // Left there to be looked at.
        let folder = folder.keep();
        panic!(
            "{name}: {}. Look at {}, beside {}.",
            wrong.join("; "),
            folder.display(),
            kept.display()
        );
    }
}

/// Without a log: what that says hangs on the rules of the trade, which are not a matter of looks.
#[test]
fn a_report_on_two_balances() {
    let mut two = Invented::of_two_balances();
    two.log = Log::default();
    // One of the work, and one of a test that was done again.
    two.photos.extend([photo(94, 49, "both trains in"), photo(95, 63, "bubbles at the crown")]);
    two.tests[0].photos = vec![two.photos[3].0];
    let report = two.with_case(|case| service(case, &WITH_COLLEAGUE).unwrap());
    looks_as_before("report", &report);
}

#[test]
fn a_receipt_on_letter() {
    let receipt = Invented::new().with_case(receipt);
    looks_as_before("receipt", &Document { paper: Paper::Letter, ..receipt });
}

/// Before the owner has answered: with the lines to sign on.
#[test]
fn an_estimate_to_be_signed() {
    let mut invented = Invented::new();
    let asked = invented.estimate.as_mut().unwrap();
    (asked.answer, asked.answered) = (Answer::NotAsked, None);
    looks_as_before("estimate", &invented.with_case(estimate));
}

/// What is looked up: a dense table, and more steps than stand in one column.
#[test]
fn long_lists() {
    let mut document = Invented::empty().with_case(receipt);
    let row = |n: usize| {
        let place = format!("pivot {n}, where it turns in the bridge\nand the face that bears it");
        vec![Cell::plain(format!("class {n}")), Cell::plain(place)]
    };
    let table = Table {
        caption: "Classes and places".to_owned(),
        columns: vec![Column::text("Class"), Column::wide("Where")],
        rows: (1..40).map(row).collect(),
        is_dense: true,
    };
    let step = |n: usize| match n % 7 {
        0 => format!("bridge {n} (stripes up); 3 screws, 2.9 mm, flat head, on the rim"),
        _ => format!("wheel {n}"),
    };
    let short = vec!["a worn pinion".to_owned(), "a weak mainspring".to_owned()];
    document.chapters[0].blocks = vec![
        Block::Table(table),
        Block::Heading("As it went together".to_owned()),
        Block::Steps((1..90).map(step).collect()),
        Block::Heading("Besides".to_owned()),
        Block::List(short),
    ];
    looks_as_before("long-lists", &document);
}

/// What is compared tells a page with a line less, or with its lines moved by half of one, from the
/// page itself.
#[test]
fn a_line_that_is_gone_or_moved_is_noticed() {
    let white = |rows: usize| vec![255; 240 * rows];
    // A line of text at this size: a third of its dots dark, five rows of them.
    let line = || -> Vec<u8> { (0..240 * 5).map(|n| if n % 3 == 0 { 40 } else { 255 }).collect() };
    let page = |before: usize, lines: [Vec<u8>; 2]| {
        let [one, other] = lines;
        let all = [white(before), one, white(4), other, white(40 - before)].concat();
        Dots { width: 240, all }
    };
    let whole = page(12, [line(), line()]);
    assert_eq!(whole.differ(&page(12, [line(), line()])), 0.0);
    assert!(whole.differ(&page(12, [line(), white(5)])) > MOST);
    assert!(whole.differ(&page(15, [line(), line()])) > MOST);
}
