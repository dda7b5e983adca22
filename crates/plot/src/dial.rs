//! Dial: numbers around a dial where they were taken, and the sector that something lies in.

use crate::font::{Weight, wrapped};
use crate::geometry::{Area, Point};
use crate::number::fixed;
use crate::panel::{self, HEADING_HEIGHT, Panel, SMALL};
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Stroke, Words};
use crate::theme::{Ink, Theme};
use crate::values::{Balance, Size, drawable};

/// A number and what it belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DialWords {
    /// "6H".
    pub name: String,
    /// "+4.2".
    pub number: String,
}

/// A sector of the dial. Directions are degrees clockwise from 12, as a watch lies before one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DialSector {
    /// Its middle.
    pub direction_deg: f64,
    /// Half its width; from 180 on it goes all around.
    pub half_deg: f64,
}

/// Everything in one picture of a dial.
#[derive(Debug, Clone, PartialEq)]
pub struct Dial {
    /// Which balance.
    pub balance: Balance,
    /// The heading: "Before".
    pub title: String,
    /// Behind the heading, where there is room: "s/d, wind: full".
    pub note: String,
    /// Numbers around the dial, each with its direction in degrees clockwise from 12.
    pub around: Vec<(f64, DialWords)>,
    /// Numbers in its middle, a line each.
    pub middle: Vec<DialWords>,
    /// Where something lies.
    pub sector: Option<DialSector>,
    /// What it means, below the dial.
    pub sentence: String,
}

const MOST_AROUND: usize = 16;
const MOST_MIDDLE: usize = 3;
const MOST_LINES: usize = 6;
const LINE: f64 = 15.0;
const RADIUS: (f64, f64) = (56.0, 84.0);
/// Radii as shares of the dial's: where a sector begins, and where its mark sits.
const INNER: f64 = 0.54;
const SPOT: f64 = 0.8;
/// From the ring to the numbers around it.
const GAP: f64 = 8.0;
/// A line for each so many degrees of an arc.
const STEP_DEG: f64 = 3.0;

fn on_dial(centre: Point, direction_deg: f64, radius: f64) -> Point {
    let angle = direction_deg.to_radians();
    (centre.0 + radius * angle.sin(), centre.1 - radius * angle.cos())
}

fn arc(centre: Point, radius: f64, from_deg: f64, to_deg: f64) -> Vec<Point> {
    let steps = ((to_deg - from_deg).abs() / STEP_DEG).ceil().max(1.0) as usize;
    let at = |n: usize| from_deg + (to_deg - from_deg) * n as f64 / steps as f64;
    (0..=steps).map(|n| on_dial(centre, at(n), radius)).collect()
}

impl Dial {
    /// Draws the picture.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        panel::alone(self, size, theme)
    }

    fn around(&self) -> impl Iterator<Item = &(f64, DialWords)> {
        self.around.iter().filter(|(direction, _)| drawable(*direction)).take(MOST_AROUND)
    }

    fn sector(&self) -> Option<DialSector> {
        self.sector.filter(|one| drawable(one.direction_deg) && drawable(one.half_deg))
    }

    /// As large as the numbers beside it leave room for.
    fn radius(&self, width: f64) -> f64 {
        let widths = self.around().map(|(_, words)| {
            let name = Words::new((0.0, 0.0), words.name.as_str(), SMALL).bold().width();
            name.max(Words::new((0.0, 0.0), words.number.as_str(), SMALL).width())
        });
        let beside = widths.fold(0.0, f64::max) + GAP;
        ((width - 2.0 * beside) / 2.0).clamp(RADIUS.0, RADIUS.1)
    }

    fn sentence(&self, width: f64) -> Vec<String> {
        wrapped(&self.sentence, SMALL, Weight::Regular, width, MOST_LINES)
    }
}

/// What stands above and below the ring: a name and a number.
const BESIDE: f64 = 2.0 * LINE + GAP;

impl Panel for Dial {
    fn height(&self, width: f64) -> f64 {
        let sentence = self.sentence(width).len() as f64 * LINE;
        let gap = if sentence > 0.0 { GAP } else { 0.0 };
        HEADING_HEIGHT + 2.0 * (BESIDE + self.radius(width)) + gap + sentence
    }

