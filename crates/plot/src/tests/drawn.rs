//! Words are drawn, where they should be, as wide as they were taken to be, and not on each other.

use super::plausible;
use crate::font::database;
use crate::geometry::Area;
use crate::picture::Picture;
use crate::png::pixmap;
use crate::scene::{Shape, Words};
use crate::{Balance, Drift, DriftBalance, FONT_FAMILY, FontUse, PngError, Size, Theme, Value};
use resvg::tiny_skia::Pixmap;
use resvg::usvg;

const SCALE: f64 = 2.0;

fn words_of(picture: &Picture) -> Vec<Words> {
    let words = picture.scene.shapes.iter().filter_map(|shape| match shape {
        Shape::Words(words) => Some(words.clone()),
        _ => None,
    });
    words.collect()
}

/// Pixels that differ within a box (in CSS px), and the leftmost and rightmost of them in CSS px.
fn differing(a: &Pixmap, b: &Pixmap, area: Area) -> (usize, f64, f64) {
    let (mut count, mut least, mut most) = (0, f64::INFINITY, f64::NEG_INFINITY);
    let clamp = |v: f64, top: u32| (v * SCALE).clamp(0.0, f64::from(top)) as u32;
    for y in clamp(area.top, a.height())..clamp(area.bottom, a.height()) {
        for x in clamp(area.left, a.width())..clamp(area.right, a.width()) {
            if a.pixel(x, y) != b.pixel(x, y) {
                count += 1;
                least = least.min(f64::from(x) / SCALE);
                most = most.max(f64::from(x + 1) / SCALE);
            }
        }
    }
    (count, least, most)
}

#[test]
fn every_word_is_drawn_and_as_wide_as_measured() {
    for (name, picture) in plausible(760.0).into_iter().chain(plausible(360.0)) {
        let with = pixmap(&picture, SCALE).unwrap();
        let all = words_of(&picture);
        assert!(!all.is_empty(), "{name}: no words");
        let mut mute = picture.clone();
        mute.scene.shapes.retain(|shape| !matches!(shape, Shape::Words(_)));
        let without = pixmap(&mute, SCALE).unwrap();
        for words in all {
            let area = words.area();
            let (count, least, most) = differing(&with, &without, area.inset(-3.0, 0.0, -3.0, 0.0));
            let letters = words.text.chars().filter(|c| !c.is_whitespace()).count();
            // The thinnest characters (a full stop, a dash) fill some ten pixels at this size.
            assert!(count >= 8 * letters, "{name}: {:?} is not drawn ({count} px)", words.text);
            // Side bearings leave some px free; kerning and halo move the ends by less.
            assert!(least >= area.left - 2.0, "{name}: {:?} begins at {least}", words.text);
            assert!(most <= area.right + 2.0, "{name}: {:?} ends at {most}", words.text);
            let drawn = most - least;
            let slack = 0.25 * words.size + 0.03 * area.width();
            assert!(drawn >= area.width() - slack, "{name}: {:?} is {drawn} px wide", words.text);
        }
    }
}

#[test]
fn a_wrong_family_name_would_be_noticed() {
    let picture = Drift::default().draw(Size::phone(), Theme::Light);
    let count = |svg: &str| {
        let options = usvg::Options { fontdb: database(), ..usvg::Options::default() };
        let tree = usvg::Tree::from_str(svg, &options).unwrap();
        let mut pixels = Pixmap::new(360, 400).unwrap();
        resvg::render(&tree, Default::default(), &mut pixels.as_mut());
        pixels.pixels().iter().filter(|p| p.alpha() > 0 && p.red() < 128).count()
    };
    let svg = picture.svg(FontUse::InPage);
    assert!(count(&svg) > 50);
    assert_eq!(count(&svg.replace(FONT_FAMILY, "Some Other Family")), 0);
}

