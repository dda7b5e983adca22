//! Drift: what each balance has gained or lost, in milliseconds, against elapsed time.
//!
//! Nothing is wrapped around: a line that climbs is a watch that gains, and its slope is the rate.
//! All balances share one pair of axes. Tick and tock lie apart by the beat error.

use crate::axis::{Range, Scale, Tick, duration, ticks, time_ticks};
use crate::geometry::{Area, Point};
use crate::labels::{Candidate, Obstacle, place};
use crate::number::{in_line, signed};
use crate::panel::{self, HEADING, HEADING_HEIGHT, LEVEL_AXIS_HEIGHT, LineEnd, Mark, Panel, SMALL};
use crate::picture::Picture;
use crate::scene::{Anchor, Scene, Stroke, Words};
use crate::theme::{Ink, Theme, dashes};
use crate::thin::kept;
use crate::values::{Balance, Side, Size, Value, drawable};

/// One beat, or the mean of a group of beats of one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriftBeat {
    /// When, seconds from the start of the picture's time.
    pub time_s: f64,
    /// Gained so far, ms; positive where the watch is ahead.
    pub gain_ms: f64,
    /// Tick or tock.
    pub side: Side,
    /// Whether it entered the fit. A beat that did not is drawn faintly.
    pub used: bool,
}

/// One balance in the Drift picture.
#[derive(Debug, Clone, PartialEq)]
pub struct DriftBalance {
    /// Which balance.
    pub balance: Balance,
    /// Its beats. Where it did not run there are none, and the picture stays open there.
    pub beats: Vec<DriftBeat>,
    /// The fitted line as (time in s, gain in ms), in pieces: one for each stretch in which the
    /// balance ran, of two points for a straight line or more for a curve.
    pub fit: Vec<Vec<(f64, f64)>>,
    /// The rate in seconds per day, where there is one.
    pub rate_s_per_d: Option<Value>,
}

/// The rates that are within tolerance, drawn as a wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Least rate, seconds per day (losing is negative).
    pub lower_s_per_d: f64,
    /// Greatest rate, seconds per day.
    pub upper_s_per_d: f64,
}

/// Everything in one Drift picture. Numbers that are not finite, or beyond 1e12, are left out.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drift {
    /// The balances, in the order of their places.
    pub balances: Vec<DriftBalance>,
    /// The tolerance, from the origin of the axes on.
    pub tolerance: Option<Tolerance>,
    /// From when to when the time axis runs, s; from the data where `None`.
    pub span_s: Option<(f64, f64)>,
    /// Whether each balance's rate has been taken out of its gains, so that what is left is how its
    /// beats scatter and waver.
    pub rates_taken_out: bool,
}

// Points of one side of one balance: more cannot be seen, and make the file slow to open.
const MOST_POINTS: usize = 5000;
// The wedge may widen the axis to so many times what the beats need, and is cut off beyond.
const WEDGE_MAY_WIDEN: f64 = 3.0;
// Least height of the gain axis, ms: below it one looks at the noise of the arithmetic.
const LEAST_GAIN_SPAN_MS: f64 = 0.2;
const LEAST_TIME_SPAN_S: f64 = 0.01;
const UNIT: &str = "s/d";
// Between the words at the top and the plot, px: half a tick label and a bit.
const TOP_GAP: f64 = 10.0;

/// Milliseconds gained in this time at this rate: 1 s/d is 1,000 ms in 86,400 s.
fn gain_ms(rate_s_per_d: f64, time_s: f64) -> f64 {
    rate_s_per_d * time_s / 86.4
}

