use crate::given::{self, by, later, visit};
use jobs::*;
use store::{Error, Order, Page, Present, Store};

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