#[test]
fn a_character_that_the_typeface_lacks_leaves_a_box() {
    let name = |letter: &str| Balance { letter: letter.into(), place: 0 };
    let png = |letter: &str| {
        let picture =
            crate::BeatPicture { balance: name(letter), note: String::new(), traces: Vec::new() };
        picture.draw(Size::phone(), Theme::Light).png(1.0).unwrap()
    };
    assert_ne!(png("日"), png(" "));
}

#[test]
fn an_embedded_font_changes_nothing_else() {
    let picture = super::invented::beat(0, 281.0).draw(Size::phone(), Theme::Light);
    let embedded = picture.svg(FontUse::Embedded);
    let (before, rest) = embedded.split_once("<style>\n").unwrap();
    let (style, after) = rest.split_once("</style>\n").unwrap();
    assert_eq!(format!("{before}{after}"), picture.svg(FontUse::InPage));
    assert_eq!(style.matches(&format!("font-family:'{FONT_FAMILY}'")).count(), 2);
}

#[test]
fn words_do_not_lie_on_each_other() {
    for width in [280.0, 320.0, 360.0, 414.0, 520.0, 560.0, 640.0, 760.0, 900.0, 1400.0] {
        for (name, picture) in plausible(width) {
            let all = words_of(&picture);
            for (n, a) in all.iter().enumerate() {
                for b in &all[n + 1..] {
                    // Boxes include room for accents and descenders: let them graze.
                    let (box_a, box_b) = (tight(a), tight(b));
                    let shared = box_a.shared(&box_b);
                    assert!(
                        shared == 0.0,
                        "{name} at {width} px: {:?} and {:?} share {shared:.1} px²",
                        a.text,
                        b.text
                    );
                }
            }
        }
    }
}

/// The box from the top of the capitals to the base line.
fn tight(words: &Words) -> Area {
    let area = words.area();
    Area { top: words.at.1 - words.size * crate::font::CAPITALS, bottom: words.at.1, ..area }
}

#[test]
fn dark_and_light_differ_and_page_alone_is_light() {
    let draw = |theme| super::invented::drift_one().draw(Size::phone(), theme);
    let png = |theme| draw(theme).png(1.0).unwrap();
    assert_ne!(png(Theme::Light), png(Theme::Dark));
    assert_eq!(png(Theme::Light), png(Theme::Page));
    assert!(draw(Theme::Page).svg(FontUse::InPage).contains("var(--plot-text, #"));
}

#[test]
fn scale_makes_the_png_larger_and_absurd_scales_are_refused() {
    let picture = Drift::default().draw(Size::new(300.0), Theme::Light);
    // Width and height stand in bytes 16 to 23 of a PNG (ISO/IEC 15948, 11.2.1).
    let width = |png: &[u8]| u32::from_be_bytes([png[16], png[17], png[18], png[19]]);
    assert_eq!(width(&picture.png(1.0).unwrap()), 300);
    assert_eq!(width(&picture.png(2.5).unwrap()), 750);
    for scale in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(picture.png(scale), Err(PngError::Scale(_))), "{scale}");
    }
    let refused = picture.png(1000.0).unwrap_err();
    assert!(refused.to_string().contains("too large"), "{refused}");
}

#[test]
fn the_numbers_are_there_for_those_who_cannot_see() {
    let drift = Drift {
        balances: vec![DriftBalance {
            balance: Balance::nth(0),
            beats: Vec::new(),
            fit: Vec::new(),
            rate_s_per_d: Some(Value::new(-4.25, 0.12)),
        }],
        ..Drift::default()
    };
    let svg = drift.draw(Size::phone(), Theme::Light).svg(FontUse::InPage);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let text = |name: &str| {
        let node = document.root_element().children().find(|n| n.has_tag_name(name));
        node.and_then(|n| n.text().map(str::to_owned)).unwrap()
    };
    assert_eq!(document.root_element().attribute("role"), Some("img"));
    assert_eq!(text("title"), "Drift");
    assert!(text("desc").contains("Balance A: rate −4.25 ± 0.12\u{a0}s/d, 0 of 0 beats used."));
}
