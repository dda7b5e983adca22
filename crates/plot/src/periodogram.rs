//! Periodogram: what repeats, and how strongly, with the level that noise alone would rarely pass.

use crate::axis::{Range, Scale, Tick, logarithmic_ticks, period_ticks, ticks};
use crate::geometry::{Area, Point};
use crate::labels::{Candidate, Obstacle, place};
use crate::number::fixed;
use crate::panel::{self, HEADING_HEIGHT, LEVEL_AXIS_HEIGHT, Panel, SMALL};
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Stroke, Words};
use crate::theme::{Ink, Theme};
use crate::thin::kept;
use crate::values::{Balance, Size, drawable};

/// What stands along the level axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// Periods in seconds, minutes, hours; even steps of the logarithm.
    Period,
    /// Frequencies in hertz.
    Frequency,
}

/// A peak that has a name, or at least a period.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedPeak {
    /// Its frequency, Hz, above zero.
    pub frequency_hz: f64,
    /// Its power, in the unit of the periodogram.
    pub power: f64,
    /// What turns with this period: "fourth wheel"; empty where nothing is known to.
    pub name: String,
}

/// Everything in one picture of a periodogram.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodogramPicture {
    /// "What repeats in the rate", say.
    pub title: String,
    /// Which balance; `None` where it is of no one balance.
    pub balance: Option<Balance>,
    /// Period or frequency along the level axis.
    pub against: Against,
    /// Frequencies, Hz, ascending, above zero.
    pub frequency_hz: Vec<f64>,
    /// Power at each of them, not negative.
    pub power: Vec<f64>,
    /// The power that noise alone passes anywhere in 1 of 100 such periodograms.
    pub one_percent_level: Option<f64>,
    /// Peaks to be named, the most important first.
    pub peaks: Vec<NamedPeak>,
}

const MOST_POINTS: usize = 5000;
const MOST_PEAKS: usize = 8;
// Room above the plot for the names of its highest peaks.
const LABEL_ROWS: f64 = 24.0;
// From this ratio of ends on, an axis of frequencies has even steps of the logarithm.
const LOGARITHMIC_FROM: f64 = 30.0;

impl PeriodogramPicture {
    /// Draws the picture.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        panel::alone(self, size, theme)
    }

    fn place_of(&self) -> Ink {
        self.balance.as_ref().map_or(Ink::Text, |b| Ink::Balance(b.place))
    }

    /// What the axis shows at this frequency.
    fn along(&self, frequency_hz: f64) -> f64 {
        match self.against {
            Against::Period => 1.0 / frequency_hz,
            Against::Frequency => frequency_hz,
        }
    }

    /// (place along the axis, power), only what can be drawn.
    fn points(&self) -> Vec<(f64, f64)> {
        let both = self.frequency_hz.iter().zip(&self.power);
        both.filter(|(f, p)| drawable(**f) && **f > 1e-12 && drawable(**p))
            .map(|(f, p)| (self.along(*f), p.max(0.0)))
            .collect()
    }

    fn peaks(&self) -> impl Iterator<Item = &NamedPeak> {
        let drawn = |p: &&NamedPeak| {
            drawable(p.frequency_hz) && p.frequency_hz > 1e-12 && drawable(p.power)
        };
        self.peaks.iter().filter(drawn).take(MOST_PEAKS)
    }

    fn level(&self) -> Option<f64> {
        self.one_percent_level.filter(|l| drawable(*l) && *l >= 0.0)
    }

    fn axis(&self, points: &[(f64, f64)]) -> (Range, bool) {
        let range =
            Range::of(points.iter().map(|p| p.0)).unwrap_or(Range { least: 1.0, most: 10.0 });
        let logarithmic =
            self.against == Against::Period || range.most / range.least >= LOGARITHMIC_FROM;
        if !logarithmic {
            return (range.at_least(range.most * 0.01), false);
        }
        if range.most / range.least > 1.05 {
            return (range, true);
        }
        (Range { least: range.least / 1.5, most: range.most * 1.5 }, true)
    }

    fn axis_ticks(&self, range: Range, logarithmic: bool, width: f64) -> Vec<Tick> {
        if self.against == Against::Period {
            return period_ticks(range);
        }
        let mut ticks = match logarithmic {
            true => logarithmic_ticks(range),
            false => ticks(range, ((width / 62.0) as usize).max(1), fixed),
        };
        // On a logarithmic axis every label carries the unit, since any may be the last.
        let last = ticks.len().saturating_sub(1);
        for (n, tick) in ticks.iter_mut().enumerate() {
            if logarithmic || n == last {
                tick.label.push_str("\u{a0}Hz");
            }
        }
        ticks
    }
}

