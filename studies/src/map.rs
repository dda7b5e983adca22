//! A map as a picture: panels of cells, each split among what became of its recordings.
//!
//! It is set in the typeface of `plot`; what is wrong also carries a cross, so that nobody needs
//! the colours.

use plot::{FONT_FAMILY, REGULAR_WOFF2};
use std::fmt::Write;

/// Everything in one map.
pub(crate) struct Map {
    pub(crate) title: String,
    pub(crate) across: String,
    pub(crate) across_labels: Vec<String>,
    pub(crate) down: String,
    pub(crate) down_labels: Vec<String>,
    /// What each swatch means.
    pub(crate) key: Vec<(Swatch, String)>,
    pub(crate) panels: Vec<Panel>,
    pub(crate) panels_in_a_row: usize,
}

/// One panel: rows from the top, cells from the left.
pub(crate) struct Panel {
    pub(crate) title: String,
    pub(crate) cells: Vec<Vec<Shares>>,
}

/// What a cell is filled with: swatches and how much of the cell each takes, 1 in all.
pub(crate) type Shares = Vec<(Swatch, f64)>;

/// A colour, and whether a cross stands on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Swatch {
    pub(crate) fill: &'static str,
    pub(crate) crossed: bool,
}

impl Swatch {
    pub(crate) const fn plain(fill: &'static str) -> Self {
        Self { fill, crossed: false }
    }

    pub(crate) const fn crossed(fill: &'static str) -> Self {
        Self { fill, crossed: true }
    }
}

const CELL_PX: (f64, f64) = (36.0, 24.0);
const MARGIN_PX: f64 = 24.0;
const LABELS_PX: f64 = 64.0;
const PANEL_HEAD_PX: f64 = 26.0;
const PANEL_FOOT_PX: f64 = 50.0;
const HEAD_PX: f64 = 76.0;

impl Map {
    /// The picture as SVG with its typeface inside.
    pub(crate) fn svg(&self) -> String {
        let (cell_width, cell_height) = CELL_PX;
        let panel_width = LABELS_PX + cell_width * self.across_labels.len() as f64;
        let panel_height =
            PANEL_HEAD_PX + cell_height * self.down_labels.len() as f64 + PANEL_FOOT_PX;
        let rows = self.panels.len().div_ceil(self.panels_in_a_row);
        let width = MARGIN_PX + self.panels_in_a_row as f64 * (panel_width + MARGIN_PX);
        let height = HEAD_PX + rows as f64 * panel_height + MARGIN_PX / 2.0;
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
             width=\"{width}\" height=\"{height}\" role=\"img\">\n<title>{}</title>\n<style>\
             @font-face{{font-family:\"{FONT_FAMILY}\";src:url(data:font/woff2;base64,{})}}\
             text{{font-family:\"{FONT_FAMILY}\",sans-serif;font-size:12px;fill:#1d1f21}}\
             .dim{{fill:#5f6265}}.title{{font-size:16px}}.mid{{text-anchor:middle}}\
             .end{{text-anchor:end}}</style>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"#fffefc\"/>\n",
            escaped(&self.title),
            base64(REGULAR_WOFF2)
        );
        text(&mut svg, "title", (MARGIN_PX, 30.0), &self.title);
        self.key(&mut svg);
        for (n, panel) in self.panels.iter().enumerate() {
            let left = MARGIN_PX + (n % self.panels_in_a_row) as f64 * (panel_width + MARGIN_PX);
            let top = HEAD_PX + (n / self.panels_in_a_row) as f64 * panel_height;
            self.panel(&mut svg, panel, (left, top));
        }
        svg.push_str("</svg>\n");
        svg
    }

    fn key(&self, svg: &mut String) {
        let mut x = MARGIN_PX;
        for (swatch, name) in &self.key {
            patch(svg, (x, 46.0), (16.0, 14.0), *swatch);
            text(svg, "", (x + 22.0, 57.5), name);
            // Words of this size take about 6.6 px a letter in this typeface.
            x += 22.0 + 6.6 * name.chars().count() as f64 + 20.0;
        }
    }

    fn panel(&self, svg: &mut String, panel: &Panel, (left, top): (f64, f64)) {
        let (cell_width, cell_height) = CELL_PX;
        let (x0, y0) = (left + LABELS_PX, top + PANEL_HEAD_PX);
        text(svg, "", (x0, y0 - 8.0), &panel.title);
        for (row, cells) in panel.cells.iter().enumerate() {
            let y = y0 + row as f64 * cell_height;
            for (column, shares) in cells.iter().enumerate() {
                split_cell(svg, (x0 + column as f64 * cell_width, y), shares);
            }
            if let Some(label) = self.down_labels.get(row) {
                text(svg, "dim end", (x0 - 8.0, y + cell_height / 2.0 + 4.0), label);
            }
        }
        let bottom = y0 + panel.cells.len() as f64 * cell_height;
        for (column, label) in self.across_labels.iter().enumerate() {
            let x = x0 + (column as f64 + 0.5) * cell_width;
            text(svg, "dim mid", (x, bottom + 16.0), label);
        }
        let middle = x0 + 0.5 * cell_width * self.across_labels.len() as f64;
        text(svg, "dim mid", (middle, bottom + 33.0), &self.across);
        let (x, y) = (left + 12.0, (y0 + bottom) / 2.0);
        let _ = writeln!(
            svg,
            "<text class=\"dim mid\" transform=\"translate({x} {y}) rotate(-90)\">{}</text>",
            escaped(&self.down)
        );
    }
}

