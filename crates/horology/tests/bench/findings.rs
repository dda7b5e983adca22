//! Published cases, entered as they are printed: the sign must be found, and what turned out to be
//! the cause must be among those offered.

use horology::findings::{Earlier, Finding, PeriodicFault, Readings, Sign, findings};
use horology::rate_sheet::{Cell, RateSheet, Wind};
use horology::stance::Stance;
use quantities::{BeatFrequency, Measured, Position};

type Row = (Position, f64, Option<f64>);

fn put(sheet: &mut RateSheet, wind: Wind, rows: &[Row]) {
    for (position, rate, amplitude) in rows {
        let cell = Cell {
            balance: 0,
            wind,
            stance: Stance::from(*position),
            rate_s_per_d: Measured::new(*rate, 0.5),
            amplitude_deg: amplitude.map(|deg| Measured::new(deg, 2.0)),
            beat_error_ms: Some(Measured::new(0.2, 0.02)),
        };
        sheet.put(cell).unwrap();
    }
}

fn full(rows: &[Row]) -> RateSheet {
    let mut sheet = RateSheet::new(0.0).unwrap();
    put(&mut sheet, Wind::FULL, rows);
    sheet
}

fn signs(found: &[Finding]) -> Vec<Sign> {
    found.iter().map(|finding| finding.sign).collect()
}

fn of(sheet: &RateSheet) -> Vec<Finding> {
    findings(&Readings::of_sheet(sheet, 0))
}

fn offers(found: &[Finding], sign: Sign, words: &str) -> bool {
    let finding = found.iter().find(|finding| finding.sign == sign);
    finding.is_some_and(|f| f.causes.iter().any(|cause| cause.words.contains(words)))
}

use Position::{CH, FH, H3, H6, H9, H12};

/// A sound watch: nothing is found. Amplitudes are bib:kleinlein1920's good motion (Nos. 51, 55),
/// rates those of example 8 after correction.
#[test]
fn a_sound_watch_shows_nothing() {
    let sheet = full(&[
        (CH, -4.0, Some(270.0)),
        (FH, -4.0, Some(270.0)),
        (H12, -6.0, Some(225.0)),
        (H9, -7.0, Some(225.0)),
        (H3, -4.0, Some(225.0)),
    ]);
    assert_eq!(of(&sheet), []);
}

/// bib:watchmakingblog: a pitted cap jewel. Dial down is the shorter side and the faster one.
#[test]
fn a_pitted_cap_jewel() {
    let sheet = full(&[
        (CH, 1.0, Some(280.0)),
        (FH, 9.0, Some(260.0)),
        (H12, 11.0, Some(240.0)),
        (H9, 9.0, Some(240.0)),
        (H3, 7.0, Some(240.0)),
    ]);
    let found = of(&sheet);
    assert_eq!(signs(&found), [Sign::FlatShorterIsFaster]);
    assert!(found[0].is_plain() && found[0].evidence.len() == 2);
    assert!(offers(&found, Sign::FlatShorterIsFaster, "pitted endstone"));
}

/// bib:kleinlein1920, No. 50: one hole too wide or a deep pit makes the short side the slow one.
#[test]
fn the_exception_to_the_rule() {
    let sheet = full(&[(CH, -6.0, Some(245.0)), (FH, 3.0, Some(270.0))]);
    let found = of(&sheet);
    assert_eq!(signs(&found), [Sign::FlatShorterIsSlower]);
    assert!(offers(&found, Sign::FlatShorterIsSlower, "too wide"));
}

