use super::{moment, moment_from, version};
use crate::failure::Failure;
use crate::wire;
use jobs::{Adjustment, AdjustmentBy, JobId, Moment};
use store::Kept;

fn by(by: AdjustmentBy) -> wire::AdjustmentBy {
    match by {
        AdjustmentBy::Index => wire::AdjustmentBy::Index,
        AdjustmentBy::TimingScrews => wire::AdjustmentBy::TimingScrews,
        AdjustmentBy::Mass => wire::AdjustmentBy::Mass,
        AdjustmentBy::Stud => wire::AdjustmentBy::Stud,
        AdjustmentBy::Other => wire::AdjustmentBy::Other,
    }
}

fn by_from(by: wire::AdjustmentBy) -> AdjustmentBy {
    match by {
        wire::AdjustmentBy::Index => AdjustmentBy::Index,
        wire::AdjustmentBy::TimingScrews => AdjustmentBy::TimingScrews,
        wire::AdjustmentBy::Mass => AdjustmentBy::Mass,
        wire::AdjustmentBy::Stud => AdjustmentBy::Stud,
        wire::AdjustmentBy::Other => AdjustmentBy::Other,
    }
}

pub(crate) fn adjustment(kept: &Kept<Adjustment>) -> wire::Adjustment {
    let Adjustment { job, balance, at, by: with, amount, note } = &kept.value;
    wire::Adjustment {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: job.to_string(),
        balance: balance.clone(),
        at: moment(*at),
        by: by(*with),
        amount: *amount,
        note: note.clone(),
        words: regulate::move_words(*with, *amount),
    }
}

pub(crate) fn new_adjustment(
    job: JobId,
    new: wire::NewAdjustment,
    now: Moment,
) -> Result<Adjustment, Failure> {
    let wire::NewAdjustment { balance, at, by, amount, note } = new;
    Ok(Adjustment {
        job,
        balance: balance.unwrap_or_default().trim().to_owned(),
        at: at.as_ref().map_or(Ok(now), moment_from)?,
        by: by_from(by),
        amount,
        note: note.unwrap_or_default(),
    })
}

pub(crate) fn change_adjustment(value: &mut Adjustment, change: wire::AdjustmentChange) {
    let wire::AdjustmentChange { version: _, balance, by, amount, note } = change;
    if let Some(balance) = balance {
        balance.trim().clone_into(&mut value.balance);
    }
    if let Some(by) = by {
        value.by = by_from(by);
    }
    if let Some(amount) = amount {
        value.amount = amount;
    }
    if let Some(note) = note {
        value.note = note;
    }
}
