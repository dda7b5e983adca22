//! Sheet: everything about one reading on one page, to hand to an owner.

use crate::beat_picture::BeatPicture;
use crate::course::Course;
use crate::dial::Dial;
use crate::drift::Drift;
use crate::font::{CAPITALS, Weight, wrapped};
use crate::geometry::Area;
use crate::number::{in_line, written};
use crate::panel::{self, Panel, SMALL};
use crate::periodogram::PeriodogramPicture;
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Shape, Words};
use crate::theme::{Ink, Theme};
use crate::values::{Balance, Size, Value, drawable};

/// One of the numbers that a balance is judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct KeyNumber {
    /// "rate", "amplitude", "beat error".
    pub name: String,
    /// The number; `None` where it cannot be told.
    pub value: Option<Value>,
    /// "s/d", "°", "ms".
    pub unit: String,
    /// Whether it carries a plus above zero.
    pub signed: bool,
    /// What stands in place of the uncertainty where there is no number: "cannot tell".
    pub when_missing: String,
    /// Another line below the uncertainty: "± 1.7 with clock"; may be empty.
    pub also: String,
}

/// One balance's card.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetBalance {
    /// Which balance.
    pub balance: Balance,
    /// "left balance"; may be empty.
    pub name: String,
    /// "28,800 beats/h · 479 of 480 beats".
    pub note: String,
    /// Its numbers, the most important first.
    pub numbers: Vec<KeyNumber>,
}

/// Everything on one page. All words are the caller's.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sheet {
    /// The heading.
    pub title: String,
    /// Under the heading: file name, date, position; joined by dots.
    pub facts: Vec<String>,
    /// A card for each balance.
    pub balances: Vec<SheetBalance>,
    /// The first words of the sentence, in bold: "Independent."
    pub verdict: String,
    /// The sentence that says what it all means.
    pub sentence: String,
    /// What the reader should know before trusting the numbers.
    pub warnings: Vec<String>,
    /// The Drift picture.
    pub drift: Option<Drift>,
    /// The same with each rate taken out, where the rates hide how the beats scatter.
    pub scatter: Option<Drift>,
    /// A Beat picture of each balance.
    pub beats: Vec<BeatPicture>,
    /// Dials: what was read in each position.
    pub dials: Vec<Dial>,
    /// Courses: amplitude, rate.
    pub courses: Vec<Course>,
    /// Periodograms.
    pub periodograms: Vec<PeriodogramPicture>,
    /// The last line, small.
    pub footer: String,
}

const TITLE: f64 = 23.0;
const BODY: f64 = 15.0;
const BODY_LINE: f64 = 22.0;
const GAP: f64 = 14.0;
const BIG: f64 = 30.0;
// From this width on, cards stand in two columns.
const TWO_COLUMNS_FROM: f64 = 640.0;
// More than this of any one kind makes no page that anyone reads.
const MOST_OF_A_KIND: usize = 24;
const MOST_WARNINGS: usize = 12;
const MOST_LINES: usize = 8;

