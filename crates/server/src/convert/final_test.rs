use super::{id, moment, moment_from, version};
use crate::failure::Failure;
use crate::wire;
use jobs::{Figure, FinalTest, JobId, Moment, TestKind, TestOutcome, TestStandard, TestWay};
use std::collections::BTreeMap;
use store::Kept;

/// A word as it is kept and as it travels, both ways.
macro_rules! twins {
    ($word:ident, $to:ident, $from:ident, $($member:ident),+) => {
        pub(crate) const fn $to(word: $word) -> wire::$word {
            match word {
                $($word::$member => wire::$word::$member,)+
            }
        }

        pub(crate) const fn $from(word: wire::$word) -> $word {
            match word {
                $(wire::$word::$member => $word::$member,)+
            }
        }
    };
}

twins!(
    TestKind,
    test_kind,
    test_kind_from,
    Rate,
    RunningTime,
    AutomaticWinding,
    Water,
    Magnetism,
    HandsAndCalendar,
    Look,
    Other
);
twins!(
    TestStandard,
    test_standard,
    test_standard_from,
    Own,
    Iso22810,
    Iso6425,
    Iso764,
    Iso764Enhanced
);
twins!(
    TestWay,
    test_way,
    test_way_from,
    Air,
    Water,
    LowPressure,
    Immersion,
    CrownPressed,
    Warmth,
    Salt,
    Condensation,
    Worn,
    Winder
);
twins!(TestOutcome, test_outcome, test_outcome_from, Passed, Failed, NotDecided);

pub(crate) fn test_figures(figures: &BTreeMap<String, Figure>) -> Vec<wire::TestFigure> {
    let figure = |(code, Figure { value, sd }): (&String, &Figure)| wire::TestFigure {
        code: code.clone(),
        value: *value,
        sd: *sd,
    };
    figures.iter().map(figure).collect()
}

pub(crate) fn final_test(kept: &Kept<FinalTest>, sheet: wire::TestSheet) -> wire::FinalTest {
    let own = &kept.value;
    let sign = |(code, seen): (&String, &bool)| wire::TestSign { code: code.clone(), seen: *seen };
    wire::FinalTest {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: own.job.to_string(),
        balance: own.balance.clone(),
        kind: test_kind(own.kind),
        way: own.way.map(test_way),
        standard: test_standard(own.standard),
        what: own.what.clone(),
        called: own.called(),
        instrument: own.instrument.clone(),
        conditions: own.conditions.clone(),
        done: moment(own.done),
        figures: test_figures(&own.figures),
        signs: own.signs.iter().map(sign).collect(),
        photos: own.photos.iter().map(ToString::to_string).collect(),
        readings: own.readings.iter().map(ToString::to_string).collect(),
        outcome: test_outcome(own.outcome),
        note: own.note.clone(),
        sheet,
    }
}

/// A test that is entered, whole.
pub(crate) fn new_final_test(
    job: JobId,
    kind: wire::TestKind,
    fields: wire::TestFields,
    now: Moment,
) -> Result<FinalTest, Failure> {
    let kind = test_kind_from(kind);
    let mut value = FinalTest::begun(job, kind, now);
    // The standard of the trade goes before the workshop's own.
    value.standard = kind.standards().first().copied().unwrap_or(TestStandard::Own);
    change_final_test(&mut value, fields)?;
    Ok(value)
}

/// Puts what changes over a map by codes; none empties.
fn put<T>(held: &mut BTreeMap<String, T>, code: String, value: Option<T>) {
    match value {
        Some(value) => held.insert(code, value),
        None => held.remove(&code),
    };
}

pub(crate) fn change_final_test(
    value: &mut FinalTest,
    change: wire::TestFields,
) -> Result<(), Failure> {
    let wire::TestFields {
        balance,
        way,
        standard,
        what,
        instrument,
        conditions,
        done,
        figures,
        signs,
        photos,
        readings,
        outcome,
        note,
    } = change;
    if let Some(balance) = balance {
        balance.trim().clone_into(&mut value.balance);
    }
    if let Some(way) = way {
        value.way = way.map(test_way_from);
    }
    if let Some(standard) = standard {
        value.standard = test_standard_from(standard);
    }
    for (text, sent) in [
        (&mut value.what, what),
        (&mut value.instrument, instrument),
        (&mut value.conditions, conditions),
        (&mut value.note, note),
    ] {
        if let Some(sent) = sent {
            *text = sent;
        }
    }
    if let Some(done) = done {
        value.done = moment_from(&done)?;
    }
    for wire::TestFigureChange { code, value: number, sd } in figures.unwrap_or_default() {
        put(&mut value.figures, code, number.map(|value| Figure { value, sd }));
    }
    for wire::TestSignChange { code, seen } in signs.unwrap_or_default() {
        put(&mut value.signs, code, seen);
    }
    if let Some(photos) = photos {
        value.photos = photos.iter().map(|photo| id(photo)).collect::<Result<_, _>>()?;
    }
    if let Some(readings) = readings {
        value.readings = readings.iter().map(|reading| id(reading)).collect::<Result<_, _>>()?;
    }
    if let Some(outcome) = outcome {
        value.outcome = test_outcome_from(outcome);
    }
    Ok(())
}