impl Drift {
    /// Draws the picture.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        panel::alone(self, size, theme)
    }

    fn time_range(&self) -> Range {
        let wished = self.span_s.filter(|(a, b)| drawable(*a) && drawable(*b) && a < b);
        let range = match wished {
            Some((least, most)) => Range { least, most },
            None => {
                let times = self.points().map(|p| p.0);
                let range = Range::of(times).unwrap_or(Range { least: 0.0, most: 1.0 });
                // A start close to zero is a start at zero.
                let near = range.least > 0.0 && range.least < 0.1 * range.most;
                if near { range.with(0.0) } else { range }
            }
        };
        range.at_least(LEAST_TIME_SPAN_S)
    }

    /// All that can be drawn, used beats and fit, as (s, ms).
    fn points(&self) -> impl Iterator<Item = Point> + '_ {
        self.balances.iter().flat_map(|b| {
            let any_used = b.beats.iter().any(|beat| beat.used);
            let beats = b.beats.iter().filter(move |beat| beat.used || !any_used);
            let beats = beats.map(|beat| (beat.time_s, beat.gain_ms));
            beats
                .chain(b.fit.iter().flatten().copied())
                .filter(|(t, g)| drawable(*t) && drawable(*g))
        })
    }

    fn wedge(&self) -> Option<Tolerance> {
        self.tolerance.filter(|t| {
            drawable(t.lower_s_per_d)
                && drawable(t.upper_s_per_d)
                && t.lower_s_per_d <= t.upper_s_per_d
        })
    }

    fn gain_range(&self, time: Range) -> Range {
        let within = self.points().filter(|(t, _)| time.holds(*t)).map(|(_, gain)| gain);
        let beats = Range::of(within).unwrap_or(Range { least: 0.0, most: 0.0 }).with(0.0);
        let beats = beats.at_least(LEAST_GAIN_SPAN_MS);
        let mut range = beats;
        if let Some(wedge) = self.wedge() {
            let most = beats.span() * WEDGE_MAY_WIDEN;
            for rate in [wedge.lower_s_per_d, wedge.upper_s_per_d] {
                range = range.with(gain_ms(rate, time.span()).clamp(-most, most));
            }
        }
        range.padded(0.06)
    }

    fn rates(&self) -> Vec<Option<Value>> {
        let rates = self.balances.iter().map(|b| b.rate_s_per_d);
        rates.map(|r| r.filter(|r| drawable(r.value))).collect()
    }

    fn marks(&self) -> Vec<Mark> {
        let beats = || self.balances.iter().flat_map(|b| &b.beats);
        let mut marks = Vec::new();
        for side in [Side::Tick, Side::Tock] {
            if beats().any(|beat| beat.side == side && beat.used) {
                marks.push(Mark::Beat(side));
            }
        }
        if beats().any(|beat| !beat.used) {
            marks.push(Mark::LeftOut);
        }
        let time = self.time_range();
        let gain = self.gain_range(time);
        let outside = |beat: &DriftBeat| {
            let drawn = drawable(beat.time_s) && drawable(beat.gain_ms);
            drawn && time.holds(beat.time_s) && !gain.holds(beat.gain_ms)
        };
        if beats().any(outside) {
            marks.push(Mark::Outside);
        }
        marks
    }
}