impl Sheet {
    /// Draws the page. Its height follows from what is on it.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        let width = size.width_px();
        let margin = if width < Size::PHONE_BELOW_PX { 12.0 } else { 26.0 };
        let mut pen = Pen {
            scene: Scene::default(),
            left: margin,
            right: width - margin,
            y: margin,
            columns: if width >= TWO_COLUMNS_FROM { 2 } else { 1 },
        };
        self.draw_head(&mut pen);
        let cards = self.numbers_cards();
        pen.cards(cards.iter().map(|c| c as &dyn Panel).collect());
        self.draw_sentence(&mut pen);
        self.draw_warnings(&mut pen);
        pen.wide_card(self.drift.as_ref().map(|d| d as &dyn Panel));
        pen.wide_card(self.scatter.as_ref().map(|d| d as &dyn Panel));
        pen.cards(self.beats.iter().take(MOST_OF_A_KIND).map(|b| b as &dyn Panel).collect());
        pen.cards(self.dials.iter().take(MOST_OF_A_KIND).map(|d| d as &dyn Panel).collect());
        pen.cards(self.courses.iter().take(MOST_OF_A_KIND).map(|c| c as &dyn Panel).collect());
        let periodograms = self.periodograms.iter().take(MOST_OF_A_KIND);
        pen.cards(periodograms.map(|p| p as &dyn Panel).collect());
        let words = Words::new((0.0, 0.0), self.footer.as_str(), SMALL).dim();
        pen.paragraph(&words, 17.0, 4);
        let height_px = (pen.y + margin - GAP).ceil();
        let ground = Shape::Box {
            area: Area::new(0.0, 0.0, width, height_px),
            radius: 0.0,
            fill: Ink::Ground,
            border: None,
        };
        pen.scene.shapes.insert(0, ground);
        Picture {
            width_px: width,
            height_px,
            theme,
            title: self.title.clone(),
            description: self.description(),
            scene: pen.scene,
        }
    }

    fn numbers_cards(&self) -> Vec<NumbersCard<'_>> {
        let balances = &self.balances[..self.balances.len().min(MOST_OF_A_KIND)];
        balances.iter().map(|card| NumbersCard { card, all: balances }).collect()
    }

    fn draw_head(&self, pen: &mut Pen) {
        pen.paragraph(&Words::new((0.0, 0.0), self.title.as_str(), TITLE).bold(), 30.0, 2);
        if !self.title.trim().is_empty() {
            pen.y -= 8.0;
        }
        let facts: Vec<&str> =
            self.facts.iter().map(|f| f.trim()).filter(|f| !f.is_empty()).collect();
        let width = pen.right - pen.left;
        for line in joined_lines(&facts, 14.0, width) {
            let at = (pen.left, pen.y + 14.0);
            pen.scene.words(Words::new(at, line, 14.0).dim().at_most(width));
            pen.y += 20.0;
        }
        pen.y += GAP;
    }

    fn draw_sentence(&self, pen: &mut Pen) {
        let (verdict, sentence) = (self.verdict.trim(), self.sentence.trim());
        if verdict.is_empty() && sentence.is_empty() {
            return;
        }
        let width = pen.right - pen.left;
        let bold = Words::new((pen.left, 0.0), verdict, BODY).bold().at_most(width);
        let verdict_width = if verdict.is_empty() { 0.0 } else { bold.width() + 5.0 };
        pen.y += 4.0;
        // The first line is shorter by the bold words before it.
        let (first, rest) = first_line(sentence, width - verdict_width);
        let base = pen.y + BODY;
        scene_words(pen, bold, base);
        let opening = Words::new((pen.left + verdict_width, base), first, BODY);
        pen.scene.words(opening);
        pen.y += BODY_LINE;
        for line in wrapped(&rest, BODY, Weight::Regular, width, MOST_LINES) {
            let at = (pen.left, pen.y + BODY);
            pen.scene.words(Words::new(at, line, BODY));
            pen.y += BODY_LINE;
        }
        pen.y += GAP - 4.0;
    }

    fn draw_warnings(&self, pen: &mut Pen) {
        const SIZE: f64 = 14.0;
        const LINE: f64 = 20.0;
        const INDENT: f64 = 24.0;
        let warnings = self.warnings.iter().filter(|w| !w.trim().is_empty());
        let mut any = false;
        for warning in warnings.take(MOST_WARNINGS) {
            any = true;
            let base = pen.y + SIZE;
            warning_mark(&mut pen.scene, (pen.left + 8.0, base - SIZE * CAPITALS / 2.0));
            let width = pen.right - pen.left - INDENT;
            for line in wrapped(warning, SIZE, Weight::Regular, width, 4) {
                let at = (pen.left + INDENT, pen.y + SIZE);
                pen.scene.words(Words::new(at, line, SIZE).ink(Ink::Warn));
                pen.y += LINE;
            }
            pen.y += 4.0;
        }
        if any {
            pen.y += GAP - 6.0;
        }
    }

    fn description(&self) -> String {
        let mut parts: Vec<String> = vec![self.facts.join(", ")];
        parts.extend(self.numbers_cards().iter().map(Panel::description));
        parts.push(format!("{} {}", self.verdict.trim(), self.sentence.trim()));
        parts.extend(self.warnings.iter().take(MOST_WARNINGS).map(|w| format!("Warning: {w}")));
        parts.extend(self.drift.iter().map(Panel::description));
        parts.extend(self.scatter.iter().map(|s| format!("{}: {}", s.title(), s.description())));
        parts.extend(self.beats.iter().map(|b| format!("{}: {}", b.title(), b.description())));
        parts.extend(self.dials.iter().map(|d| format!("{}: {}", d.title(), d.description())));
        parts.extend(self.courses.iter().map(Panel::description));
        let spectra = self.periodograms.iter();
        parts.extend(spectra.map(|p| format!("{}: {}", p.title(), p.description())));
        parts.retain(|part| !part.trim().is_empty());
        parts.join(" ")
    }
}

