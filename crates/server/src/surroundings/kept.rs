//! The database, and sounds and photos.

use doctor::{Backups, DamageFact, DatabaseFact, DatabaseState, MediaFact, RecorderClock, Trouble};
use store::{Damage, Database, Error, MediaLook, Places, Progress, Seen, SeenDatabase};

pub(super) async fn database(places: &Places) -> DatabaseFact {
    let state = match store::look(places).await {
        Seen::Nothing => DatabaseState::Nothing,
        Seen::Unreadable(error) => {
            let trouble = match error {
                Error::Locked => Trouble::Locked,
                Error::Damaged(_) => Trouble::Damaged,
                _ => Trouble::Other,
            };
            DatabaseState::Unreadable(trouble, error.to_string())
        }
        Seen::There(seen) => there(seen),
    };
    let (is_file, file_system) = match &places.database {
        Database::File(file) => (true, super::folder::file_system(file)),
        Database::Server(_) => (false, None),
    };
    DatabaseFact { shown: places.database.shown(), is_file, file_system, state }
}

fn there(seen: SeenDatabase) -> DatabaseState {
    let clocks = seen
        .clocks
        .into_iter()
        .map(|kept| RecorderClock { device: kept.clock.device, found_ms: kept.found.ms() });
    DatabaseState::There {
        schema: seen.schema,
        lacks: seen.lacks,
        unknown: seen.unknown,
        damage: match seen.damage {
            Damage::NotAsked => DamageFact::NotAsked,
            Damage::None => DamageFact::None,
            Damage::Found(said) => DamageFact::Found(said),
        },
        bytes: seen.bytes,
        log_bytes: seen.log_bytes,
        records: seen.records,
        backups: seen.last_backup.map_or(Backups::Never, |at| Backups::Last(at.ms())),
        clocks: clocks.collect(),
    }
}

/// Nothing where nobody wants to go on.
pub(super) async fn media(
    places: &Places,
    database: &DatabaseFact,
    sums: Option<u64>,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Option<MediaFact> {
    if !matches!(database.state, DatabaseState::There { unknown: None, .. }) {
        return Some(MediaFact::NotLooked);
    }
    let mut goes_on = true;
    let mut ask = |progress| {
        goes_on = goes_on && go_on(progress);
        goes_on
    };
    let found = store::look_at_media(places, sums, &mut ask).await;
    if !goes_on {
        return None;
    }
    Some(match found {
        Ok(None) => MediaFact::NoFolder(places.media.shown()),
        Ok(Some(MediaLook { named, gone, summed, changed })) => {
            MediaFact::Looked { named, gone, summed, changed }
        }
        Err(error) => MediaFact::Unreadable(error.to_string()),
    })
}
