use super::version;
use crate::failure::Failure;
use crate::wire::{self, PartState};
use jobs::{Currency, JobId, Money, Part};
use store::Kept;

fn state(state: jobs::PartState) -> PartState {
    match state {
        jobs::PartState::Wanted => PartState::Wanted,
        jobs::PartState::Ordered => PartState::Ordered,
        jobs::PartState::Arrived => PartState::Arrived,
        jobs::PartState::Fitted => PartState::Fitted,
        jobs::PartState::NotNeeded => PartState::NotNeeded,
    }
}

fn state_from(state: PartState) -> jobs::PartState {
    match state {
        PartState::Wanted => jobs::PartState::Wanted,
        PartState::Ordered => jobs::PartState::Ordered,
        PartState::Arrived => jobs::PartState::Arrived,
        PartState::Fitted => jobs::PartState::Fitted,
        PartState::NotNeeded => jobs::PartState::NotNeeded,
    }
}

pub(crate) fn part(kept: &Kept<Part>) -> wire::Part {
    let Part { job, what, quantity, supplier, state: now, cost } = &kept.value;
    wire::Part {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: job.to_string(),
        what: what.clone(),
        quantity: *quantity,
        supplier: supplier.clone(),
        state: state(*now),
        cost_minor: cost.map(|money| money.minor_units),
        currency: cost.map(|money| money.currency.to_string()),
    }
}

pub(crate) fn new_part(job: JobId, new: wire::NewPart, usual: Currency) -> Result<Part, Failure> {
    // In the currency that is usual here, where none is named.
    let currency = match &new.currency {
        Some(code) => super::job::currency(code)?,
        None => usual,
    };
    Ok(Part {
        job,
        what: new.what.trim().to_owned(),
        quantity: new.quantity.unwrap_or(1),
        supplier: new.supplier.unwrap_or_default(),
        state: jobs::PartState::Wanted,
        cost: new.cost_minor.map(|minor_units| Money { minor_units, currency }),
    })
}

pub(crate) fn change_part(
    part: &mut Part,
    change: wire::PartChange,
    usual: Currency,
) -> Result<(), Failure> {
    if let Some(what) = change.what {
        what.trim().clone_into(&mut part.what);
    }
    if let Some(quantity) = change.quantity {
        part.quantity = quantity;
    }
    if let Some(supplier) = change.supplier {
        part.supplier = supplier;
    }
    if let Some(state) = change.state {
        part.state = state_from(state);
    }
    let currency = match change.currency {
        None => part.cost.map_or(usual, |cost| cost.currency),
        Some(None) => usual,
        Some(Some(code)) => super::job::currency(&code)?,
    };
    part.cost = match change.cost_minor {
        None => part.cost.map(|cost| Money { currency, ..cost }),
        Some(cost) => cost.map(|minor_units| Money { minor_units, currency }),
    };
    Ok(())
}
