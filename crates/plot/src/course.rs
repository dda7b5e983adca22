//! Course: a value with its uncertainty against time, as a line with a band.

use crate::axis::{Range, Scale, Tick, duration, ticks, time_ticks};
use crate::geometry::{Area, Point};
use crate::number::{fixed, in_line, signed, spaced_unit};
use crate::panel::{self, HEADING_HEIGHT, LEVEL_AXIS_HEIGHT, LineEnd, Panel};
use crate::picture::Picture;
use crate::scene::{Scene, Stroke};
use crate::theme::{Ink, Theme, dashes};
use crate::thin::kept;
use crate::values::{Balance, Size, Value, drawable};

/// One point of a course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoursePoint {
    /// When, seconds.
    pub time_s: f64,
    /// The value there. One that is not finite leaves a gap in the line.
    pub value: Value,
}

/// One balance's course.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseLine {
    /// Which balance.
    pub balance: Balance,
    /// The points in order of time. A step of more than four times the usual one (the median)
    /// leaves a gap in the line.
    pub points: Vec<CoursePoint>,
    /// What stands at the end of the line: the mean over all of it, say.
    pub mean: Option<Value>,
}

/// Everything in one picture of a course.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// "Amplitude", "Rate".
    pub title: String,
    /// The unit: "°", "s/d".
    pub unit: String,
    /// Whether numbers above zero carry a plus.
    pub signed: bool,
    /// Least height of the upright axis in the unit, so that nothing much does not look like much.
    pub least_span: f64,
    /// One line a balance.
    pub lines: Vec<CourseLine>,
}

const MOST_POINTS: usize = 5000;
const GAP_STEPS: f64 = 4.0;
const LEAST_TIME_SPAN_S: f64 = 0.01;
const TOP_GAP: f64 = 10.0;

impl Course {
    /// Draws the picture.
    pub fn draw(&self, size: Size, theme: Theme) -> Picture {
        panel::alone(self, size, theme)
    }

    fn means(&self) -> Vec<Option<Value>> {
        self.lines.iter().map(|l| l.mean.filter(|m| drawable(m.value))).collect()
    }

    fn ranges(&self) -> Option<(Range, Range)> {
        let points = || {
            let all = self.lines.iter().flat_map(|l| &l.points);
            all.filter(|p| drawable(p.time_s) && drawable(p.value.value))
        };
        let time = Range::of(points().map(|p| p.time_s))?;
        let values = Range::of(points().flat_map(|p| {
            let sd = p.value.shown_sd().unwrap_or(0.0);
            [p.value.value - sd, p.value.value + sd]
        }))?;
        let least = if drawable(self.least_span) { self.least_span } else { 0.0 };
        Some((time.at_least(LEAST_TIME_SPAN_S), values.at_least(least.abs()).padded(0.08)))
    }

    fn write(&self, number: f64, decimals: usize) -> String {
        let text = if self.signed { signed(number, decimals) } else { fixed(number, decimals) };
        if self.unit == "°" { text + "°" } else { text }
    }
}

/// Stretches without a gap, as indices into the points.
fn runs(points: &[CoursePoint]) -> Vec<Vec<usize>> {
    let usable: Vec<usize> = (0..points.len()).filter(|n| drawable(points[*n].time_s)).collect();
    let mut steps: Vec<f64> =
        usable.windows(2).map(|w| points[w[1]].time_s - points[w[0]].time_s).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let mut runs: Vec<Vec<usize>> = Vec::new();
    let mut run: Vec<usize> = Vec::new();
    for n in usable {
        let gap = run.last().is_some_and(|before| {
            usual > 0.0 && points[n].time_s - points[*before].time_s > GAP_STEPS * usual
        });
        let broken = !drawable(points[n].value.value);
        if (gap || broken) && !run.is_empty() {
            runs.push(std::mem::take(&mut run));
        }
        if !broken {
            run.push(n);
        }
    }
    if !run.is_empty() {
        runs.push(run);
    }
    runs
}

impl Panel for Course {
    fn height(&self, width: f64) -> f64 {
        let phone = panel::is_phone(width);
        let plot = if phone { 170.0 } else { (width * 0.26).clamp(170.0, 240.0) };
        let plot = f64::max(plot, panel::line_end_height(self.lines.len(), phone));
        let keys = if phone {
            panel::key_rows_height(&self.means(), &self.unit, self.signed, width)
        } else {
            0.0
        };
        HEADING_HEIGHT + keys + TOP_GAP + plot + LEVEL_AXIS_HEIGHT
    }

