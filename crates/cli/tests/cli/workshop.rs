//! The user's data with one job in it, put there by the store itself.

use crate::bench::Bench;
use bytes::Bytes;
use jobs::{Job, MediaHash, Moment, Owner, Photo, Watch, WatchId};
use store::{By, Places, Store};

/// What was put in.
pub(crate) struct Made {
    pub(crate) store: Store,
    pub(crate) by: By,
    pub(crate) watch: WatchId,
    pub(crate) media: MediaHash,
}

/// A watch of this owner, its job, and a photo of these bytes. Whoever asks closes the store.
pub(crate) async fn with_a_job(bench: &Bench, owner: &str, picture: &'static [u8]) -> Made {
    let store = Store::open(&Places::in_folder(&bench.path("data/endshake"))).await.unwrap();
    let by = By::at("bench", Moment::from_ms(1_700_000_000_000));
    let owner = Owner { name: owner.into(), ..Owner::default() };
    let owner = store.create(&by, owner).await.unwrap();
    let watch =
        Watch { owner: Some(owner.id), description: "alarm watch".into(), ..Watch::default() };
    let watch = store.create(&by, watch).await.unwrap().id;
    let job = store.create(&by, Job::begun(watch, "rings late", by.at)).await.unwrap().id;
    let media = store.put_media(Bytes::from_static(picture)).await.unwrap();
    let photo = Photo {
        job,
        media,
        caption: "the hammer".into(),
        width_px: 40,
        height_px: 30,
        taken: by.at,
    };
    store.create(&by, photo).await.unwrap();
    Made { store, by, watch, media }
}
