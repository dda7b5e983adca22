//! What all pictures share: a place on a card with a heading, axes, and labels at line ends.

use crate::axis::{Scale, Tick};
use crate::font::CAPITALS;
use crate::geometry::{Area, Point};
use crate::labels::{spread, without_crowding};
use crate::number::{in_line, spaced_unit, written};
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Shape, Stroke, Words};
use crate::theme::{Ink, Theme};
use crate::values::{Balance, Side, Size, Value};

/// Size of tick labels and notes, px.
pub(crate) const SMALL: f64 = 12.0;
/// Size of numbers beside lines, px.
pub(crate) const NUMBER: f64 = 13.0;
/// Size of headings, px.
pub(crate) const HEADING: f64 = 15.0;
/// Height that a heading takes, px.
pub(crate) const HEADING_HEIGHT: f64 = 26.0;

/// Something that draws itself into a box and knows how tall that box must be.
pub(crate) trait Panel {
    /// Height in px at this width.
    fn height(&self, width: f64) -> f64;
    /// Draws within the box.
    fn draw(&self, scene: &mut Scene, area: Area);
    /// Whether it can make use of more height than it needs.
    fn stretches(&self) -> bool {
        true
    }
    /// Its name.
    fn title(&self) -> String;
    /// What it shows, in sentences.
    fn description(&self) -> String;
}

/// Whether a panel of this width is laid out for a phone.
pub(crate) fn is_phone(width: f64) -> bool {
    width < Size::PHONE_BELOW_PX - 40.0
}

/// Space between the edge of a card and what is on it.
pub(crate) fn padding(card_width: f64) -> f64 {
    if card_width < Size::PHONE_BELOW_PX { 12.0 } else { 18.0 }
}

/// A panel as a picture of its own.
pub(crate) fn alone(panel: &dyn Panel, size: Size, theme: Theme) -> Picture {
    let width = size.width_px();
    let padding = padding(width);
    let least = if panel.stretches() { size.least_height_px() } else { 0.0 };
    let height = (panel.height(width - 2.0 * padding) + 2.0 * padding).max(least).ceil();
    let mut scene = Scene::default();
    let whole = Area::new(0.0, 0.0, width, height);
    scene.shapes.push(Shape::Box { area: whole, radius: 0.0, fill: Ink::Card, border: None });
    panel.draw(&mut scene, whole.inset(padding, padding, padding, padding));
    Picture {
        width_px: width,
        height_px: height,
        theme,
        title: panel.title(),
        description: panel.description(),
        scene,
    }
}

/// Writes a heading at the top of a box, a badge before it where the picture is of one balance,
/// and a note behind it where there is room for all of the note. Returns where the words end.
pub(crate) fn heading(
    scene: &mut Scene,
    area: Area,
    balance: Option<&Balance>,
    title: &str,
    note: &str,
) -> f64 {
    let base = area.top + HEADING;
    let mut x = area.left;
    if let Some(balance) = balance {
        let diameter = 20.0;
        let centre = (x + diameter / 2.0, base - HEADING * CAPITALS / 2.0);
        scene.badge(balance, centre, diameter);
        x += diameter + 8.0;
    }
    let words = Words::new((x, base), title, HEADING).bold().at_most(area.right - x);
    x += words.width();
    scene.words(words);
    let note = Words::new((x + 10.0, base), note, SMALL).dim();
    if x + 10.0 + note.width() <= area.right {
        x += 10.0 + note.width();
        scene.words(note);
    }
    x
}

/// Which marks a key explains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Beat(Side),
    LeftOut,
    /// Above or below the picture.
    Outside,
}

impl Mark {
    fn word(self) -> &'static str {
        match self {
            Self::Beat(side) => side.word(),
            Self::LeftOut => "left out",
            Self::Outside => "off scale",
        }
    }
}

/// Draws one mark as the beats of a balance are drawn.
pub(crate) fn draw_mark(scene: &mut Scene, mark: Mark, points: Vec<Point>, size: f64, ink: Ink) {
    match mark {
        Mark::Beat(Side::Tick) => scene.dots(points, size, ink, 1.0),
        Mark::Beat(Side::Tock) => scene.rings(points, size, (size * 0.28).max(0.8), ink),
        Mark::LeftOut => scene.dots(points, size, ink, 0.3),
        Mark::Outside => {
            for (x, y) in points {
                let stroke = Stroke { opacity: 0.6, ..Stroke::new(ink, 1.0) };
                scene.line((x, y - 2.5), (x, y + 2.5), stroke);
            }
        }
    }
}

