//! Writes shapes as SVG.

use crate::font::{FONT_FAMILY, REGULAR_WOFF2, SEMI_BOLD_WOFF2, Weight};
use crate::geometry::Point;
use crate::picture::{FontUse, Picture};
use crate::scene::{Anchor, Shape, Stroke, Words};
use crate::theme::{Ink, Theme};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use std::fmt::Write;

/// Writes the whole picture.
pub(crate) fn written(picture: &Picture, theme: Theme, font: FontUse) -> String {
    let mut out = String::with_capacity(4096);
    let (width, height) = (number(picture.width_px), number(picture.height_px));
    let _ = write!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" font-family="{FONT_FAMILY}, sans-serif">"#
    );
    let _ = write!(
        out,
        "\n<title>{}</title>\n<desc>{}</desc>\n",
        escaped(&picture.title),
        escaped(&picture.description)
    );
    if font == FontUse::Embedded {
        out.push_str(&font_faces());
    }
    for shape in &picture.scene.shapes {
        write_shape(&mut out, shape, theme);
    }
    out.push_str("</svg>\n");
    out
}

fn font_faces() -> String {
    let face = |weight: Weight, bytes: &[u8]| {
        format!(
            "@font-face{{font-family:'{FONT_FAMILY}';font-weight:{};src:url(data:font/woff2;base64,{}) format('woff2')}}\n",
            weight.css(),
            STANDARD.encode(bytes)
        )
    };
    format!(
        "<style>\n{}{}</style>\n",
        face(Weight::Regular, REGULAR_WOFF2),
        face(Weight::SemiBold, SEMI_BOLD_WOFF2)
    )
}

fn write_shape(out: &mut String, shape: &Shape, theme: Theme) {
    // Writing to a String cannot fail.
    let _ = match shape {
        Shape::Box { area, radius, fill, border } => {
            let _ = write!(
                out,
                r#"<rect x="{}" y="{}" width="{}" height="{}""#,
                number(area.left),
                number(area.top),
                number(area.width()),
                number(area.height())
            );
            if *radius > 0.0 {
                let _ = write!(out, r#" rx="{}""#, number(*radius));
            }
            let _ = write!(out, r#" fill="{}""#, theme.colour(*fill));
            if let Some(ink) = border {
                let _ = write!(out, r#" stroke="{}""#, theme.colour(*ink));
            }
            writeln!(out, "/>")
        }
        Shape::Line { points, stroke } => {
            writeln!(
                out,
                r#"<path d="{}" fill="none"{}/>"#,
                path(points),
                attributes(stroke, theme)
            )
        }
        Shape::Polygon { points, fill, opacity } => writeln!(
            out,
            r#"<path d="{}z" fill="{}"{}/>"#,
            path(points),
            theme.colour(*fill),
            opacity_attribute("fill-opacity", *opacity)
        ),
        Shape::Dots { points, diameter, ink, opacity } => writeln!(
            out,
            r#"<path d="{}" fill="none" stroke="{}" stroke-width="{}" stroke-linecap="round"{}/>"#,
            dots(points),
            theme.colour(*ink),
            number(*diameter),
            opacity_attribute("stroke-opacity", *opacity)
        ),
        Shape::Words(words) => write_words(out, words, theme),
    };
}

fn write_words(out: &mut String, words: &Words, theme: Theme) -> std::fmt::Result {
    write!(
        out,
        r#"<text x="{}" y="{}" font-size="{}" fill="{}""#,
        number(words.at.0),
        number(words.at.1),
        number(words.size),
        theme.colour(words.ink)
    )?;
    if words.weight != Weight::Regular {
        write!(out, r#" font-weight="{}""#, words.weight.css())?;
    }
    match words.anchor {
        Anchor::Start => {}
        Anchor::Middle => out.push_str(r#" text-anchor="middle""#),
        Anchor::End => out.push_str(r#" text-anchor="end""#),
    }
    if words.haloed {
        write!(
            out,
            r#" stroke="{}" stroke-width="3" stroke-linejoin="round" paint-order="stroke""#,
            theme.colour(Ink::Card)
        )?;
    }
    writeln!(out, ">{}</text>", escaped(&words.text))
}

fn attributes(stroke: &Stroke, theme: Theme) -> String {
    let mut text = format!(
        r#" stroke="{}" stroke-width="{}" stroke-linejoin="round""#,
        theme.colour(stroke.ink),
        number(stroke.width)
    );
    if !stroke.dashes.is_empty() {
        let dashes: Vec<String> = stroke.dashes.iter().map(|d| number(*d)).collect();
        let _ = write!(text, r#" stroke-dasharray="{}""#, dashes.join(" "));
    }
    text + &opacity_attribute("stroke-opacity", stroke.opacity)
}

fn opacity_attribute(name: &str, opacity: f64) -> String {
    if opacity >= 1.0 { String::new() } else { format!(r#" {name}="{}""#, number(opacity)) }
}

fn path(points: &[Point]) -> String {
    let mut d = String::with_capacity(points.len() * 12);
    for (n, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if n == 0 { 'M' } else { 'L' }, number(*x), number(*y));
    }
    d
}

/// Dots as strokes without length: their round caps are the dots.
fn dots(points: &[Point]) -> String {
    let mut d = String::with_capacity(points.len() * 14);
    for (x, y) in points {
        let _ = write!(d, "M{} {}h0", number(*x), number(*y));
    }
    d
}

/// A number to a hundredth, without needless zeros. Shapes are made of finite numbers; should one
/// not be, 0 keeps the file readable.
pub(crate) fn number(n: f64) -> String {
    let rounded = (n * 100.0).round() / 100.0;
    if !rounded.is_finite() || rounded == 0.0 {
        return "0".into();
    }
    format!("{rounded}")
}

/// Text made safe for XML: markup escaped, characters that XML 1.0 does not allow replaced, white
/// space made plain.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\r' | '\t' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {
                out.push('\u{fffd}');
            }
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_plain() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(2.346), "2.35");
        assert_eq!(number(f64::NAN), "0");
    }

    #[test]
    fn markup_in_a_name_stays_a_name() {
        assert_eq!(
            escaped("</text><script>&\"'\u{0}"),
            "&lt;/text&gt;&lt;script&gt;&amp;&quot;&#39;\u{fffd}"
        );
    }
}
