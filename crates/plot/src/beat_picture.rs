//! Beat picture: the averaged tick and tock of one balance, with what happens in them.
//!
//! Loudness against time, the spread from beat to beat as a band. Under each base line hangs an
//! amplitude scale: were the drop at a mark, the amplitude would be what is written there.

use crate::axis::{Range, Scale, Tick, ticks};
use crate::geometry::{Area, Point};
use crate::labels::{Candidate, place, without_crowding};
use crate::number::{fixed, in_line, written};
use crate::panel::{self, HEADING_HEIGHT, LEVEL_AXIS_HEIGHT, Mark, Panel, SMALL};
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Stroke, Words};
use crate::theme::{Ink, Theme};
use crate::thin::kept;
use crate::values::{Balance, Side, Size, Value, drawable};

/// One mark of an amplitude scale: where on the time axis, and what amplitude belongs there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleMark {
    /// Time on the axis of the trace, ms.
    pub at_ms: f64,
    /// The amplitude that a drop at this time would mean, degrees.
    pub amplitude_deg: f64,
}

/// The averaged beat of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatTrace {
    /// Tick or tock.
    pub side: Side,
    /// Time of the first value, ms; the zero is the caller's.
    pub start_ms: f64,
    /// Step from value to value, ms, above zero.
    pub step_ms: f64,
    /// Mean loudness, any unit, zero being silence.
    pub mean: Vec<f64>,
    /// Standard deviation from beat to beat in the same unit; as many as there are means, or
    /// none.
    pub spread: Vec<f64>,
    /// Time of unlocking, ms on the same axis.
    pub unlocking_ms: Option<f64>,
    /// Time of impulse, ms.
    pub impulse_ms: Option<f64>,
    /// Time of drop, ms.
    pub drop_ms: Option<f64>,
    /// The amplitude scale; empty where there is none.
    pub scale: Vec<ScaleMark>,
    /// The amplitude of this side, degrees.
    pub amplitude_deg: Option<Value>,
}

/// Everything in one Beat picture.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatPicture {
    /// Which balance.
    pub balance: Balance,
    /// Behind the heading, where there is room: "lift angle 52°", say.
    pub note: String,
    /// Tick and tock (or one, where they are not told apart), drawn below each other.
    pub traces: Vec<BeatTrace>,
}

const EVENT_ROW: f64 = 17.0;
// Unlocking, impulse and drop can always be named in as many rows as they are.
const MOST_EVENT_ROWS: usize = 3;
const SCALE: f64 = 30.0;
const LANE_GAP: f64 = 8.0;
// Room at the left for the side's name and its amplitude.
const GUTTER: f64 = 62.0;
const RIGHT: f64 = 8.0;
// Never more points than this in one curve.
const MOST_POINTS: usize = 5000;
const LEAST_SPAN_MS: f64 = 0.1;
// What is shown before the first and after the last event, as shares of the time between them:
// enough to see the silence before, and the marks of low amplitudes after.
const BEFORE: f64 = 0.22;
const AFTER: f64 = 0.95;
const LEAST_BUSY_MS: f64 = 2.0;
// Closer than this, marks of the amplitude scale run into a grey bar, px.
const LEAST_MARK_GAP: f64 = 3.5;
const EVENT_DASHES: &[f64] = &[2.0, 3.0];

impl BeatTrace {
    fn time_ms(&self, n: usize) -> f64 {
        self.start_ms + n as f64 * self.step_ms
    }

    fn is_drawable(&self) -> bool {
        let last = self.time_ms(self.mean.len().saturating_sub(1));
        drawable(self.start_ms) && drawable(last) && self.step_ms > 0.0
    }

    fn spread_at(&self, n: usize) -> f64 {
        self.spread.get(n).copied().filter(|s| drawable(*s)).unwrap_or(0.0).abs()
    }

    fn events(&self) -> impl Iterator<Item = (&'static str, f64)> {
        [("unlocking", self.unlocking_ms), ("impulse", self.impulse_ms), ("drop", self.drop_ms)]
            .into_iter()
            .filter_map(|(name, at)| Some((name, at.filter(|at| drawable(*at))?)))
    }