fn scene_words(pen: &mut Pen, mut words: Words, base: f64) {
    words.at.1 = base;
    pen.scene.words(words);
}

/// Facts joined by dots, in as many lines as they need; a line begins and ends with a fact.
fn joined_lines(facts: &[&str], size: f64, width: f64) -> Vec<String> {
    const MOST: usize = 6;
    let mut lines: Vec<String> = Vec::new();
    for fact in facts.iter().take(MOST) {
        let longer = lines.last().map(|line| format!("{line} · {fact}"));
        match (longer, lines.last_mut()) {
            (Some(longer), Some(last))
                if Words::new((0.0, 0.0), longer.as_str(), size).width() <= width =>
            {
                *last = longer;
            }
            _ => lines.push((*fact).to_owned()),
        }
    }
    lines
}

/// Splits a sentence after as many words as fit in a line of this width.
fn first_line(sentence: &str, width: f64) -> (String, String) {
    let mut first = String::new();
    let mut words = sentence.split_whitespace().peekable();
    while let Some(word) = words.peek() {
        let longer = if first.is_empty() { (*word).to_owned() } else { format!("{first} {word}") };
        if Words::new((0.0, 0.0), longer.as_str(), BODY).width() > width {
            break;
        }
        first = longer;
        words.next();
    }
    (first, words.collect::<Vec<_>>().join(" "))
}

/// A triangle with a stroke and a dot in it.
fn warning_mark(scene: &mut Scene, (x, y): (f64, f64)) {
    let corners = vec![(x - 8.0, y + 6.5), (x + 8.0, y + 6.5), (x, y - 7.5)];
    scene.polygon(corners, Ink::Warn, 1.0);
    let bar = vec![(x - 1.0, y - 3.0), (x + 1.0, y - 3.0), (x + 0.7, y + 2.0), (x - 0.7, y + 2.0)];
    scene.polygon(bar, Ink::Ground, 1.0);
    scene.dots(vec![(x, y + 4.2)], 2.0, Ink::Ground, 1.0);
}

/// Goes down the page.
struct Pen {
    scene: Scene,
    left: f64,
    right: f64,
    y: f64,
    columns: usize,
}

impl Pen {
    fn paragraph(&mut self, style: &Words, line_height: f64, most_lines: usize) {
        let width = self.right - self.left;
        let lines = wrapped(&style.text, style.size, style.weight, width, most_lines);
        if lines.is_empty() {
            return;
        }
        for text in lines {
            let at = (self.left, self.y + style.size);
            self.scene.words(Words { at, text, ..style.clone() });
            self.y += line_height;
        }
        self.y += GAP;
    }

    fn wide_card(&mut self, panel: Option<&dyn Panel>) {
        self.row(&panel.into_iter().collect::<Vec<_>>());
    }

    /// Cards side by side; one that is left over takes the whole width.
    fn cards(&mut self, panels: Vec<&dyn Panel>) {
        for row in panels.chunks(self.columns) {
            self.row(row);
        }
    }

