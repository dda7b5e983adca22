use crate::given::{self, by, entry, later, latest_change, visit};
use jobs::*;
use store::{Error, Order, Page, Present, Store};
use uuid::Uuid;

async fn count<T: store::Stored>(store: &Store) -> u64 {
    store.list::<T>(None, Order::OldestFirst, Page::first(1)).await.unwrap().total
}

pub(crate) async fn all_or_nothing(store: Store) {
    let by = by();
    let mut together = store.together(&by).await.unwrap();
    let owner = together.create(given::owner("Ada")).await.unwrap();
    let watch = together.create(given::watch(Some(owner.id), "steel")).await.unwrap();
    let refused = together.create(given::job(watch.id, "\u{7}")).await;
    assert!(matches!(refused, Err(Error::Invalid(_))), "{refused:?}");
    drop(together);
    assert_eq!((count::<Owner>(&store).await, count::<Watch>(&store).await), (0, 0));

    let mut together = store.together(&by).await.unwrap();
    let owner = together.create(given::owner("Ada")).await.unwrap();
    let watch = together.create(given::watch(Some(owner.id), "steel")).await.unwrap();
    together.keep().await.unwrap();
    assert_eq!(store.get(watch.id).await.unwrap().value.owner, Some(owner.id));
}

pub(crate) async fn an_estimate_is_a_part_of_its_job(store: Store) {
    let (.., job) = visit(&store).await;
    assert_eq!(store.estimate_of(job.id).await.unwrap(), None);
    let estimate = given::estimate(job.id);
    let change = |by, version, value: &Job, estimate: &Estimate| {
        let (store, value, estimate) = (store.clone(), value.clone(), estimate.clone());
        async move { store.change_job(&by, job.id, version, value, Some(estimate)).await }
    };
    let first = change(later(1), 1, &job.value, &estimate).await.unwrap();
    assert_eq!((first.version, first.changed, &first.value), (2, later(1).at, &job.value));
    assert_eq!(store.estimate_of(job.id).await.unwrap().unwrap().value, estimate);
    // Nothing differs.
    assert_eq!(change(later(2), 2, &job.value, &estimate).await.unwrap(), first);

    let dearer = Estimate {
        lines: vec![EstimateLine { what: "new balance".into(), minor_units: 40_000 }],
        ..estimate.clone()
    };
    match change(later(3), 1, &job.value, &dearer).await {
        Err(Error::Conflict(present)) => assert_eq!(*present, Present::Job(first.clone())),
        other => panic!("{other:?}"),
    }
    assert_eq!(store.estimate_of(job.id).await.unwrap().unwrap().value, estimate);

    // One that may not be kept takes the change of the job with it.
    let noted = Job { notes: "left barrel stiff".into(), ..job.value.clone() };
    let bad = Estimate {
        lines: vec![EstimateLine { what: " ".into(), minor_units: 1 }],
        ..estimate.clone()
    };
    let refused = change(later(4), 2, &noted, &bad).await;
    assert!(matches!(refused, Err(Error::Invalid(_))), "{refused:?}");
    assert_eq!(store.get(job.id).await.unwrap(), first);

    // Both at once are one change of the job.
    let both = change(later(5), 2, &noted, &dearer).await.unwrap();
    assert_eq!((both.version, both.value.notes.as_str()), (3, "left barrel stiff"));
    assert_eq!(store.estimate_of(job.id).await.unwrap().unwrap().value, dearer);
}

pub(crate) async fn a_job_has_one_estimate(store: Store) {
    let (.., job) = visit(&store).await;
    let entered = store.create(&by(), given::estimate(job.id)).await.unwrap();
    match store.create(&by(), given::estimate(job.id)).await {
        Err(Error::Conflict(present)) => assert_eq!(*present, Present::Estimate(entered.clone())),
        other => panic!("{other:?}"),
    }
    store.delete(&later(1), entered.id).await.unwrap();
    assert_eq!(store.estimate_of(job.id).await.unwrap(), None);
    let other = given::estimate(job.id);
    let put = store.change_job(&later(2), job.id, 1, job.value.clone(), Some(other)).await;
    assert!(matches!(put, Err(Error::InBin(_))), "{put:?}");

    // Many who enter the first at once: one is first, the others are told.
    let (.., job) = visit(&store).await;
    let tasks: Vec<_> = (0..6)
        .map(|n| {
            let (store, value) = (store.clone(), job.value.clone());
            let mut estimate = given::estimate(job.id);
            estimate.lines[0].minor_units = 100 + n;
            tokio::spawn(async move {
                store.change_job(&later(n), job.id, 1, value, Some(estimate)).await
            })
        })
        .collect();
    let mut kept = 0;
    for task in tasks {
        match task.await.unwrap() {
            Ok(_) => kept += 1,
            Err(Error::Conflict(_)) => {}
            Err(other) => panic!("{other:?}"),
        }
    }
    assert_eq!(kept, 1);
}