    fn loudest_ms(&self) -> Option<f64> {
        let means = self.mean.iter().enumerate().filter(|(_, m)| drawable(**m));
        means.max_by(|a, b| a.1.total_cmp(b.1)).map(|(n, _)| self.time_ms(n))
    }

    fn amplitude(&self) -> Option<Value> {
        self.amplitude_deg.filter(|a| drawable(a.value))
    }
}

impl BeatPicture {
    /// Draws the picture.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        panel::alone(self, size, theme)
    }

    /// The part of the time axis that something happens in: from a little before the first event
    /// to when the sound after the last has died down, within what the traces cover.
    fn time_range(&self) -> Range {
        let drawn = || self.traces.iter().filter(|t| t.is_drawable() && !t.mean.is_empty());
        let ends = drawn().flat_map(|t| [t.start_ms, t.time_ms(t.mean.len() - 1)]);
        let all = Range::of(ends).unwrap_or(Range { least: 0.0, most: 10.0 });
        let all = all.at_least(LEAST_SPAN_MS);
        let moments = drawn().flat_map(|t| t.events().map(|(_, at)| at).chain(t.loudest_ms()));
        let has_events = drawn().any(|t| t.events().next().is_some());
        let Some(busy) = Range::of(moments.filter(|at| all.holds(*at))).filter(|_| has_events)
        else {
            return all;
        };
        let length = busy.span().max(LEAST_BUSY_MS);
        let least = (busy.least - BEFORE * length).max(all.least);
        let most = (busy.most + AFTER * length).min(all.most);
        Range { least, most }.at_least(LEAST_SPAN_MS)
    }

    /// The time axis of a picture of this width that begins at `left`.
    fn time_scale(&self, left: f64, width: f64) -> Scale {
        Scale::linear(self.time_range(), left + GUTTER, left + width - RIGHT)
    }

    /// Rows that the names of events take above each curve; the same for both sides.
    fn event_rows(&self, width: f64) -> usize {
        let x = self.time_scale(0.0, width);
        let named = self.traces.iter().flat_map(|t| name_events(t, &x, GUTTER, width - RIGHT));
        named.map(|event| event.row + 1).max().unwrap_or(1)
    }

    /// One loudness scale for both sides, so that they can be compared.
    fn loudest(&self) -> f64 {
        let tops = self.traces.iter().flat_map(|t| {
            let means = t.mean.iter().enumerate().filter(|(_, m)| drawable(**m));
            means.map(|(n, m)| m + t.spread_at(n))
        });
        let top = tops.fold(0.0, f64::max);
        if top > 0.0 { top } else { 1.0 }
    }
}

/// Height of a curve in a picture of this width.
fn curve_height(width: f64) -> f64 {
    if panel::is_phone(width) { 84.0 } else { 112.0 }
}

fn lane_height(trace: &BeatTrace, event_rows: usize, curve: f64) -> f64 {
    let scale = if trace.scale.is_empty() { 0.0 } else { SCALE };
    EVENT_ROW * event_rows as f64 + curve + scale + LANE_GAP
}

/// A moment in the beat, and its name where it found a place.
struct NamedEvent {
    x: f64,
    /// The name, its height given from the top of the curve.
    words: Option<Words>,
    /// The row of the name, 0 next to the curve.
    row: usize,
}

