//! Whatever is in the data: no panic, XML that a parser reads, nothing outside the canvas.

use super::{invented, plausible};
use crate::geometry::Area;
use crate::picture::Picture;
use crate::scene::Shape;
use crate::*;
use proptest::prelude::*;

/// All shapes finite and inside the canvas; the SVG read back by a parser, with the same words.
fn check(picture: &Picture) -> Result<(), TestCaseError> {
    let (width, height) = (picture.width_px(), picture.height_px());
    prop_assert!((Size::NARROWEST_PX..=Size::WIDEST_PX).contains(&width));
    prop_assert!(height.is_finite() && height > 0.0);
    let canvas = Area::new(0.0, 0.0, width, height);
    let mut texts = 0;
    for shape in &picture.scene.shapes {
        let areas: Vec<Area> = match shape {
            Shape::Box { area, .. } => vec![*area],
            Shape::Words(words) => {
                texts += 1;
                vec![words.area()]
            }
            Shape::Line { points, .. }
            | Shape::Polygon { points, .. }
            | Shape::Dots { points, .. } => {
                points.iter().map(|p| Area::new(p.0, p.1, 0.0, 0.0)).collect()
            }
        };
        for area in areas {
            prop_assert!(
                area.left.is_finite() && area.right.is_finite() && canvas.holds(&area),
                "{:?} outside {:?}",
                shape,
                canvas
            );
        }
    }
    let svg = picture.svg(FontUse::InPage);
    let document = match roxmltree::Document::parse(&svg) {
        Ok(document) => document,
        Err(error) => return Err(TestCaseError::fail(format!("{error}\n{svg}"))),
    };
    // Text never becomes markup: the elements are those that were written.
    let known = ["svg", "title", "desc", "rect", "path", "text"];
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        prop_assert!(known.contains(&node.tag_name().name()), "{:?}", node.tag_name());
        for attribute in node.attributes().filter(|a| a.name() != "font-family") {
            let text = attribute.value();
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        }
    }
    prop_assert_eq!(document.descendants().filter(|n| n.has_tag_name("text")).count(), texts);
    Ok(())
}

/// Numbers of every kind, the nasty ones often.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -1e3..1e3f64,
        1 => any::<f64>(),
        1 => prop::sample::select(vec![
            0.0, -0.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE,
            1e12, -1e12, 1e300, 1e-300, 1e9,
        ]),
        1 => 1e8..1e8 + 1e-3f64,
    ]
}

fn value() -> impl Strategy<Value = Option<Value>> {
    let value = (number(), prop::option::of(number()));
    prop::option::of(value.prop_map(|(value, sd)| Value { value, sd }))
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Za-z ]{0,12}",
        ".{0,60}",
        Just("</svg><script>alert(\"1\")</script>&amp;'".to_owned()),
        Just("\u{0}\u{1b}\u{fffe}\u{feff}\u{202e}日本語 🕰".to_owned()),
        Just("W".repeat(400)),
    ]
}

fn side() -> impl Strategy<Value = Side> {
    prop_oneof![Just(Side::Tick), Just(Side::Tock)]
}

fn balance() -> impl Strategy<Value = Balance> {
    (word(), 0usize..50).prop_map(|(letter, place)| Balance { letter, place })
}

fn size() -> impl Strategy<Value = Size> {
    (prop_oneof![200.0..1500.0f64, number()], number())
        .prop_map(|(width, height)| Size::new(width).at_least_tall(height))
}

fn theme() -> impl Strategy<Value = Theme> {
    prop::sample::select(vec![Theme::Light, Theme::Dark, Theme::Paper, Theme::Page])
}