/// bib:kleinlein1920, chapters XIII and XIV: the first cards of his examples, and what he found.
#[test]
fn published_cards() {
    // Example 2: 35 s fast pendant up; a strong lock, and the heavy screw.
    let second = of(&full(&[(CH, 2.0, None), (FH, 0.0, None), (H12, 35.0, None)]));
    assert!(offers(&second, Sign::UprightFast, "deep lock"), "{:?}", signs(&second));
    // Example 3: upright slow; pins too open.
    let third = of(&full(&[(CH, -9.0, None), (FH, -9.0, None), (H12, -28.0, None)]));
    assert!(offers(&third, Sign::UprightSlow, "pins too open"));
    // Example 4: upright slow; a set mainspring.
    let fourth = of(&full(&[(CH, 2.0, None), (FH, 2.0, None), (H12, -10.0, None)]));
    assert!(offers(&fourth, Sign::UprightSlow, "weak mainspring"));
    // Example 5: pendant right alone is fast; the fork too long on one side.
    let fifth = of(&full(&[
        (CH, 1.0, None),
        (FH, 1.0, None),
        (H12, 2.0, None),
        (H9, 18.0, None),
        (H3, -2.0, None),
    ]));
    assert!(offers(&fifth, Sign::OneUprightOut, "fork too long"), "{:?}", signs(&fifth));
    // Example 9: the flat positions 7 apart; thick oil in one balance jewel.
    let ninth = of(&full(&[
        (CH, 2.0, None),
        (FH, -5.0, None),
        (H12, 4.0, None),
        (H9, 6.0, None),
        (H3, 2.0, None),
    ]));
    assert!(offers(&ninth, Sign::FlatDiffer, "thick oil"));
    // Example 10: pendant up stands out; the pinning point.
    let tenth = of(&full(&[
        (CH, -3.0, None),
        (FH, -5.0, None),
        (H12, 12.0, None),
        (H9, -4.0, None),
        (H3, -6.0, None),
    ]));
    assert!(offers(&tenth, Sign::OneUprightOut, "pinning point"));
    // Example 8: flat motion no better than upright; flat pivot ends.
    let eighth =
        of(&full(&[(CH, 2.0, Some(225.0)), (FH, 3.0, Some(225.0)), (H12, -6.0, Some(222.0))]));
    assert!(offers(&eighth, Sign::NoFallToUpright, "pivot ends"));
}

/// Motion: too much, too little, fading, uneven. Limits as the sources have them; see `motion.rs`.
#[test]
fn motion() {
    let mut sheet = full(&[(CH, 5.0, Some(336.0)), (FH, 5.0, Some(331.0)), (H6, 4.0, Some(290.0))]);
    let knocking = of(&sheet);
    assert_eq!(signs(&knocking), [Sign::Knocking]);
    let beyond: Vec<bool> =
        knocking[0].evidence.iter().map(|evidence| evidence.beyond_uncertainty).collect();
    // 331 give or take 2 is not beyond 330 for certain.
    assert_eq!(beyond, [true, false]);
    put(&mut sheet, Wind::after_hours(24), &[(CH, 3.0, Some(250.0)), (H6, 0.0, Some(215.0))]);
    assert_eq!(signs(&of(&sheet)), [Sign::Knocking, Sign::FadingWithWind]);
    let weak = of(&full(&[(CH, 5.0, Some(210.0)), (H6, 5.0, Some(140.0))]));
    assert_eq!(signs(&weak), [Sign::WeakMotion, Sign::FallToUpright]);
    let mut uneven = RateSheet::new(0.0).unwrap();
    uneven
        .put(Cell {
            balance: 0,
            wind: Wind::FULL,
            stance: Stance::DialUp,
            rate_s_per_d: Measured::new(0.0, 0.5),
            amplitude_deg: None,
            beat_error_ms: Some(Measured::new(2.4, 0.1)),
        })
        .unwrap();
    assert_eq!(signs(&of(&uneven)), [Sign::OutOfBeat]);
}