/// Explains marks in one line that ends at `right`; as many, from the first, as fit after `left`.
pub(crate) fn mark_key(scene: &mut Scene, marks: &[Mark], base: f64, left: f64, right: f64) {
    const DOT: f64 = 6.0;
    if marks.is_empty() {
        return;
    }
    let words: Vec<Words> =
        marks.iter().map(|m| Words::new((0.0, base), m.word(), SMALL).dim()).collect();
    let width: f64 = words.iter().map(|w| w.width() + DOT + 5.0).sum::<f64>()
        + 12.0 * words.len().saturating_sub(1) as f64;
    let mut x = right - width;
    if x < left {
        return mark_key(scene, &marks[..marks.len() - 1], base, left, right);
    }
    for (mark, mut words) in marks.iter().zip(words) {
        let centre = (x + DOT / 2.0, base - SMALL * 0.36);
        draw_mark(scene, *mark, vec![centre], DOT, Ink::Dim);
        words.at.0 = x + DOT + 5.0;
        x += DOT + 5.0 + words.width() + 12.0;
        scene.words(words);
    }
}

/// Room that the labels of an upright axis need at its left.
pub(crate) fn label_room(ticks: &[Tick]) -> f64 {
    let widest = ticks.iter().map(|t| Words::new((0.0, 0.0), t.label.as_str(), SMALL).width());
    widest.fold(0.0, f64::max) + 8.0
}

/// Draws the grid lines and labels of an upright axis.
pub(crate) fn upright_axis(
    scene: &mut Scene,
    area: Area,
    scale: &Scale,
    ticks: &[Tick],
    zero_stands_out: bool,
) {
    for tick in ticks {
        let y = scale.px(tick.at);
        if y < area.top - 0.5 || y > area.bottom + 0.5 {
            continue;
        }
        let y = y.clamp(area.top, area.bottom);
        let zero = zero_stands_out && tick.at == 0.0;
        let ink = if zero { Ink::Axis } else { Ink::Rule };
        scene.line((area.left, y), (area.right, y), Stroke::new(ink, 1.0));
        let at = (area.left - 8.0, y + SMALL * CAPITALS / 2.0);
        scene.words(Words::new(at, tick.label.as_str(), SMALL).dim().anchored(Anchor::End));
    }
}

/// Height below the plot that a level axis takes.
pub(crate) const LEVEL_AXIS_HEIGHT: f64 = 22.0;

/// Draws the ticks and labels of a level axis below a box. Labels that would crowd are left out,
/// the last in the list first; a label's unit hangs over at the right, so that its number stands
/// under its tick.
pub(crate) fn level_axis(
    scene: &mut Scene,
    area: Area,
    scale: &Scale,
    ticks: &[Tick],
    bounds: (f64, f64),
) {
    scene.line((area.left, area.bottom), (area.right, area.bottom), Stroke::new(Ink::Axis, 1.0));
    let words: Vec<Words> = ticks
        .iter()
        .map(|tick| {
            let number = tick.label.split('\u{a0}').next().unwrap_or_default();
            let half = Words::new((0.0, 0.0), number, SMALL).width() / 2.0;
            let base = area.bottom + 7.0 + SMALL * CAPITALS + 1.0;
            let mut words = Words::new((0.0, base), tick.label.as_str(), SMALL).dim();
            let furthest = (bounds.1 - words.width()).max(bounds.0);
            words.at.0 = (scale.px(tick.at) - half).clamp(bounds.0, furthest);
            words
        })
        .collect();
    let ends: Vec<(f64, f64)> = words.iter().map(|w| (w.at.0, w.at.0 + w.width())).collect();
    let kept = without_crowding(&ends, &[], 8.0);
    for ((tick, words), kept) in ticks.iter().zip(words).zip(kept) {
        let x = scale.px(tick.at);
        if x < area.left - 0.5 || x > area.right + 0.5 {
            continue;
        }
        let x = x.clamp(area.left, area.right);
        let length = if kept { 4.0 } else { 2.5 };
        scene.line((x, area.bottom), (x, area.bottom + length), Stroke::new(Ink::Axis, 1.0));
        if kept {
            scene.words(words);
        }
    }
}

/// What stands at the end of a balance's line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LineEnd<'a> {
    pub(crate) balance: &'a Balance,
    /// Where the line ends.
    pub(crate) at: Point,
    pub(crate) value: Option<Value>,
}

// A number with its unit beside a line end is cut beyond this, px.
const WIDEST_END: f64 = 130.0;
// A line that ends further than this from the right edge ended before the picture did, px.
const FAR_INSIDE: f64 = 10.0;
const BADGE: f64 = 18.0;
const BADGE_PHONE: f64 = 16.0;

/// Room at the right of a plot for the labels at line ends.
pub(crate) fn line_end_room(values: &[Option<Value>], unit: &str, sign: bool, phone: bool) -> f64 {
    if phone {
        return BADGE_PHONE + 8.0;
    }
    let widest = values.iter().flatten().map(|value| {
        let (number, uncertainty) = end_texts(*value, unit, sign);
        number.width().max(uncertainty.width())
    });
    widest.fold(0.0, f64::max) + BADGE + 20.0
}

/// Least height of a plot whose line ends carry so many labels.
pub(crate) fn line_end_height(count: usize, phone: bool) -> f64 {
    count as f64 * if phone { BADGE_PHONE + 3.0 } else { 33.0 }
}

