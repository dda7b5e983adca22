//! What a record says now, for whoever wanted to change what it said before.

use super::{jobs, watches};
use crate::convert::{estimate, owner, part, photo, reading};
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
        Present::Template(kept) => {
            let ::jobs::Template { name, note, log } = kept.value;
            Ok(json!({ "id": kept.id.to_string(), "version": kept.version,
                "name": name, "note": note, "log": log }))
        }
        Present::Bottle(kept) => {
            let ::jobs::Bottle { class, name, opened, expires, note, used_up } = kept.value;
            let day = |day: Option<jiff::civil::Date>| day.map(|day| day.to_string());
            Ok(json!({ "id": kept.id.to_string(), "version": kept.version, "class": class,
                "name": name, "opened": day(opened), "expires": day(expires), "note": note,
                "used_up": used_up }))
        }
        Present::Setting(kept) => {
            Ok(json!({ "key": kept.key, "version": kept.version, "text": kept.value }))
        }
    };
    told.map_err(|e| Failure::Ours(e.to_string()))
}