    fn row(&mut self, panels: &[&dyn Panel]) {
        if panels.is_empty() {
            return;
        }
        let count = panels.len() as f64;
        let width = (self.right - self.left - GAP * (count - 1.0)) / count;
        let padding = panel::padding(width).min(16.0);
        let inner = width - 2.0 * padding;
        let height = panels.iter().map(|p| p.height(inner)).fold(0.0, f64::max) + 2.0 * padding;
        for (n, panel) in panels.iter().enumerate() {
            let card = Area::new(self.left + n as f64 * (width + GAP), self.y, width, height);
            self.scene.card(card);
            panel.draw(&mut self.scene, card.inset(padding, padding, padding, padding));
        }
        self.y += height + GAP;
    }
}

/// A balance's numbers, big.
struct NumbersCard<'a> {
    card: &'a SheetBalance,
    /// The cards of all balances, so that their numbers are set in one size.
    all: &'a [SheetBalance],
}

const NAME_ROW: f64 = 30.0;
const NOTE_ROW: f64 = 18.0;
const NUMBER_ROW: f64 = 74.0;
/// More where some number has another line.
const ALSO_ROW: f64 = 17.0;
const COLUMN_GAP: f64 = 14.0;

impl KeyNumber {
    fn big_text(&self) -> Option<String> {
        let value = self.value.filter(|v| drawable(v.value))?;
        let number = written(value, self.signed, 1).number;
        Some(if self.unit.trim() == "°" { number + "°" } else { number })
    }

    /// Width of the number at full size.
    fn big_width(&self) -> Option<f64> {
        Some(Words::new((0.0, 0.0), self.big_text()?, BIG).bold().width())
    }

    /// Room for the unit behind the number.
    fn unit_room(&self) -> f64 {
        match self.unit.trim() {
            "" | "°" => 0.0,
            unit => Words::new((0.0, 0.0), unit, SMALL + 1.0).width().min(40.0) + 5.0,
        }
    }
}

impl NumbersCard<'_> {
    fn per_row(&self, width: f64) -> usize {
        let fitting = ((width / 96.0) as usize).clamp(1, 6);
        self.card.numbers.len().clamp(1, fitting)
    }

    fn name_end(&self, left: f64) -> Words {
        Words::new((left + 34.0, 0.0), self.card.name.trim(), BODY)
    }

    /// Whether the note has room behind the name.
    fn note_beside(&self, width: f64) -> bool {
        if self.card.name.trim().is_empty() {
            return true;
        }
        let note = Words::new((0.0, 0.0), self.card.note.trim(), SMALL + 1.0);
        34.0 + self.name_end(0.0).width() + 20.0 + note.width() <= width
    }

    /// Width that a column of big numbers wants at full size, over the cards of all balances.
    fn wanted(&self, column: usize, per_row: usize) -> f64 {
        let cards = self.all.iter().map(|card| &card.numbers);
        let numbers = cards.flat_map(|n| n.iter().skip(column).step_by(per_row));
        let widths = numbers.filter_map(|n| n.big_width().map(|wide| wide + n.unit_room()));
        widths.fold(60.0, f64::max) + COLUMN_GAP
    }

    /// Left end and width of each column: what is left over is shared out evenly, what is lacking
    /// is taken in proportion. The same for all cards of one width.
    fn columns(&self, width: f64) -> Vec<(f64, f64)> {
        let per_row = self.per_row(width);
        let wanted: Vec<f64> = (0..per_row).map(|n| self.wanted(n, per_row)).collect();
        let total: f64 = wanted.iter().sum();
        let mut left = 0.0;
        let column = |wanted: &f64| {
            let own = if total > width {
                wanted * width / total
            } else {
                wanted + (width - total) / per_row as f64
            };
            left += own;
            (left - own, own)
        };
        wanted.iter().map(column).collect()
    }

    /// The size at which every big number of all balances fits its column.
    fn big_size(&self, columns: &[(f64, f64)]) -> f64 {
        let numbers = self.all.iter().flat_map(|card| card.numbers.iter().enumerate());
        let sizes = numbers.filter_map(|(n, number)| {
            let room = columns[n % columns.len()].1 - COLUMN_GAP - number.unit_room();
            Some(BIG * room / number.big_width()?.max(1.0))
        });
        sizes.fold(BIG, f64::min).max(14.0)
    }

    fn number(&self, scene: &mut Scene, number: &KeyNumber, place: Area, size: f64) {
        let width = place.width() - COLUMN_GAP;
        let name = Words::new((place.left, place.top + SMALL), number.name.trim(), SMALL + 1.0);
        scene.words(name.dim().at_most(width));
        let base = place.top + 18.0 + BIG * 0.86;
        let below = base + 20.0;
        let Some(value) = number.value.filter(|v| drawable(v.value)) else {
            scene.words(Words::new((place.left, base), "–", BIG).bold().dim());
            let instead = Words::new((place.left, below), number.when_missing.trim(), SMALL + 1.0);
            scene.words(instead.dim().at_most(width));
            return;
        };
        let written = written(value, number.signed, 1);
        let unit = number.unit.trim();
        let degrees = unit == "°";
        let text = number.big_text().unwrap_or_default();
        let big = Words::new((place.left, base), text, size).bold();
        let big = big.at_most(width - number.unit_room());
        let small = Words::new((big.at.0 + big.width() + 5.0, base), unit, SMALL + 1.0).dim();
        scene.words(big);
        if !degrees {
            let room = (place.right - small.at.0).max(0.0);
            scene.words(small.at_most(room));
        }
        let uncertainty = written.uncertainty.map(|u| if degrees { u + "°" } else { u });
        let uncertainty =
            Words::new((place.left, below), uncertainty.unwrap_or_default(), SMALL + 2.0);
        scene.words(uncertainty.dim().at_most(width));
        let also = Words::new((place.left, below + ALSO_ROW), number.also.trim(), SMALL);
        scene.words(also.dim().at_most(width));
    }

    /// The same on all cards, so that they stand side by side.
    fn number_row(&self) -> f64 {
        let also =
            self.all.iter().flat_map(|card| &card.numbers).any(|n| !n.also.trim().is_empty());
        NUMBER_ROW + if also { ALSO_ROW } else { 0.0 }
    }
}