fn end_texts(value: Value, unit: &str, sign: bool) -> (Words, Words) {
    let written = written(value, sign, 1);
    let number = format!("{}{}", written.number, spaced_unit(unit));
    let uncertainty = written.uncertainty.unwrap_or_default();
    (
        Words::new((0.0, 0.0), number, NUMBER).bold().at_most(WIDEST_END),
        Words::new((0.0, 0.0), uncertainty, SMALL).dim().at_most(WIDEST_END),
    )
}

/// Draws badges at line ends with the numbers beside them (on a phone the badges alone: there
/// [`key_rows`] gives the numbers), moved apart where lines end close together.
pub(crate) fn line_ends(
    scene: &mut Scene,
    ends: &[LineEnd],
    plot: Area,
    unit: &str,
    sign: bool,
    phone: bool,
) {
    let badge = if phone { BADGE_PHONE } else { BADGE };
    let wanted: Vec<f64> = ends.iter().map(|end| end.at.1).collect();
    let height = line_end_height(1, phone);
    let slack = if phone { badge / 2.0 } else { height / 2.0 };
    let placed = spread(&wanted, height, plot.top - slack, plot.bottom + slack - 2.0);
    for (end, y) in ends.iter().zip(placed) {
        let centre = (plot.right + 8.0 + badge / 2.0, y);
        // A leader from far inside must not pass for a line of data.
        let stroke = match plot.right - end.at.0 < FAR_INSIDE {
            true => Stroke::new(Ink::Balance(end.balance.place), 1.0),
            false => Stroke::new(Ink::Axis, 1.0).dashed(&[1.0, 4.0]),
        };
        scene.curve(vec![end.at, (centre.0 - badge / 2.0 + 1.0, y)], stroke);
        scene.badge(end.balance, centre, badge);
        let (Some(value), false) = (end.value, phone) else { continue };
        let (mut number, mut uncertainty) = end_texts(value, unit, sign);
        let x = centre.0 + badge / 2.0 + 6.0;
        let alone = uncertainty.text.is_empty();
        number.at = (x, if alone { y + NUMBER * CAPITALS / 2.0 } else { y - 1.5 });
        uncertainty.at = (x, y + SMALL * CAPITALS + 4.5);
        scene.words(number);
        scene.words(uncertainty);
    }
}

const KEY_ROW: f64 = 24.0;

fn key_entry_width(value: Value, unit: &str, sign: bool) -> f64 {
    Words::new((0.0, 0.0), in_line(value, unit, sign), NUMBER).bold().width() + BADGE_PHONE + 6.0
}

/// The numbers of all balances in rows, for a phone: (row, x, index). Entries stand in columns.
fn key_places(
    values: &[Option<Value>],
    unit: &str,
    sign: bool,
    width: f64,
) -> Vec<(usize, f64, usize)> {
    let entries: Vec<(usize, f64)> = values
        .iter()
        .enumerate()
        .filter_map(|(n, v)| v.map(|v| (n, key_entry_width(v, unit, sign))))
        .collect();
    let widest = entries.iter().map(|e| e.1).fold(1.0, f64::max) + 18.0;
    let columns = ((width + 18.0) / widest).floor().max(1.0) as usize;
    entries
        .iter()
        .enumerate()
        .map(|(k, (n, _))| (k / columns, (k % columns) as f64 * widest, *n))
        .collect()
}

/// Height of the rows of numbers.
pub(crate) fn key_rows_height(values: &[Option<Value>], unit: &str, sign: bool, width: f64) -> f64 {
    let rows = key_places(values, unit, sign, width).last().map_or(0, |last| last.0 + 1);
    rows as f64 * KEY_ROW
}

/// Draws the rows of numbers from `top` on.
pub(crate) fn key_rows(
    scene: &mut Scene,
    balances: &[&Balance],
    values: &[Option<Value>],
    unit: &str,
    sign: bool,
    area: Area,
) {
    for (row, x, n) in key_places(values, unit, sign, area.width()) {
        let (Some(balance), Some(Some(value))) = (balances.get(n), values.get(n)) else { continue };
        let y = area.top + KEY_ROW * (row as f64 + 0.4);
        let left = area.left + x;
        scene.badge(balance, (left + BADGE_PHONE / 2.0, y), BADGE_PHONE);
        let at = (left + BADGE_PHONE + 6.0, y + NUMBER * CAPITALS / 2.0);
        let words = Words::new(at, in_line(*value, unit, sign), NUMBER).bold();
        scene.words(words.at_most((area.right - at.0).max(0.0)));
    }
}

/// Says in the middle of an empty plot that there is nothing to draw.
pub(crate) fn nothing_here(scene: &mut Scene, area: Area, text: &str) {
    scene.line((area.left, area.bottom), (area.right, area.bottom), Stroke::new(Ink::Axis, 1.0));
    let at = (area.left + area.width() / 2.0, area.top + area.height() / 2.0);
    let words = Words::new(at, text, NUMBER).dim().anchored(Anchor::Middle);
    scene.words(words.at_most(area.width()));
}