fn drift() -> impl Strategy<Value = Drift> {
    let beat = (number(), number(), side(), any::<bool>());
    let beat =
        beat.prop_map(|(time_s, gain_ms, side, used)| DriftBeat { time_s, gain_ms, side, used });
    let piece = prop::collection::vec((number(), number()), 0..6);
    let one = (
        balance(),
        prop::collection::vec(beat, 0..40),
        prop::collection::vec(piece, 0..4),
        value(),
    );
    let one = one.prop_map(|(balance, beats, fit, rate_s_per_d)| DriftBalance {
        balance,
        beats,
        fit,
        rate_s_per_d,
    });
    let tolerance = (number(), number())
        .prop_map(|(lower_s_per_d, upper_s_per_d)| Tolerance { lower_s_per_d, upper_s_per_d });
    (
        prop::collection::vec(one, 0..7),
        prop::option::of(tolerance),
        prop::option::of((number(), number())),
    )
        .prop_map(|(balances, tolerance, span_s)| Drift {
            rates_taken_out: balances.len() > 1,
            balances,
            tolerance,
            span_s,
        })
}

fn beat_picture() -> impl Strategy<Value = BeatPicture> {
    let mark =
        (number(), number()).prop_map(|(at_ms, amplitude_deg)| ScaleMark { at_ms, amplitude_deg });
    let some = || prop::option::of(number());
    let trace = (
        (side(), number(), number()),
        prop::collection::vec(number(), 0..60),
        prop::collection::vec(number(), 0..60),
        (some(), some(), some()),
        prop::collection::vec(mark, 0..30),
        value(),
    );
    let trace =
        trace.prop_map(|((side, start_ms, step_ms), mean, spread, events, scale, amplitude)| {
            BeatTrace {
                side,
                start_ms,
                step_ms,
                mean,
                spread,
                unlocking_ms: events.0,
                impulse_ms: events.1,
                drop_ms: events.2,
                scale,
                amplitude_deg: amplitude,
            }
        });
    (balance(), word(), prop::collection::vec(trace, 0..4))
        .prop_map(|(balance, note, traces)| BeatPicture { balance, note, traces })
}

fn course() -> impl Strategy<Value = Course> {
    let point = (number(), number(), prop::option::of(number()))
        .prop_map(|(time_s, value, sd)| CoursePoint { time_s, value: Value { value, sd } });
    let line = (balance(), prop::collection::vec(point, 0..40), value())
        .prop_map(|(balance, points, mean)| CourseLine { balance, points, mean });
    (
        word(),
        prop_oneof![Just("°".to_owned()), Just("s/d".to_owned()), word()],
        any::<bool>(),
        number(),
        prop::collection::vec(line, 0..7),
    )
        .prop_map(|(title, unit, signed, least_span, lines)| Course {
            title,
            unit,
            signed,
            least_span,
            lines,
        })
}

fn periodogram() -> impl Strategy<Value = PeriodogramPicture> {
    let peak = (number(), number(), word()).prop_map(|(frequency_hz, power, name)| NamedPeak {
        frequency_hz,
        power,
        name,
    });
    (
        word(),
        prop::option::of(balance()),
        prop_oneof![Just(Against::Period), Just(Against::Frequency)],
        prop::collection::vec(number(), 0..60),
        prop::collection::vec(number(), 0..60),
        prop::option::of(number()),
        prop::collection::vec(peak, 0..12),
    )
        .prop_map(
            |(title, balance, against, frequency_hz, power, one_percent_level, peaks)| {
                PeriodogramPicture {
                    title,
                    balance,
                    against,
                    frequency_hz,
                    power,
                    one_percent_level,
                    peaks,
                }
            },
        )
}

fn dial() -> impl Strategy<Value = Dial> {
    let words = || (word(), word()).prop_map(|(name, number)| DialWords { name, number });
    let sector = (number(), number())
        .prop_map(|(direction_deg, half_deg)| DialSector { direction_deg, half_deg });
    (
        (balance(), word(), word(), word()),
        prop::collection::vec((number(), words()), 0..20),
        prop::collection::vec(words(), 0..5),
        prop::option::of(sector),
    )
        .prop_map(|((balance, title, note, sentence), around, middle, sector)| Dial {
            balance,
            title,
            note,
            around,
            middle,
            sector,
            sentence,
        })
}