impl Panel for NumbersCard<'_> {
    fn height(&self, width: f64) -> f64 {
        let has_note = !self.card.note.trim().is_empty();
        let note = if has_note && !self.note_beside(width) { NOTE_ROW } else { 0.0 };
        let rows = self.card.numbers.len().div_ceil(self.per_row(width));
        NAME_ROW + note + 8.0 + self.number_row() * rows as f64 - 4.0
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        let middle = area.top + 12.0;
        scene.badge(&self.card.balance, (area.left + 12.0, middle), 24.0);
        let base = middle + BODY * CAPITALS / 2.0;
        let mut name = self.name_end(area.left);
        name.at.1 = base;
        let nameless = name.text.is_empty();
        scene.words(name.at_most(area.width() - 34.0));
        let mut top = area.top + NAME_ROW;
        let note = Words::new((area.right, base), self.card.note.trim(), SMALL + 1.0).dim();
        if nameless {
            let note = Words { at: (area.left + 34.0, base), ..note };
            scene.words(note.at_most(area.width() - 34.0));
        } else if self.note_beside(area.width()) {
            scene.words(note.anchored(Anchor::End));
        } else {
            let note = Words { at: (area.left, top + SMALL), ..note };
            scene.words(note.at_most(area.width()));
            top += NOTE_ROW;
        }
        top += 8.0;
        let columns = self.columns(area.width());
        let size = self.big_size(&columns);
        for (n, number) in self.card.numbers.iter().enumerate() {
            let (left, width) = columns[n % columns.len()];
            let row = top + (n / columns.len()) as f64 * self.number_row();
            let place = Area::new(area.left + left, row, width, self.number_row());
            self.number(scene, number, place, size);
        }
    }

    fn title(&self) -> String {
        format!("Balance {}", self.card.balance.letter)
    }

    fn description(&self) -> String {
        let numbers =
            self.card.numbers.iter().map(|n| match n.value.filter(|v| drawable(v.value)) {
                Some(value) => format!("{} {}", n.name, in_line(value, &n.unit, n.signed)),
                None => format!("{} {}", n.name, n.when_missing),
            });
        format!(
            "{} ({}): {}.",
            self.title(),
            self.card.note,
            numbers.collect::<Vec<_>>().join(", ")
        )
    }
}
