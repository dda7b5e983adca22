use super::{Stored, owning, row::Row};
use crate::entity::final_test;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{FinalTest, Id, Moment, TestKind, TestOutcome, TestStandard, TestWay};
use std::collections::BTreeMap;
use uuid::Uuid;

fn ids<T>(ids: &[Id<T>]) -> Result<String> {
    nested::text(&ids.iter().map(|id| id.uuid().to_string()).collect::<Vec<_>>())
}

fn read_ids<T>(text: &str) -> Result<Vec<Id<T>>> {
    let ids: Vec<String> = nested::read(text)?;
    let id = |text: &String| nested::code(Uuid::parse_str(text).ok(), text).map(Id::from_uuid);
    ids.iter().map(id).collect()
}

impl Row for FinalTest {
    type Model = final_test::Model;
    type ActiveModel = final_test::ActiveModel;
    type Entity = final_test::Entity;

    fn row(&self, id: Uuid) -> Result<final_test::Model> {
        let Self {
            job: _,
            balance,
            kind,
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
        } = self;
        let figures: BTreeMap<&String, nested::TestFigure> =
            figures.iter().map(|(code, figure)| (code, figure.into())).collect();
        Ok(final_test::Model {
            id,
            balance: balance.clone(),
            tested: kind.code().into(),
            way: way.map(|way| way.code().into()),
            standard: standard.code().into(),
            what: what.clone(),
            instrument: instrument.clone(),
            conditions: conditions.clone(),
            done_ms: done.ms(),
            figures: nested::text(&figures)?,
            signs: nested::text(signs)?,
            photos: ids(photos)?,
            readings: ids(readings)?,
            outcome: outcome.code().into(),
            note: note.clone(),
        })
    }

    fn from_row(row: final_test::Model, parent: Option<Uuid>) -> Result<Self> {
        let final_test::Model {
            id: _,
            balance,
            tested,
            way,
            standard,
            what,
            instrument,
            conditions,
            done_ms,
            figures,
            signs,
            photos,
            readings,
            outcome,
            note,
        } = row;
        let figures: BTreeMap<String, nested::TestFigure> = nested::read(&figures)?;
        let way = way.map(|way| nested::code(TestWay::from_code(&way), &way)).transpose()?;
        Ok(Self {
            job: owning(parent)?,
            balance,
            kind: nested::code(TestKind::from_code(&tested), &tested)?,
            way,
            standard: nested::code(TestStandard::from_code(&standard), &standard)?,
            what,
            instrument,
            conditions,
            done: Moment::from_ms(done_ms),
            figures: figures.into_iter().map(|(code, figure)| (code, figure.into())).collect(),
            signs: nested::read(&signs)?,
            photos: read_ids(&photos)?,
            readings: read_ids(&readings)?,
            outcome: nested::code(TestOutcome::from_code(&outcome), &outcome)?,
            note,
        })
    }
}

impl Stored for FinalTest {
    fn present(kept: Kept<Self>) -> Present {
        Present::FinalTest(kept)
    }
}