/// Finds a place for the name of each event: at the right or the left of its line, as low as the
/// others allow.
fn name_events(trace: &BeatTrace, x: &Scale, left: f64, right: f64) -> Vec<NamedEvent> {
    let events: Vec<(&str, f64)> = trace
        .events()
        .map(|(name, at)| (name, x.px(at)))
        .filter(|(_, x)| *x >= left && *x <= right)
        .collect();
    let mut choices: Vec<Vec<(Words, usize)>> = Vec::new();
    let mut candidates: Vec<Vec<Candidate>> = Vec::new();
    for (name, x) in &events {
        let mut words = Vec::new();
        let mut costs = Vec::new();
        for row in 0..MOST_EVENT_ROWS {
            let foot = -(row as f64) * EVENT_ROW;
            let leader = Area::new(x - 1.5, foot - EVENT_ROW, 3.0, EVENT_ROW - foot);
            let at_right = Words::new((x + 4.0, foot - 5.0), *name, SMALL);
            let at_left = Words::new((x - 4.0, foot - 5.0), *name, SMALL).anchored(Anchor::End);
            for (text, cost) in [(at_right, 0.0), (at_left, 1.0)] {
                let cost = cost + 3.0 * row as f64;
                // The label keeps the width of a space from its neighbours.
                let area = text.area().inset(-3.0, 0.0, -3.0, 0.0);
                costs.push(Candidate { area, leader: Some(leader), cost });
                words.push((text.dim(), row));
            }
        }
        choices.push(words);
        candidates.push(costs);
    }
    let height = MOST_EVENT_ROWS as f64 * EVENT_ROW;
    let bounds = Area { left: left - 3.0, right: right + 11.0, top: -height, bottom: 0.0 };
    let chosen = place(&candidates, &[], bounds);
    let named = events.iter().zip(chosen).zip(choices).map(|(((_, x), chosen), choices)| {
        match chosen.and_then(|n| choices.into_iter().nth(n)) {
            Some((words, row)) => NamedEvent { x: *x, words: Some(words), row },
            None => NamedEvent { x: *x, words: None, row: 0 },
        }
    });
    named.collect()
}

impl Panel for BeatPicture {
    fn height(&self, width: f64) -> f64 {
        let event_rows = self.event_rows(width);
        let curve = curve_height(width);
        let lanes: f64 = self.traces.iter().map(|t| lane_height(t, event_rows, curve)).sum();
        HEADING_HEIGHT + lanes.max(curve) + LEVEL_AXIS_HEIGHT
    }

    fn stretches(&self) -> bool {
        false
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        // On a sheet a neighbour may have made the card taller than this picture needs.
        let area = Area { bottom: area.bottom.min(area.top + self.height(area.width())), ..area };
        panel::heading(scene, area, Some(&self.balance), "Beat", &self.note);
        let time = self.time_range();
        let below = area.inset(GUTTER, HEADING_HEIGHT, RIGHT, LEVEL_AXIS_HEIGHT);
        let x = self.time_scale(area.left, area.width());
        let event_rows = self.event_rows(area.width());
        let curve_height = curve_height(area.width());
        let loudness = Range { least: 0.0, most: self.loudest() };
        let mut top = below.top;
        for trace in &self.traces {
            let height = lane_height(trace, event_rows, curve_height);
            let curve_top = top + EVENT_ROW * event_rows as f64;
            let curve = Area { top: curve_top, bottom: curve_top + curve_height, ..below };
            let y = Scale::linear(loudness, curve.bottom, curve.top + 2.0);
            let lane = Lane { curve, x, y, place: self.balance.place };
            lane.draw(scene, trace, area.left);
            top += height;
        }
        if self.traces.iter().all(|t| t.mean.is_empty()) {
            panel::nothing_here(scene, below, "no averaged beat");
        }
        let steps = (below.width() / 56.0) as usize;
        let mut time_ticks: Vec<Tick> = ticks(time, steps.max(2), fixed);
        if let Some(last) = time_ticks.last_mut() {
            last.label.push_str("\u{a0}ms");
        }
        panel::level_axis(scene, below, &x, &time_ticks, (area.left, area.right));
    }

    fn title(&self) -> String {
        format!("Beat of balance {}", self.balance.letter)
    }

    fn description(&self) -> String {
        let mut text = String::from("Averaged loudness of the beat against time.");
        for trace in &self.traces {
            text.push_str(&format!(" {}:", trace.side.word()));
            let mut parts: Vec<String> =
                trace.events().map(|(name, at)| format!("{name} at {} ms", fixed(at, 2))).collect();
            if let Some(amplitude) = trace.amplitude() {
                parts.push(format!("amplitude {}", in_line(amplitude, "°", false)));
            }
            if parts.is_empty() {
                parts.push("nothing marked".into());
            }
            text.push_str(&format!(" {}.", parts.join(", ")));
        }
        text
    }
}

/// One side's part of the picture.
struct Lane {
    curve: Area,
    x: Scale,
    y: Scale,
    place: usize,
}