impl Panel for Drift {
    fn height(&self, width: f64) -> f64 {
        let phone = panel::is_phone(width);
        let plot = if phone { 280.0 } else { (width * 0.45).clamp(300.0, 420.0) };
        let plot = f64::max(plot, panel::line_end_height(self.balances.len(), phone));
        let keys =
            if phone { panel::key_rows_height(&self.rates(), UNIT, true, width) } else { 0.0 };
        HEADING_HEIGHT + keys + TOP_GAP + plot + LEVEL_AXIS_HEIGHT
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        let phone = panel::is_phone(area.width());
        let rates = self.rates();
        let note = match (self.rates_taken_out, phone) {
            (false, true) => "ms gained",
            (false, false) => "milliseconds gained (+) or lost (−)",
            (true, true) => "ms",
            (true, false) => "milliseconds, each rate taken out",
        };
        let end = panel::heading(scene, area, None, &self.title(), note);
        panel::mark_key(scene, &self.marks(), area.top + HEADING, end + 16.0, area.right);
        let mut below = area.inset(0.0, HEADING_HEIGHT, 0.0, 0.0);
        if phone {
            let balances: Vec<&Balance> = self.balances.iter().map(|b| &b.balance).collect();
            panel::key_rows(scene, &balances, &rates, UNIT, true, below);
            below.top += panel::key_rows_height(&rates, UNIT, true, area.width());
        }
        let time = self.time_range();
        let gain = self.gain_range(time);
        let about = if phone { 5 } else { 7 };
        let gain_ticks: Vec<Tick> = ticks(gain, about, signed);
        let room = panel::line_end_room(&rates, UNIT, true, phone);
        let plot = below.inset(panel::label_room(&gain_ticks), TOP_GAP, room, LEVEL_AXIS_HEIGHT);
        let x = Scale::linear(time, plot.left, plot.right);
        let y = Scale::linear(gain, plot.bottom, plot.top);
        let canvas = Canvas { plot, x, y, time };

        if self.points().next().is_none() {
            panel::nothing_here(scene, plot, "no beats to draw");
            return;
        }
        self.draw_wedge(scene, &canvas);
        panel::upright_axis(scene, plot, &y, &gain_ticks, true);
        let time_steps = (plot.width() / 62.0) as usize;
        panel::level_axis(scene, plot, &x, &time_ticks(time, time_steps), (area.left, area.right));
        for balance in &self.balances {
            canvas.draw_beats(scene, balance);
        }
        for balance in &self.balances {
            canvas.draw_fit(scene, balance);
        }
        self.label_wedge(scene, &canvas);
        let ends: Vec<LineEnd> = self
            .balances
            .iter()
            .zip(rates)
            .filter_map(|(b, value)| {
                Some(LineEnd { balance: &b.balance, at: canvas.line_end(b)?, value })
            })
            .collect();
        panel::line_ends(scene, &ends, plot, UNIT, true, phone);
    }

    fn title(&self) -> String {
        if self.rates_taken_out { "Scatter" } else { "Drift" }.into()
    }

    fn description(&self) -> String {
        let time = self.time_range();
        let out = if self.rates_taken_out { ", each rate taken out" } else { "" };
        let mut text = format!(
            "Milliseconds gained or lost against elapsed time{out}, over {}.",
            duration(time.span())
        );
        if self.balances.is_empty() {
            text.push_str(" No balance.");
        }
        for b in &self.balances {
            let used = b.beats.iter().filter(|beat| beat.used).count();
            let rate = b.rate_s_per_d.filter(|r| drawable(r.value));
            let rate = rate.map_or_else(
                || "rate not known".into(),
                |rate| format!("rate {}", in_line(rate, UNIT, true)),
            );
            text.push_str(&format!(
                " Balance {}: {rate}, {used} of {} beats used.",
                b.balance.letter,
                b.beats.len()
            ));
        }
        if let Some(wedge) = self.wedge() {
            text.push_str(&format!(
                " Tolerance from {} to {} s/d.",
                signed(wedge.lower_s_per_d, 1),
                signed(wedge.upper_s_per_d, 1)
            ));
        }
        text
    }
}

/// The plot with its scales.
struct Canvas {
    plot: Area,
    x: Scale,
    y: Scale,
    time: Range,
}

impl Canvas {
    fn px(&self, (time_s, gain_ms): (f64, f64)) -> Point {
        (self.x.px(time_s), self.y.px(gain_ms))
    }

    fn draw_beats(&self, scene: &mut Scene, balance: &DriftBalance) {
        let ink = Ink::Balance(balance.balance.place);
        let most = MOST_POINTS.min((self.plot.width() * 4.0) as usize).max(4);
        let mut outside = Vec::new();
        for mark in [Mark::LeftOut, Mark::Beat(Side::Tick), Mark::Beat(Side::Tock)] {
            let belongs = |beat: &&DriftBeat| match mark {
                Mark::LeftOut | Mark::Outside => !beat.used,
                Mark::Beat(side) => beat.used && beat.side == side,
            };
            let points: Vec<Point> = balance
                .beats
                .iter()
                .filter(belongs)
                .filter(|beat| drawable(beat.time_s) && drawable(beat.gain_ms))
                .map(|beat| self.px((beat.time_s, beat.gain_ms)))
                .collect();
            let chosen =
                kept(points.len(), most, |n| points[n].0, |n| points[n].1, |n| points[n].1);
            let (inside, out): (Vec<Point>, Vec<Point>) =
                chosen.into_iter().map(|n| points[n]).partition(|p| self.plot.has(*p));
            outside.extend(out);
            let size = dot_size(inside.len(), self.plot.width());
            panel::draw_mark(scene, mark, inside, size, ink);
        }
        self.draw_outside(scene, &outside, ink);
    }