fn sheet() -> impl Strategy<Value = Sheet> {
    let number = (word(), value(), word(), any::<bool>(), word()).prop_map(
        |(name, value, unit, signed, when_missing)| KeyNumber {
            name,
            value,
            unit,
            signed,
            also: when_missing.clone(),
            when_missing,
        },
    );
    let card = (balance(), word(), word(), prop::collection::vec(number, 0..8))
        .prop_map(|(balance, name, note, numbers)| SheetBalance { balance, name, note, numbers });
    let words = (word(), prop::collection::vec(word(), 0..5), word(), word(), word());
    let warnings = prop::collection::vec(word(), 0..4);
    (
        words,
        warnings,
        prop::collection::vec(card, 0..5),
        prop::option::of(drift()),
        prop::collection::vec(beat_picture(), 0..3),
        (prop::collection::vec(dial(), 0..3), prop::collection::vec(course(), 0..3)),
        prop::collection::vec(periodogram(), 0..3),
    )
        .prop_map(
            |(words, warnings, balances, drift, beats, (dials, courses), periodograms)| Sheet {
                scatter: drift.clone(),
                title: words.0,
                facts: words.1,
                verdict: words.2,
                sentence: words.3,
                footer: words.4,
                warnings,
                balances,
                drift,
                beats,
                dials,
                courses,
                periodograms,
            },
        )
}

proptest! {
    // Hundreds of cases each: the nasty numbers come up in every one of them.
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn any_drift(drift in drift(), size in size(), theme in theme()) {
        check(&drift.draw(size, theme))?;
    }

    #[test]
    fn any_beat_picture(picture in beat_picture(), size in size(), theme in theme()) {
        check(&picture.draw(size, theme))?;
    }

    #[test]
    fn any_course(course in course(), size in size(), theme in theme()) {
        check(&course.draw(size, theme))?;
    }

    #[test]
    fn any_dial(picture in dial(), size in size(), theme in theme()) {
        check(&picture.draw(size, theme))?;
    }

    #[test]
    fn any_periodogram(picture in periodogram(), size in size(), theme in theme()) {
        check(&picture.draw(size, theme))?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn any_sheet(sheet in sheet(), size in size(), theme in theme()) {
        check(&sheet.draw(size, theme))?;
    }

    #[test]
    fn any_drift_as_png(drift in drift()) {
        let png = drift.draw(Size::new(280.0), Theme::Dark).png(0.5);
        prop_assert!(png.is_ok(), "{:?}", png.err());
    }
}

#[test]
fn plausible_pictures_at_every_width() {
    for width in (280..=1400).step_by(40) {
        for (name, picture) in plausible(f64::from(width)) {
            check(&picture).unwrap_or_else(|error| panic!("{name} at {width} px: {error}"));
        }
    }
}

#[test]
fn seven_hundred_thousand_beats_make_a_small_picture() {
    let drift = invented::drift_day();
    let beats: usize = drift.balances.iter().map(|b| b.beats.len()).sum();
    assert!(beats > 1_300_000);
    let picture = drift.draw(Size::desktop(), Theme::Light);
    check(&picture).unwrap();
    let points = picture.scene.shapes.iter().map(|shape| match shape {
        Shape::Dots { points, .. } | Shape::Line { points, .. } => points.len(),
        _ => 0,
    });
    // Tick, tock (drawn as two dots) and left out, of two balances, 5,000 at most of each.
    assert!(points.sum::<usize>() < 2 * 4 * 5_000 + 2_000);
}

#[test]
fn one_beat_makes_a_picture() {
    let beat = DriftBeat { time_s: 3.0, gain_ms: 0.2, side: Side::Tick, used: true };
    let balance = DriftBalance {
        balance: Balance::nth(0),
        beats: vec![beat],
        fit: vec![vec![(3.0, 0.2)]],
        rate_s_per_d: None,
    };
    let drift =
        Drift { balances: vec![balance], tolerance: None, span_s: None, ..Drift::default() };
    let picture = drift.draw(Size::phone(), Theme::Light);
    check(&picture).unwrap();
    let badge_and_beat =
        picture.scene.shapes.iter().filter(|s| matches!(s, Shape::Dots { .. })).count();
    assert!(badge_and_beat >= 1);
}
