//! What a record says now, for whoever wanted to change what it said before.

use super::{bottles, final_tests, jobs, templates, trials, watches};
use crate::convert::{adjustment, estimate, owner, part, photo, reading};
use crate::desk::Desk;
use crate::failure::Failure;
use serde_json::json;
use store::Present;

pub(crate) async fn present(desk: &Desk, present: Present) -> Result<serde_json::Value, Failure> {
    let told = match present {
        Present::Owner(kept) => serde_json::to_value(owner(&kept)),
        Present::Watch(kept) => serde_json::to_value(watches::shown(desk, &kept).await?),
        Present::Job(kept) => serde_json::to_value(jobs::shown(desk, &kept).await?),
        Present::Part(kept) => serde_json::to_value(part(&kept)),
        Present::Estimate(kept) => serde_json::to_value(estimate(&kept)?),
        Present::Photo(kept) => serde_json::to_value(photo(&kept)),
        Present::Reading(kept) => serde_json::to_value(reading(&kept)),
        Present::Template(kept) => serde_json::to_value(templates::shown(&kept)?),
        Present::Bottle(kept) => serde_json::to_value(bottles::shown(&kept)),
        Present::Adjustment(kept) => serde_json::to_value(adjustment(&kept)),
        Present::Trial(kept) => serde_json::to_value(trials::shown(desk, &kept).await?),
        Present::FinalTest(kept) => serde_json::to_value(final_tests::shown(desk, &kept).await?),
        Present::Setting(kept) => {
            Ok(json!({ "key": kept.key, "version": kept.version, "text": kept.value }))
        }
    };
    told.map_err(|e| Failure::Ours(e.to_string()))
}