pub(crate) async fn an_entry_and_a_part_are_kept_once_and_together(store: Store) {
    let (.., job) = visit(&store).await;
    let by = by();
    let fork = entry(3, "fork");
    // An entry and what it orders may have one id.
    let part_id = PartId::from_uuid(fork.id);
    let send = |what: &'static str, quantity: u32| {
        let (store, by, fork) = (&store, &by, &fork);
        async move {
            let mut together = store.together(by).await?;
            let appended = together.append_entries(job.id, std::slice::from_ref(fork)).await?;
            let part = Part { quantity, ..given::part(job.id, what) };
            let part = together.create_once(part_id, part).await?;
            together.keep().await?;
            Ok::<_, Error>((appended[0].is_new, part))
        }
    };
    // A part that may not be kept takes the entry with it.
    let refused = send("fork", 0).await;
    assert!(matches!(refused, Err(Error::Invalid(_))), "{refused:?}");
    assert_eq!(store.entries_of(job.id).await.unwrap(), []);

    let (is_new, part) = send("fork", 1).await.unwrap();
    assert!(is_new);
    assert_eq!(store.get(part_id).await.unwrap(), part);
    let ordered = Part { state: PartState::Arrived, ..part.value.clone() };
    let ordered = store.change(&later(1), part_id, 1, ordered).await.unwrap();
    // Sent again after somebody has changed the part: it stays as it is.
    let before = latest_change(&store).await;
    assert_eq!(send("fork", 1).await.unwrap(), (false, ordered));
    store.delete(&later(2), part_id).await.unwrap();
    let (is_new, in_bin) = send("fork", 1).await.unwrap();
    assert_eq!((is_new, in_bin.deleted), (false, Some(later(2).at)));
    assert_eq!(latest_change(&store).await, before + 1);
    assert_eq!(count::<Part>(&store).await, 0);
}

pub(crate) async fn what_is_sent_again_under_its_id_counts_once(store: Store) {
    let (.., job) = visit(&store).await;
    let (.., other) = visit(&store).await;
    let dial = given::photo(job.id, given::sound(&store, "dial").await, "dial");
    let train = given::photo(job.id, given::sound(&store, "train").await, "train");
    let id = PhotoId::from_uuid(Uuid::from_u128(7));
    let kept = store.create_once(&by(), id, dial.clone()).await.unwrap();
    assert_eq!((kept.id, kept.version, &kept.value), (id, 1, &dial));
    let renamed = Photo { caption: "dial side".into(), ..dial.clone() };
    let renamed = store.change(&later(1), id, 1, renamed).await.unwrap();
    assert_eq!(store.create_once(&later(2), id, dial.clone()).await.unwrap(), renamed);
    assert_eq!(count::<Photo>(&store).await, 1);

    let is_taken = |refused: Result<(), Error>, what: &str| {
        let words = refused.unwrap_err().to_string();
        assert!(
            words.starts_with(&format!("Another {what} was kept under the id {id}")),
            "{words}"
        );
    };
    is_taken(store.create_once(&by(), id, train.clone()).await.map(drop), "photo");
    let elsewhere = Photo { job: other.id, ..dial.clone() };
    is_taken(store.create_once(&by(), id, elsewhere).await.map(drop), "photo");
    let part = given::part(job.id, "crown");
    let refused = store.create_once(&by(), PartId::from_uuid(id.uuid()), part).await;
    is_taken(refused.map(drop), "part to order");
    let nil = store.create_once(&by(), PhotoId::from_uuid(Uuid::nil()), train).await;
    assert!(matches!(nil, Err(Error::Invalid(_))), "{nil:?}");

    // In the bin it is there still; gone for good, it does not come back by being sent once more.
    store.delete(&later(3), id).await.unwrap();
    let again = store.create_once(&later(4), id, dial.clone()).await.unwrap();
    assert_eq!(again.deleted, Some(later(3).at));
    store.empty_bin(&later(5), later(5).at).await.unwrap();
    let gone = store.create_once(&later(6), id, dial).await;
    assert!(matches!(gone, Err(Error::NotFound("photo"))), "{gone:?}");
    assert_eq!(count::<Photo>(&store).await, 0);
}