impl Lane {
    fn draw(&self, scene: &mut Scene, trace: &BeatTrace, left: f64) {
        let ink = Ink::Balance(self.place);
        let base = self.curve.bottom;
        scene.line((self.curve.left, base), (self.curve.right, base), Stroke::new(Ink::Axis, 1.0));
        self.draw_scale(scene, trace);
        self.draw_events(scene, trace);
        for run in self.runs(trace) {
            self.draw_run(scene, trace, &run, ink);
        }
        self.draw_drop(scene, trace, ink);
        self.draw_name(scene, trace, left, ink);
    }

    /// Stretches of values that can be drawn.
    fn runs(&self, trace: &BeatTrace) -> Vec<Vec<usize>> {
        if !trace.is_drawable() {
            return Vec::new();
        }
        let usable: Vec<usize> = (0..trace.mean.len()).collect();
        usable
            .split(|n| !drawable(trace.mean[*n]))
            .filter(|run| run.len() > 1)
            .map(<[usize]>::to_vec)
            .collect()
    }

    fn draw_run(&self, scene: &mut Scene, trace: &BeatTrace, run: &[usize], ink: Ink) {
        let low = |k: usize| trace.mean[run[k]] - trace.spread_at(run[k]);
        let high = |k: usize| trace.mean[run[k]] + trace.spread_at(run[k]);
        let most = MOST_POINTS.min((self.curve.width() * 4.0) as usize).max(4);
        let chosen = kept(run.len(), most, |k| run[k] as f64, low, high);
        let px = |k: usize, loudness: f64| -> Point {
            (self.x.px(trace.time_ms(run[k])), self.y.px(loudness.max(0.0)))
        };
        let mean: Vec<Point> = chosen.iter().map(|k| px(*k, trace.mean[run[*k]])).collect();
        let mut under = mean.clone();
        if let (Some(first), Some(last)) = (mean.first(), mean.last()) {
            under.push((last.0, self.curve.bottom));
            under.push((first.0, self.curve.bottom));
        }
        scene.polygon(self.curve.cut_polygon(&under), ink, 0.08);
        if !trace.spread.is_empty() {
            let upper = chosen.iter().map(|k| px(*k, high(*k)));
            let lower = chosen.iter().rev().map(|k| px(*k, low(*k)));
            let band: Vec<Point> = upper.chain(lower).collect();
            scene.polygon(self.curve.cut_polygon(&band), ink, 0.25);
        }
        for piece in self.curve.cut_line(&mean) {
            scene.curve(piece, Stroke::new(ink, 1.6));
        }
    }

    /// Names unlocking, impulse and drop above the curve, a thin line down from each.
    fn draw_events(&self, scene: &mut Scene, trace: &BeatTrace) {
        for event in name_events(trace, &self.x, self.curve.left, self.curve.right) {
            let mut top = self.curve.top;
            if let Some(mut words) = event.words {
                words.at.1 += self.curve.top;
                top = words.at.1 - SMALL * 0.75;
                scene.words(words);
            }
            let stroke = Stroke::new(Ink::Axis, 1.0).dashed(EVENT_DASHES);
            scene.line((event.x, top), (event.x, self.curve.bottom), stroke);
        }
    }