/// A period with three figures: "0.400 s", "60.0 s", "12.5 min".
fn period(seconds: f64) -> String {
    let (number, unit) = match seconds {
        s if s < 180.0 => (s, "s"),
        s if s < 3.0 * 3600.0 => (s / 60.0, "min"),
        s => (s / 3600.0, "h"),
    };
    let decimals = match number {
        n if n < 10.0 => 2,
        n if n < 100.0 => 1,
        _ => 0,
    };
    format!("{}\u{a0}{unit}", fixed(number, decimals))
}

impl NamedPeak {
    fn label(&self) -> String {
        let period = period(1.0 / self.frequency_hz);
        let name = self.name.trim();
        if name.is_empty() { period } else { format!("{name} {period}") }
    }
}

impl Panel for PeriodogramPicture {
    fn height(&self, width: f64) -> f64 {
        let plot = if panel::is_phone(width) { 150.0 } else { (width * 0.22).clamp(150.0, 200.0) };
        HEADING_HEIGHT + LABEL_ROWS + plot + LEVEL_AXIS_HEIGHT
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        let note = match self.against {
            Against::Period => "power against period",
            Against::Frequency => "power against frequency",
        };
        panel::heading(scene, area, self.balance.as_ref(), &self.title, note);
        let points = self.points();
        let (along, logarithmic) = self.axis(&points);
        let tops =
            points.iter().map(|p| p.1).chain(self.level()).chain(self.peaks().map(|p| p.power));
        let top = tops.fold(0.0, f64::max);
        let power = Range { least: 0.0, most: if top > 0.0 { top * 1.04 } else { 1.0 } };
        if points.is_empty() {
            let plot = area.inset(0.0, HEADING_HEIGHT + LABEL_ROWS, 0.0, LEVEL_AXIS_HEIGHT);
            return panel::nothing_here(scene, plot, "nothing to draw");
        }
        let power_ticks = ticks(power, 3, fixed);
        let left = panel::label_room(&power_ticks);
        let below = area.inset(left, HEADING_HEIGHT, 10.0, LEVEL_AXIS_HEIGHT);
        let plot = below.inset(0.0, LABEL_ROWS, 0.0, 0.0);
        let x = match logarithmic {
            true => Scale::logarithmic(along, plot.left, plot.right),
            false => Scale::linear(along, plot.left, plot.right),
        };
        let y = Scale::linear(power, plot.bottom, plot.top);
        panel::upright_axis(scene, plot, &y, &power_ticks, false);
        let level_ticks = self.axis_ticks(along, logarithmic, plot.width());
        panel::level_axis(scene, plot, &x, &level_ticks, (area.left, area.right));
        let ink = self.place_of();
        let most = MOST_POINTS.min((plot.width() * 4.0) as usize).max(4);
        let px: Vec<Point> = points.iter().map(|p| (x.px(p.0), y.px(p.1))).collect();
        let chosen = kept(px.len(), most, |n| px[n].0, |n| px[n].1, |n| px[n].1);
        let line: Vec<Point> = chosen.into_iter().map(|n| px[n]).collect();
        let mut under = line.clone();
        if let (Some(first), Some(last)) = (line.first(), line.last()) {
            under.push((last.0, plot.bottom));
            under.push((first.0, plot.bottom));
        }
        scene.polygon(plot.cut_polygon(&under), ink, 0.12);
        for piece in plot.cut_line(&line) {
            scene.curve(piece, Stroke::new(ink, 1.3));
        }
        let spots: Vec<Area> = line
            .iter()
            .map(|(x, y)| Area { left: x - 2.0, right: x + 2.0, top: *y, bottom: plot.bottom })
            .collect();
        let level = self.level().map(|level| y.px(level).clamp(plot.top, plot.bottom));
        let level = level.map(|y| Area { top: y - 1.0, bottom: y + 1.0, ..plot });
        let spots: Vec<Obstacle> = spots.into_iter().chain(level).map(Obstacle::line).collect();
        let canvas = Canvas { plot, below, x, y, ink };
        canvas.name_things(scene, self, spots);
    }

    fn title(&self) -> String {
        match &self.balance {
            Some(balance) => format!("{}, balance {}", self.title, balance.letter),
            None => self.title.clone(),
        }
    }

    fn description(&self) -> String {
        let mut text = String::from(
            "Power of what repeats, with the level that noise alone passes in 1 of 100.",
        );
        let level = self.level();
        if self.peaks().next().is_none() {
            text.push_str(" No peak is named.");
        }
        for peak in self.peaks() {
            let above = match level {
                Some(level) if peak.power > level => ", above the level",
                Some(_) => ", below the level",
                None => "",
            };
            text.push_str(&format!(" {}: power {}{above}.", peak.label(), fixed(peak.power, 3)));
        }
        text
    }
}