    /// Beats above or below the picture, as short strokes at its edge.
    fn draw_outside(&self, scene: &mut Scene, points: &[Point], ink: Ink) {
        const MOST: usize = 200;
        let beside = points.iter().filter(|p| p.0 >= self.plot.left && p.0 <= self.plot.right);
        for (x, y) in beside.take(MOST) {
            let middle =
                if *y < self.plot.top { self.plot.top + 2.5 } else { self.plot.bottom - 2.5 };
            panel::draw_mark(scene, Mark::Outside, vec![(*x, middle)], 5.0, ink);
        }
    }

    fn fit_px(&self, balance: &DriftBalance) -> Vec<Vec<Point>> {
        let mut pieces = Vec::new();
        for piece in &balance.fit {
            for run in piece.split(|(t, g)| !drawable(*t) || !drawable(*g)) {
                let most = MOST_POINTS;
                let chosen = kept(run.len(), most, |n| run[n].0, |n| run[n].1, |n| run[n].1);
                let points: Vec<Point> = chosen.into_iter().map(|n| self.px(run[n])).collect();
                pieces.extend(self.plot.cut_line(&points));
            }
        }
        pieces
    }

    fn draw_fit(&self, scene: &mut Scene, balance: &DriftBalance) {
        let place = balance.balance.place;
        for points in self.fit_px(balance) {
            // A thin edge in the colour of the card lifts the line off its own beats.
            let edge = Stroke { opacity: 0.8, ..Stroke::new(Ink::Card, 3.4) };
            scene.curve(points.clone(), edge);
            scene.curve(points, Stroke::new(Ink::Balance(place), 2.0).dashed(dashes(place)));
        }
    }

    /// Where the line of a balance ends: its fit, or else its last beat.
    fn line_end(&self, balance: &DriftBalance) -> Option<Point> {
        let fits = self.fit_px(balance);
        if let Some(last) = fits.last().and_then(|piece| piece.last()) {
            return Some(*last);
        }
        let beats = balance.beats.iter().map(|beat| self.px((beat.time_s, beat.gain_ms)));
        beats.filter(|p| self.plot.has(*p)).max_by(|a, b| a.0.total_cmp(&b.0))
    }
}

/// Diameter of the dots: smaller where there are many in a px.
fn dot_size(count: usize, width_px: f64) -> f64 {
    let per_px = count as f64 / width_px.max(1.0);
    (4.6 - 2.6 * per_px).clamp(2.2, 4.2)
}

impl Drift {
    fn wedge_edge(canvas: &Canvas, rate: f64, share: f64) -> Point {
        let time_s = share * canvas.time.span();
        canvas.px((canvas.time.least + time_s, gain_ms(rate, time_s)))
    }

    fn draw_wedge(&self, scene: &mut Scene, canvas: &Canvas) {
        let Some(wedge) = self.wedge() else { return };
        let origin = canvas.px((canvas.time.least, 0.0));
        let upper = Self::wedge_edge(canvas, wedge.upper_s_per_d, 1.0);
        let lower = Self::wedge_edge(canvas, wedge.lower_s_per_d, 1.0);
        scene.polygon(canvas.plot.cut_polygon(&[origin, upper, lower]), Ink::Wedge, 1.0);
        for edge in [upper, lower] {
            for piece in canvas.plot.cut_line(&[origin, edge]) {
                scene.curve(piece, Stroke::new(Ink::WedgeEdge, 1.0));
            }
        }
    }