    /// The amplitude scale under the base line, the roundest numbers written first.
    fn draw_scale(&self, scene: &mut Scene, trace: &BeatTrace) {
        let mut marks: Vec<(f64, f64)> = trace
            .scale
            .iter()
            .filter(|m| drawable(m.at_ms) && drawable(m.amplitude_deg))
            .map(|m| (self.x.px(m.at_ms), m.amplitude_deg))
            .filter(|(x, _)| *x >= self.curve.left && *x <= self.curve.right)
            .collect();
        marks.truncate(MOST_SCALE_MARKS);
        marks.sort_by_key(|(_, degrees)| coarseness(*degrees));
        let base = self.curve.bottom;
        let words: Vec<Words> = marks
            .iter()
            .map(|(x, degrees)| {
                let text = format!("{}°", fixed(*degrees, 0));
                let mut words = Words::new((0.0, base + 20.0), text, SMALL).dim();
                // The figures stand under the mark, the degree sign hangs over.
                let sign = Words::new((0.0, 0.0), "°", SMALL).width();
                words.at.0 = x - (words.width() - sign) / 2.0;
                let furthest = (self.curve.right + 8.0 - words.width()).max(0.0);
                words.at.0 = words.at.0.clamp(self.curve.left - 20.0, furthest);
                words
            })
            .collect();
        let ends: Vec<(f64, f64)> = words.iter().map(|w| (w.at.0, w.at.0 + w.width())).collect();
        let mut kept = without_crowding(&ends, &[], 7.0);
        // Tens are written only where hardly anything rounder is: 170 between 150 and 200 misleads.
        let round = |n: usize| coarseness(marks[n].1) <= COARSE_ENOUGH;
        if (0..marks.len()).filter(|n| kept[*n] && round(*n)).count() >= 2 {
            for (n, kept) in kept.iter_mut().enumerate() {
                *kept &= round(n);
            }
        }
        let spots: Vec<(f64, f64)> = marks.iter().map(|(x, _)| (*x, *x)).collect();
        let drawn = without_crowding(&spots, &[], LEAST_MARK_GAP);
        let mut leftmost = f64::INFINITY;
        for ((((x, _), words), kept), drawn) in marks.iter().zip(words).zip(kept).zip(drawn) {
            let length = if kept { 6.0 } else { 3.5 };
            if kept || drawn {
                scene.line((*x, base), (*x, base + length), Stroke::new(Ink::Axis, 1.0));
            }
            if kept {
                leftmost = leftmost.min(words.at.0);
                scene.words(words);
            }
        }
        let name = Words::new((leftmost - 10.0, base + 20.0), "amplitude", SMALL).dim();
        let name = name.anchored(Anchor::End);
        if leftmost.is_finite() && name.area().left >= self.curve.left {
            scene.words(name);
        }
    }

    /// The drop, as the needle of the amplitude scale.
    fn draw_drop(&self, scene: &mut Scene, trace: &BeatTrace, ink: Ink) {
        if trace.scale.is_empty() {
            return;
        }
        let Some(x) = trace.drop_ms.filter(|d| drawable(*d)).map(|d| self.x.px(d)) else { return };
        if x < self.curve.left + 4.0 || x > self.curve.right - 4.0 {
            return;
        }
        let base = self.curve.bottom;
        scene.polygon(vec![(x - 4.0, base - 7.0), (x + 4.0, base - 7.0), (x, base)], ink, 1.0);
        scene.line((x, base), (x, base + 7.0), Stroke::new(ink, 1.6));
    }

    /// Name of the side and its amplitude, at the left.
    fn draw_name(&self, scene: &mut Scene, trace: &BeatTrace, left: f64, ink: Ink) {
        let top = self.curve.top + 14.0;
        panel::draw_mark(scene, Mark::Beat(trace.side), vec![(left + 3.0, top - 4.5)], 6.0, ink);
        scene.words(Words::new((left + 11.0, top), trace.side.word(), SMALL).dim());
        let Some(amplitude) = trace.amplitude() else { return };
        let written = written(amplitude, false, 0);
        let room = GUTTER - 6.0;
        let number = Words::new((left, top + 20.0), format!("{}°", written.number), 15.0).bold();
        scene.words(number.at_most(room));
        let uncertainty = written.uncertainty.map(|u| format!("{u}°")).unwrap_or_default();
        scene.words(Words::new((left, top + 37.0), uncertainty, SMALL).dim().at_most(room));
    }
}

// More marks than this on one scale would be a grey bar.
const MOST_SCALE_MARKS: usize = 200;

/// Whole twenties and everything rounder.
const COARSE_ENOUGH: u8 = 2;

/// 0 for whole hundreds, then fifties, twenties, tens, and all else.
fn coarseness(degrees: f64) -> u8 {
    let whole = degrees.round();
    let divides = |by: f64| (degrees - whole).abs() < 1e-6 && whole.rem_euclid(by) == 0.0;
    [100.0, 50.0, 20.0, 10.0].iter().position(|by| divides(*by)).unwrap_or(4) as u8
}