struct Canvas {
    plot: Area,
    below: Area,
    x: Scale,
    y: Scale,
    ink: Ink,
}

impl Canvas {
    /// Draws the level, the peaks, and the words for them.
    fn name_things(&self, scene: &mut Scene, of: &PeriodogramPicture, spots: Vec<Obstacle>) {
        let mut choices: Vec<Vec<Words>> = Vec::new();
        let mut candidates: Vec<Vec<Candidate>> = Vec::new();
        let mut anchors: Vec<Option<Point>> = Vec::new();
        let mut obstacles = spots;
        for peak in of.peaks() {
            let at = (self.x.px(of.along(peak.frequency_hz)), self.y.px(peak.power.max(0.0)));
            if !self.plot.has(at) {
                continue;
            }
            scene.dots(vec![at], 6.0, self.ink, 1.0);
            let dot = Area::new(at.0 - 4.0, at.1 - 4.0, 8.0, 8.0);
            obstacles.push(Obstacle::mark(dot));
            let (words, costs) = self.around(at, &peak.label());
            choices.push(words);
            candidates.push(costs);
            anchors.push(Some(at));
        }
        if let Some(level) = of.level() {
            let y = self.y.px(level).clamp(self.plot.top, self.plot.bottom);
            let stroke = Stroke::new(Ink::Dim, 1.0).dashed(&[4.0, 3.0]);
            scene.line((self.plot.left, y), (self.plot.right, y), stroke);
            let words: Vec<Words> = (0..20)
                .flat_map(|n| [(n, -5.0), (n, 5.0 + SMALL * 0.75)])
                .map(|(n, shift)| {
                    let x = self.plot.right - f64::from(n) * self.plot.width() / 24.0;
                    let text = "1 in 100 by chance";
                    Words::new((x, y + shift), text, SMALL).dim().anchored(Anchor::End)
                })
                .collect();
            let cost = |n: usize| n as f64;
            let costs = words.iter().enumerate();
            candidates.push(
                costs
                    .map(|(n, w)| Candidate { area: w.area(), leader: None, cost: cost(n) })
                    .collect(),
            );
            choices.push(words);
            anchors.push(None);
        }
        let chosen = place(&candidates, &obstacles, self.below);
        for ((chosen, words), anchor) in chosen.into_iter().zip(choices).zip(anchors) {
            let Some(n) = chosen else { continue };
            let Some(words) = words.into_iter().nth(n) else { continue };
            if let Some(at) = anchor {
                let area = words.area();
                // A label that had to move away is led back to its peak.
                if area.bottom < at.1 - 8.0 {
                    let stroke = Stroke::new(Ink::Axis, 1.0);
                    scene.line((at.0, at.1 - 4.0), (at.0, area.bottom), stroke);
                }
            }
            scene.words(words.haloed());
        }
    }

    /// Places for the name of a peak: above it, at its sides, higher up.
    fn around(&self, at: Point, label: &str) -> (Vec<Words>, Vec<Candidate>) {
        let mut words = Vec::new();
        let mut costs = Vec::new();
        for row in 0..6 {
            let base = at.1 - 8.0 - 16.0 * f64::from(row);
            let row_cost = 4.0 * f64::from(row);
            let plain = |x: f64, base: f64| Words::new((x, base), label, SMALL);
            let middle = plain(at.0, base).anchored(Anchor::Middle);
            let right = plain(at.0 - 4.0, base);
            let left = plain(at.0 + 4.0, base).anchored(Anchor::End);
            for (text, cost) in [(middle, 0.0), (right, 1.0), (left, 1.0)] {
                let area = text.area();
                let gap = (at.1 - 5.0 - area.bottom).max(0.0);
                let leader = (row > 0).then(|| Area::new(at.0 - 1.0, area.bottom, 2.0, gap));
                costs.push(Candidate {
                    area: area.inset(-2.0, 0.0, -2.0, 0.0),
                    leader,
                    cost: cost + row_cost,
                });
                words.push(text);
            }
        }
        for (shift, anchor) in [(8.0, Anchor::Start), (-8.0, Anchor::End)] {
            let text = Words::new((at.0 + shift, at.1 + 4.0), label, SMALL).anchored(anchor);
            costs.push(Candidate { area: text.area(), leader: None, cost: 2.0 });
            words.push(text);
        }
        (words, costs)
    }
}