fn split_cell(svg: &mut String, (x, y): (f64, f64), shares: &Shares) {
    const GAP_PX: f64 = 1.0;
    let (width, height) = (CELL_PX.0 - GAP_PX, CELL_PX.1 - GAP_PX);
    let mut at = x;
    for &(swatch, share) in shares.iter().filter(|s| s.1 > 0.0) {
        patch(svg, (at, y), (share * width, height), swatch);
        at += share * width;
    }
}

fn patch(svg: &mut String, (x, y): (f64, f64), (width, height): (f64, f64), swatch: Swatch) {
    let fill = swatch.fill;
    let _ = writeln!(
        svg,
        "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" fill=\"{fill}\"/>"
    );
    if swatch.crossed {
        let (cx, cy, r) = (x + width / 2.0, y + height / 2.0, 0.3 * width.min(height));
        let _ = writeln!(
            svg,
            "<path d=\"M{:.2} {:.2}l{d:.2} {d:.2}m0 -{d:.2}l-{d:.2} {d:.2}\" stroke=\"#fffefc\" \
             stroke-width=\"1.6\" fill=\"none\"/>",
            cx - r,
            cy - r,
            d = 2.0 * r
        );
    }
}

fn text(svg: &mut String, class: &str, (x, y): (f64, f64), words: &str) {
    let words = escaped(words);
    let _ = writeln!(svg, "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\">{words}</text>");
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Base 64 with padding (S. Josefsson, RFC 4648, 2006, section 4).
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |n: usize| u32::from(three.get(n).copied().unwrap_or(0));
        let word = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            let letter = LETTERS[(word >> (18 - 6 * place) & 63) as usize];
            text.push(if place <= three.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn base64_of_the_standard() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn a_cell_shows_what_is_in_it() {
        let (good, bad) = (Swatch::plain("#009e73"), Swatch::crossed("#b3261e"));
        let map = Map {
            title: "A < B".to_owned(),
            across: "across".to_owned(),
            across_labels: vec!["1".to_owned()],
            down: "down".to_owned(),
            down_labels: vec!["2".to_owned()],
            key: vec![(good, "good".to_owned()), (bad, "bad".to_owned())],
            panels: vec![Panel {
                title: "panel".to_owned(),
                cells: vec![vec![vec![(good, 0.5), (bad, 0.5)]]],
            }],
            panels_in_a_row: 1,
        };
        let svg = map.svg();
        assert!(svg.contains("A &lt; B"));
        // One patch in the key and one in the cell, each of half its width; two crosses.
        for swatch in [good, bad] {
            assert_eq!(svg.matches(swatch.fill).count(), 2, "{swatch:?}");
        }
        assert_eq!(svg.matches("width=\"17.50\"").count(), 2);
        assert_eq!(svg.matches("<path").count(), 2);
    }
}