/// Both authorities are shown where they disagree on magnetism, and either sign is a sign.
#[test]
fn magnetism_of_either_sign() {
    for rate in [300.0, -300.0] {
        let found = of(&full(&[(CH, rate, Some(280.0)), (FH, rate, Some(280.0))]));
        assert_eq!(signs(&found), [Sign::LargeOrErratic]);
        let dispute = &found[0].disputes[0];
        assert!(dispute.one.words.contains("always slow"));
        assert!(dispute.other.words.contains("gains strongly"));
    }
    let sheet = full(&[(CH, 40.0, Some(280.0)), (FH, 40.0, Some(280.0))]);
    let earlier = [Earlier { days_ago: 20.0, mean_s_per_d: Measured::new(2.0, 1.0) }];
    let changed = findings(&Readings { earlier: &earlier, ..Readings::of_sheet(&sheet, 0) });
    assert_eq!(signs(&changed), [Sign::LargeOrErratic]);
    let erratic = findings(&Readings {
        erratic_s_per_d: Some(Measured::new(25.0, 3.0)),
        ..Readings::of_sheet(&sheet, 0)
    });
    assert_eq!(signs(&erratic), [Sign::LargeOrErratic]);
}

/// bib:hasluck1918, chapter 15: once a minute the fourth wheel, once an hour the centre wheel, once
/// in fifteen oscillations the escape wheel of fifteen teeth; 6 s at 18,000 beats an hour.
#[test]
fn periods_name_the_wheel() {
    let sheet = full(&[(CH, 2.0, Some(270.0))]);
    let named = |period_s: f64| {
        let periods = [PeriodicFault {
            period_s: Measured::new(period_s, 0.005 * period_s),
            timing_ms: Some(Measured::new(0.5, 0.05)),
            amplitude_deg: None,
            place: None,
        }];
        let found = findings(&Readings {
            periods: &periods,
            beat: Some(BeatFrequency::from_per_hour(18_000.0).unwrap()),
            ..Readings::of_sheet(&sheet, 0)
        });
        assert_eq!(signs(&found), [Sign::PeriodicFault]);
        found[0].evidence[1].what
    };
    assert!(named(60.1).contains("fourth"));
    assert!(named(3_590.0).contains("centre wheel"));
    assert!(named(6.0).contains("escape wheel"));
    assert!(named(17.0).contains("no turn"));
}

/// bib:kleinlein1920, No. 83 (rust) and Nos. 77-78 (slow in use); bib:goodrich1905, chapter XIII
/// (the hands lag, the balance counts right).
#[test]
fn over_time_and_on_the_wrist() {
    let sheet = full(&[(CH, -9.0, Some(270.0)), (FH, -9.0, Some(270.0))]);
    let earlier = [(90.0, 1.0), (60.0, -2.5), (30.0, -6.0)]
        .map(|(days_ago, rate)| Earlier { days_ago, mean_s_per_d: Measured::new(rate, 0.5) });
    let readings = Readings {
        earlier: &earlier,
        hands_s_per_d: Some(Measured::new(-60.0, 1.0)),
        worn_and_expected_s_per_d: Some((Measured::new(-14.0, 0.5), Measured::new(-9.0, 0.5))),
        ..Readings::of_sheet(&sheet, 0)
    };
    let found = findings(&readings);
    assert_eq!(
        signs(&found),
        [Sign::LosingMoreWithTime, Sign::HandsAgainstBalance, Sign::SlowInUse]
    );
    // Weighted slope of the four by numpy.polyfit, outside this project; printed to nine places.
    assert!((found[0].evidence[0].measured.value - 3.323529412).abs() < 1e-8);
    assert!(offers(&found, Sign::LosingMoreWithTime, "rust"));
    assert!(offers(&found, Sign::HandsAgainstBalance, "cannon pinion"));
    // A rate that jumps about has no trend, whatever line goes through it.
    let jumping = [(90.0, 10.0), (60.0, -12.0), (30.0, 9.0)]
        .map(|(days_ago, rate)| Earlier { days_ago, mean_s_per_d: Measured::new(rate, 0.5) });
    assert_eq!(findings(&Readings { earlier: &jumping, ..Readings::of_sheet(&sheet, 0) }), []);
    // Two visits make no trend.
    let two = findings(&Readings { earlier: &earlier[2..], ..Readings::of_sheet(&sheet, 0) });
    assert_eq!(two, []);
}