    fn stretches(&self) -> bool {
        false
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        panel::heading(scene, area, Some(&self.balance), &self.title, &self.note);
        let radius = self.radius(area.width());
        let middle = area.left + area.width() / 2.0;
        let centre = (middle, area.top + HEADING_HEIGHT + BESIDE + radius);
        self.draw_ring(scene, centre, radius);
        if let Some(sector) = self.sector() {
            self.draw_sector(scene, centre, radius, sector);
        }
        for (direction, words) in self.around() {
            draw_beside(scene, area, centre, radius, *direction, words);
        }
        let lines: Vec<&DialWords> = self.middle.iter().take(MOST_MIDDLE).collect();
        let first = centre.1 - LINE * (lines.len() as f64 - 1.0) / 2.0 + SMALL * 0.36;
        for (n, words) in lines.into_iter().enumerate() {
            let base = first + LINE * n as f64;
            let most = 2.0 * INNER * radius - 4.0;
            let text = format!("{} {}", words.name, words.number);
            let words = Words::new((centre.0, base), text, SMALL).anchored(Anchor::Middle);
            scene.words(words.at_most(most));
        }
        let mut base = centre.1 + radius + BESIDE + GAP + SMALL;
        for line in self.sentence(area.width()) {
            scene.words(Words::new((area.left, base), line, SMALL).dim());
            base += LINE;
        }
    }

    fn title(&self) -> String {
        format!("{}, balance {}", self.title.trim(), self.balance.letter)
    }

    fn description(&self) -> String {
        let said = |words: &DialWords| format!("{} {}", words.name, words.number);
        let all = self.around().map(|(_, words)| said(words));
        let all: Vec<String> = all.chain(self.middle.iter().take(MOST_MIDDLE).map(said)).collect();
        let numbers = match all.is_empty() {
            true => "Nothing was read.".to_owned(),
            false => format!("Numbers around the dial: {}.", all.join(", ")),
        };
        let sector = self.sector().map(|one| {
            let (direction, half) = (fixed(one.direction_deg, 0), fixed(one.half_deg, 0));
            format!(" Marked: {direction}° clockwise from 12, ± {half}°.")
        });
        let sentence = self.sentence.trim();
        let parts = [numbers + &sector.unwrap_or_default(), sentence.to_owned()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

impl Dial {
    fn draw_ring(&self, scene: &mut Scene, centre: Point, radius: f64) {
        scene.curve(arc(centre, radius, 0.0, 360.0), Stroke::new(Ink::Axis, 1.3));
        for hour in 0..12 {
            let direction = f64::from(hour) * 30.0;
            let length = if hour % 3 == 0 { 7.0 } else { 4.0 };
            let inner = on_dial(centre, direction, radius - length);
            let outer = on_dial(centre, direction, radius);
            scene.line(inner, outer, Stroke::new(Ink::Axis, 1.3));
        }
    }

    fn draw_sector(&self, scene: &mut Scene, centre: Point, radius: f64, sector: DialSector) {
        let ink = Ink::Balance(self.balance.place);
        let direction = sector.direction_deg.rem_euclid(360.0);
        let half = sector.half_deg.clamp(0.0, 180.0);
        let (from, to) = (direction - half, direction + half);
        let mut outline = arc(centre, radius, from, to);
        outline.extend(arc(centre, INNER * radius, to, from));
        scene.polygon(outline.clone(), ink, 0.2);
        if half < 180.0 {
            outline.extend(outline.first().copied());
            scene.curve(outline, Stroke::new(ink, 1.3));
        }
        scene.rings(vec![on_dial(centre, direction, SPOT * radius)], 15.0, 6.0, ink);
    }
}

/// A name and its number outside the ring, as far off in every direction.
fn draw_beside(
    scene: &mut Scene,
    area: Area,
    centre: Point,
    radius: f64,
    direction_deg: f64,
    words: &DialWords,
) {
    let (sine, cosine) = direction_deg.to_radians().sin_cos();
    let (x, y) = on_dial(centre, direction_deg, radius + GAP);
    let (anchor, most) = match sine {
        sine if sine > 0.2 => (Anchor::Start, area.right - x),
        sine if sine < -0.2 => (Anchor::End, x - area.left),
        _ => (Anchor::Middle, 2.0 * (area.right - x).min(x - area.left)),
    };
    // The middle of the two lines: wholly above the ring at 12, beside it at 3, below it at 6.
    let middle = y - LINE * cosine;
    for (text, base, bold) in [(&words.name, -3.0, true), (&words.number, LINE - 3.0, false)] {
        let line = Words::new((x, middle + base), text.as_str(), SMALL).anchored(anchor);
        let line = if bold { line.bold() } else { line };
        scene.words(line.at_most(most));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A watch before one has 3 at its right and 6 at the bottom; y goes downwards.
    #[test]
    fn directions_go_as_the_hours_do() {
        for (direction, expected) in
            [(0.0, (0.0, -10.0)), (90.0, (10.0, 0.0)), (180.0, (0.0, 10.0)), (270.0, (-10.0, 0.0))]
        {
            let (x, y) = on_dial((0.0, 0.0), direction, 10.0);
            assert!((x - expected.0).abs() < 1e-9 && (y - expected.1).abs() < 1e-9, "{direction}");
        }
    }
}