    fn draw(&self, scene: &mut Scene, area: Area) {
        let phone = panel::is_phone(area.width());
        let means = self.means();
        let unit_in_heading = if self.unit == "°" { "" } else { self.unit.as_str() };
        panel::heading(scene, area, None, &self.title, unit_in_heading);
        let mut below = area.inset(0.0, HEADING_HEIGHT, 0.0, 0.0);
        if phone {
            let balances: Vec<&Balance> = self.lines.iter().map(|l| &l.balance).collect();
            panel::key_rows(scene, &balances, &means, &self.unit, self.signed, below);
            below.top += panel::key_rows_height(&means, &self.unit, self.signed, area.width());
        }
        let Some((time, values)) = self.ranges() else {
            let plot = below.inset(0.0, TOP_GAP, 0.0, LEVEL_AXIS_HEIGHT);
            return panel::nothing_here(scene, plot, "nothing to draw");
        };
        let value_ticks: Vec<Tick> = ticks(values, 4, |n, decimals| self.write(n, decimals));
        let room = panel::line_end_room(&means, &self.unit, self.signed, phone);
        let left = panel::label_room(&value_ticks);
        let plot = below.inset(left, TOP_GAP, room, LEVEL_AXIS_HEIGHT);
        let x = Scale::linear(time, plot.left, plot.right);
        let y = Scale::linear(values, plot.bottom, plot.top);
        panel::upright_axis(scene, plot, &y, &value_ticks, self.signed);
        let time_ticks = time_ticks(time, (plot.width() / 62.0) as usize);
        panel::level_axis(scene, plot, &x, &time_ticks, (area.left, area.right));
        let mut ends = Vec::new();
        for (line, value) in self.lines.iter().zip(means) {
            let canvas = Canvas { plot, x, y };
            if let Some(at) = canvas.draw(scene, line) {
                ends.push(LineEnd { balance: &line.balance, at, value });
            }
        }
        panel::line_ends(scene, &ends, plot, &self.unit, self.signed, phone);
    }

    fn title(&self) -> String {
        self.title.clone()
    }

    fn description(&self) -> String {
        let mut text = match self.ranges() {
            Some((time, _)) => {
                format!("{} against time, over {}.", self.title, duration(time.span()))
            }
            None => format!("{} against time: nothing to draw.", self.title),
        };
        for line in &self.lines {
            let values = line.points.iter().map(|p| p.value.value);
            let range = match Range::of(values) {
                Some(range) => format!(
                    "from {} to {}{}",
                    self.write(range.least, 1),
                    self.write(range.most, 1),
                    if self.unit == "°" { String::new() } else { spaced_unit(&self.unit) }
                ),
                None => "no values".into(),
            };
            let mean = line.mean.filter(|m| drawable(m.value));
            let mean = mean.map(|m| format!(", mean {}", in_line(m, &self.unit, self.signed)));
            text.push_str(&format!(
                " Balance {}: {range}{}.",
                line.balance.letter,
                mean.unwrap_or_default()
            ));
        }
        text
    }
}

struct Canvas {
    plot: Area,
    x: Scale,
    y: Scale,
}

impl Canvas {
    /// Draws line and band; returns where the line ends.
    fn draw(&self, scene: &mut Scene, line: &CourseLine) -> Option<Point> {
        let place = line.balance.place;
        let ink = Ink::Balance(place);
        let points = &line.points;
        let sd = |n: usize| points[n].value.shown_sd().unwrap_or(0.0);
        let px = |n: usize, value: f64| (self.x.px(points[n].time_s), self.y.px(value));
        let mut end = None;
        let mut lone = Vec::new();
        for run in runs(points) {
            let low = |k: usize| points[run[k]].value.value - sd(run[k]);
            let high = |k: usize| points[run[k]].value.value + sd(run[k]);
            let most = MOST_POINTS.min((self.plot.width() * 4.0) as usize).max(4);
            let chosen = kept(run.len(), most, |k| points[run[k]].time_s, low, high);
            let middle: Vec<Point> =
                chosen.iter().map(|k| px(run[*k], points[run[*k]].value.value)).collect();
            let upper = chosen.iter().map(|k| px(run[*k], high(*k)));
            let lower = chosen.iter().rev().map(|k| px(run[*k], low(*k)));
            let band: Vec<Point> = upper.chain(lower).collect();
            scene.polygon(self.plot.cut_polygon(&band), ink, 0.18);
            if let [only] = middle[..] {
                lone.extend(self.plot.has(only).then_some(only));
            }
            for piece in self.plot.cut_line(&middle) {
                scene.curve(piece, Stroke::new(ink, 2.0).dashed(dashes(place)));
            }
            end = middle.last().copied().filter(|p| self.plot.has(*p)).or(end);
        }
        scene.dots(lone, 5.0, ink, 1.0);
        end
    }
}