    /// Names the edges of the wedge where they cover least.
    fn label_wedge(&self, scene: &mut Scene, canvas: &Canvas) {
        let Some(wedge) = self.wedge() else { return };
        let decimals = |rate: f64| usize::from((rate - rate.round()).abs() > 0.05);
        let named = |rate: f64| format!("{} s/d", signed(rate, decimals(rate)));
        let (upper, lower) = (wedge.upper_s_per_d, wedge.lower_s_per_d);
        // The word is worth little: it goes before the number covers something.
        let both = [
            (upper, vec![(format!("tolerance {}", named(upper)), 0.0), (named(upper), 9.0)], -1.0),
            (lower, vec![(named(lower), 0.0)], 1.0),
        ];
        let mut words: Vec<Vec<Words>> = Vec::new();
        let mut candidates: Vec<Vec<Candidate>> = Vec::new();
        for (rate, texts, outward) in both {
            let mut places = Vec::new();
            let mut costs = Vec::new();
            let shares = (0..14).map(|step| (f64::from(step), 0.99 - 0.06 * f64::from(step)));
            for (step, share) in shares {
                let at = Self::wedge_edge(canvas, rate, share);
                if !canvas.plot.has(at) {
                    continue;
                }
                for (text, text_cost) in &texts {
                    for (direction, cost) in [(outward, 0.0), (-outward, 6.0)] {
                        let text = self.beside_edge(canvas, rate, at, direction, text);
                        let cost = cost + text_cost + step;
                        // A little air around the words.
                        let area = text.area().inset(-4.0, 0.0, 0.0, 0.0);
                        costs.push(Candidate { area, leader: None, cost });
                        places.push(text.haloed());
                    }
                }
            }
            words.push(places);
            candidates.push(costs);
        }
        let obstacles = self.obstacles(canvas);
        let chosen = place(&candidates, &obstacles, canvas.plot);
        for (chosen, words) in chosen.into_iter().zip(words) {
            if let Some(words) = chosen.and_then(|n| words.into_iter().nth(n)) {
                scene.words(words);
            }
        }
    }

    /// Text that ends at this place of an edge of the wedge, above it (-1) or below (1), and clears
    /// the slanted edge over all its width.
    fn beside_edge(
        &self,
        canvas: &Canvas,
        rate: f64,
        at: Point,
        direction: f64,
        text: &str,
    ) -> Words {
        let base = if direction < 0.0 { at.1 - 6.0 } else { at.1 + 6.0 + SMALL * 0.75 };
        let words = Words::new((at.0, base), text, SMALL).dim().anchored(Anchor::End);
        let slant = self.slant(canvas, rate, words.width());
        let shift = if (direction < 0.0) == (slant < 0.0) { 0.0 } else { slant };
        Words { at: (at.0, base - shift), ..words }
    }

    /// How far an edge of the wedge rises (negative) or falls over so many px, downwards px.
    fn slant(&self, canvas: &Canvas, rate: f64, width_px: f64) -> f64 {
        let (a, b) = (Self::wedge_edge(canvas, rate, 0.0), Self::wedge_edge(canvas, rate, 1.0));
        (b.1 - a.1) / (b.0 - a.0).max(1.0) * width_px
    }

    /// Small boxes along the lines and beats, for labels to keep clear of.
    fn obstacles(&self, canvas: &Canvas) -> Vec<Obstacle> {
        let spot = |(x, y): Point| Area::new(x - 3.0, y - 3.0, 6.0, 6.0);
        let mut spots = Vec::new();
        for balance in &self.balances {
            for piece in canvas.fit_px(balance) {
                for pair in piece.windows(2) {
                    let length = (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1);
                    let steps = (length / 5.0).ceil().clamp(1.0, 400.0) as usize;
                    spots.extend((0..=steps).map(|n| {
                        let share = n as f64 / steps as f64;
                        spot((
                            pair[0].0 + share * (pair[1].0 - pair[0].0),
                            pair[0].1 + share * (pair[1].1 - pair[0].1),
                        ))
                    }));
                }
            }
            // A few hundred of the beats stand for all of them.
            // Odd, so that ticks and tocks both are among them.
            let every = (balance.beats.len() / 300) | 1;
            let beats = balance.beats.iter().step_by(every);
            let beats = beats.map(|beat| canvas.px((beat.time_s, beat.gain_ms)));
            spots.extend(beats.filter(|p| canvas.plot.has(*p)).map(spot));
        }
        spots.into_iter().map(Obstacle::line).collect()
    }
}
