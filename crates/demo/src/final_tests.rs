//! Watches that were tested before they went back: an ordinary one that passed, a diver's with fog.

use crate::NotMade;
use crate::workshop::{Workshop, known};
use jobs::{
    DayOrMonth, Figure, FigureOf, FinalTest, JobId, SignOf, Stage, TestKind, TestOutcome,
    TestStandard, TestWay, Watch,
};
use store::By;

/// A test with its numbers and signs. Uncertainties stand with those numbers that have one.
fn test(
    job: JobId,
    kind: TestKind,
    at: &By,
    figures: &[(FigureOf, f64, Option<f64>)],
    signs: &[(SignOf, bool)],
) -> FinalTest {
    let mut test = FinalTest::begun(job, kind, at.at);
    for (of, value, sd) in figures {
        test.figures.insert(of.code().to_owned(), Figure { value: *value, sd: *sd });
    }
    for (of, seen) in signs {
        test.signs.insert(of.code().to_owned(), *seen);
    }
    test
}

/// An automatic that has passed what it was put through, and waits to be handed over.
pub(crate) async fn passed(shop: &Workshop<'_>) -> Result<(), NotMade> {
    let came = shop.ago(20, 5);
    let owner = shop.owner(&came, "Ines Carvalho", "ines@example.org").await?;
    let watch = Watch {
        owner: Some(owner),
        description: "Wrist watch, steel, automatic, date".into(),
        calibre: "11½ lignes, automatic".into(),
        balances: vec![known(52.0, 28_800.0)],
        ..Watch::default()
    };
    let begun = shop.ago(4, 6);
    let moves = [
        (Stage::TakeDown, &shop.ago(12, 2)),
        (Stage::CleanAndInspect, &shop.ago(11, 5)),
        (Stage::Rebuild, &shop.ago(9, 3)),
        (Stage::Regulate, &shop.ago(6, 1)),
        (Stage::FinalTests, &begun),
    ];
    let complaint = "Stops overnight since last winter.";
    let job = shop
        .job(&came, watch, complaint, &moves, |job| {
            job.to_watch = "It may gain a little in its first weeks.".into();
            job.next_service = Some(DayOrMonth::Month(jiff::civil::date(2031, 6, 1)));
        })
        .await?
        .id;
    let dry = FinalTest {
        way: Some(TestWay::Air),
        standard: TestStandard::Iso22810,
        instrument: "dry tester on the window sill".into(),
        conditions: "22 °C".into(),
        outcome: TestOutcome::Passed,
        ..test(
            job,
            TestKind::Water,
            &shop.ago(4, 5),
            &[
                (FigureOf::MarkedBar, 5.0, None),
                (FigureOf::TestedBar, 2.0, None),
                (FigureOf::Minutes, 2.0, None),
                (FigureOf::LeakUgPerMin, 11.0, Some(2.0)),
            ],
            &[(SignOf::BendLetUp, false)],
        )
    };
    let rate = test(
        job,
        TestKind::Rate,
        &shop.ago(4, 4),
        &[
            (FigureOf::MeanSPerD, 2.6, Some(0.4)),
            (FigureOf::SpreadSPerD, 7.5, Some(0.5)),
            (FigureOf::Positions, 6.0, None),
            (FigureOf::AmplitudeDeg, 268.0, Some(2.0)),
            (FigureOf::FromSPerD, -4.0, None),
            (FigureOf::ToSPerD, 6.0, None),
            (FigureOf::MostSpreadSPerD, 12.0, None),
        ],
        &[],
    );
    let winding = FinalTest {
        way: Some(TestWay::Winder),
        instrument: "winder, four turns a minute".into(),
        ..test(
            job,
            TestKind::AutomaticWinding,
            &shop.ago(2, 3),
            &[
                (FigureOf::Turns, 900.0, None),
                (FigureOf::HoursRun, 41.0, None),
                (FigureOf::WantedH, 38.0, None),
            ],
            &[(SignOf::StillRan, true), (SignOf::RotorTouches, false)],
        )
    };
    let midnight = test(
        job,
        TestKind::HandsAndCalendar,
        &shop.ago(1, 9),
        &[(FigureOf::ChangedMin, 4.0, None), (FigureOf::WithinMin, 15.0, None)],
        &[
            (SignOf::HasCalendar, true),
            (SignOf::ChangesWhole, true),
            (SignOf::ShowsRight, true),
            (SignOf::HandsTouch, false),
            (SignOf::HandsAgree, true),
            (SignOf::SetsRight, true),
        ],
    );
    for one in [dry, rate, winding, midnight] {
        let at = By { at: one.done, ..begun.clone() };
        shop.store.create(&at, one).await?;
    }
    Ok(())
}

/// A diver's watch that passed dry and fogs after the wet test.
pub(crate) async fn fogged(shop: &Workshop<'_>) -> Result<(), NotMade> {
    let came = shop.ago(15, 2);
    let owner = shop.owner(&came, "Tomasz Wrona", "tomasz@example.org").await?;
    let watch = Watch {
        owner: Some(owner),
        description: "Diver's watch, steel, turning ring".into(),
        calibre: "11½ lignes, automatic".into(),
        balances: vec![known(53.0, 28_800.0)],
        ..Watch::default()
    };
    let begun = shop.ago(2, 5);
    let moves = [
        (Stage::TakeDown, &shop.ago(10, 1)),
        (Stage::CleanAndInspect, &shop.ago(9, 4)),
        (Stage::Rebuild, &shop.ago(7, 2)),
        (Stage::Regulate, &shop.ago(4, 3)),
        (Stage::FinalTests, &begun),
    ];
    let complaint = "Fogs when it goes from warm to cold.";
    let job = shop.job(&came, watch, complaint, &moves, |_| {}).await?.id;
    let of_water = |way, at: &By, figures: &[_], signs: &[_]| FinalTest {
        way: Some(way),
        standard: TestStandard::Iso6425,
        ..test(job, TestKind::Water, at, figures, signs)
    };
    let marked = (FigureOf::MarkedBar, 20.0, None);
    let dry = FinalTest {
        standard: TestStandard::Iso22810,
        instrument: "dry tester on the window sill".into(),
        ..of_water(
            TestWay::Air,
            &shop.ago(2, 4),
            &[
                marked,
                (FigureOf::TestedBar, 6.0, None),
                (FigureOf::Minutes, 2.0, None),
                (FigureOf::LeakUgPerMin, 21.0, Some(2.0)),
            ],
            &[],
        )
    };
    let wet = FinalTest {
        instrument: "pressure pot".into(),
        ..of_water(
            TestWay::Water,
            &shop.ago(1, 6),
            &[marked, (FigureOf::TestedBar, 25.0, None), (FigureOf::Minutes, 120.0, None)],
            &[(SignOf::Bubbles, false), (SignOf::WaterInside, false)],
        )
    };
    let drop = FinalTest {
        instrument: "warm plate".into(),
        note:
            "A crescent of fog at the crown, gone after a quarter of an hour. New crown and tube."
                .into(),
        ..of_water(
            TestWay::Condensation,
            &shop.ago(1, 3),
            &[
                marked,
                (FigureOf::Minutes, 1.0, None),
                (FigureOf::WarmDegC, 43.0, None),
                (FigureOf::ColdDegC, 20.0, None),
            ],
            &[(SignOf::Fog, true)],
        )
    };
    for one in [dry, wet, drop] {
        let at = By { at: one.done, ..begun.clone() };
        shop.store.create(&at, one).await?;
    }
    Ok(())
}
