//! Devices that lose their connection: they cannot know whether what they sent was kept, so they send
//! it again, some of it or all, as often as they like. Each entry is kept once, in the order in which
//! it was first kept, and with it the part that it orders.

use crate::given::{self, by, entry, later, visit};
use jobs::{AnyId, Id, JobId, Kind, Part, PartId};
use proptest::prelude::*;
use std::collections::BTreeSet;
use store::{Error, NewLogEntry, Order, Page, Places, Store, check};
use uuid::Uuid;

/// Every third entry orders a part, under an id that follows from its own.
fn part_of(entry: &NewLogEntry) -> Option<PartId> {
    let n = entry.id.as_u128();
    n.is_multiple_of(3).then(|| Id::from_uuid(Uuid::from_u128(n << 64)))
}

/// What a route does with a batch, up to where it is kept or dropped.
async fn send(store: &Store, job: JobId, batch: &[NewLogEntry], keep: bool) -> Result<(), Error> {
    let by = by();
    let mut together = store.together(&by).await?;
    let appended = together.append_entries(job, batch).await?;
    assert_eq!(appended.len(), batch.len());
    for entry in batch {
        if let Some(id) = part_of(entry) {
            together.create_once(id, given::part(job, &entry.title)).await?;
        }
    }
    if keep { together.keep().await } else { Ok(()) }
}

async fn parts(store: &Store, job: JobId) -> BTreeSet<Uuid> {
    let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
    let listed = store.list::<Part>(of, Order::OldestFirst, Page::first(Page::MOST)).await.unwrap();
    let ids: BTreeSet<Uuid> = listed.items.iter().map(|part| part.id.uuid()).collect();
    assert_eq!(ids.len() as u64, listed.total);
    ids
}

/// One sending: by which device, from which of its entries on, how many, and what became of it.
#[derive(Debug, Clone)]
enum Sending {
    Kept {
        device: usize,
        from: usize,
        many: usize,
    },
    /// Broken off before it was kept.
    Cut {
        device: usize,
        from: usize,
        many: usize,
    },
    /// The program is closed and opened again.
    Restart,
}

fn sending() -> impl Strategy<Value = Sending> {
    let which = || (0_usize..2, 0_usize..12, 1_usize..6);
    prop_oneof![
        6 => which().prop_map(|(device, from, many)| Sending::Kept { device, from, many }),
        3 => which().prop_map(|(device, from, many)| Sending::Cut { device, from, many }),
        1 => Just(Sending::Restart),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 200, ..Default::default() })]
    /// Against a plain list: what was not in it is put at its end.
    #[test]
    fn whatever_is_sent_again_or_cut_each_entry_is_kept_once(
        sendings in prop::collection::vec(sending(), 1..30),
    ) {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            let folder = tempfile::tempdir().unwrap();
            let places = Places::in_folder(folder.path());
            let mut store = Store::open(&places).await.unwrap();
            let (.., job) = visit(&store).await;
            // Both devices make some of the same entries: one has handed them on to the other.
            let made: [Vec<NewLogEntry>; 2] = [(1..=12), (9..=20)]
                .map(|ids| ids.map(|n: u128| entry(n, &format!("q{n}x"))).collect());
            let mut expected: Vec<NewLogEntry> = Vec::new();
            for sending in sendings {
                let batch = |device: usize, from: usize, many: usize| {
                    made[device].iter().skip(from).take(many).cloned().collect::<Vec<_>>()
                };
                match sending {
                    Sending::Kept { device, from, many } => {
                        let batch = batch(device, from, many);
                        send(&store, job.id, &batch, true).await.unwrap();
                        for one in batch {
                            if !expected.contains(&one) {
                                expected.push(one);
                            }
                        }
                    }
                    Sending::Cut { device, from, many } => {
                        send(&store, job.id, &batch(device, from, many), false).await.unwrap();
                    }
                    Sending::Restart => {
                        store.close().await;
                        store = Store::open(&places).await.unwrap();
                    }
                }
            }
            let log = store.entries_of(job.id).await.unwrap();
            let is: Vec<_> = log.iter().map(|entry| (entry.id, &entry.body)).collect();
            let should_be: Vec<_> = expected.iter().map(|entry| (entry.id, &entry.body)).collect();
            assert_eq!(is, should_be);
            assert!(log.windows(2).all(|two| two[0].number < two[1].number));
            let ordered = expected.iter().filter_map(part_of).map(Id::uuid).collect();
            assert_eq!(parts(&store, job.id).await, ordered);
            for one in made.iter().flatten() {
                let found = store.search(&one.found_by[0], None, 9).await.unwrap().hits;
                let of_job = found.iter().filter(|hit| hit.id.kind == Kind::Job).count();
                assert_eq!(of_job == 1, expected.contains(one), "{}", one.title);
            }
            let told = store.history_within(job.id.uuid(), Page::first(500)).await.unwrap().items;
            let of_log = told.iter().filter(|change| change.subject == store::Subject::LogEntry);
            assert_eq!(of_log.count(), expected.len());
            let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
            assert_eq!(checked.faults, []);
            store.close().await;
        });
    }
}

/// At the same time, through programs of their own: every batch is sent three times, and a task
/// that is ended while it sends is one that was cut.
pub(crate) async fn two_devices_that_send_again_and_again_keep_each_entry_once(store: Store) {
    let (.., job) = visit(&store).await;
    let second = Store::open(store.places()).await.unwrap();
    let mut tasks = Vec::new();
    for (device, store) in [(0_u128, store.clone()), (1, second.clone())] {
        for again in 0..3 {
            let store = store.clone();
            tasks.push(tokio::spawn(async move {
                let all: Vec<_> = (1..=24)
                    .map(|n| entry(device * 16 + n, &format!("part {}", device * 16 + n)))
                    .collect();
                // Batches of another length each time, so that they overlap.
                for batch in all.chunks(3 + again) {
                    let cut = tokio::spawn({
                        let (store, batch) = (store.clone(), batch.to_vec());
                        async move { send(&store, job.id, &batch, true).await }
                    });
                    tokio::task::yield_now().await;
                    cut.abort();
                    // Ended or not, kept or not: nobody knows.
                    let _ = cut.await;
                    // The other program may hold the database for longer than this one waits.
                    while let Err(error) = send(&store, job.id, batch, true).await {
                        assert!(matches!(error, Error::Locked), "{error:?}");
                    }
                }
            }));
        }
    }
    for task in tasks {
        task.await.unwrap();
    }
    let log = store.entries_of(job.id).await.unwrap();
    let ids: BTreeSet<u128> = log.iter().map(|entry| entry.id.as_u128()).collect();
    assert_eq!((log.len(), ids), (40, (1..=40).collect()));
    // Each task sent its own in their order, and nothing was kept before it was first sent.
    for device in [1..=16, 25..=40] {
        let of_it: Vec<u128> =
            log.iter().map(|entry| entry.id.as_u128()).filter(|id| device.contains(id)).collect();
        assert!(of_it.is_sorted(), "{of_it:?}");
    }
    let ordered = (1..=40_u128).filter(|n| n.is_multiple_of(3)).map(|n| Uuid::from_u128(n << 64));
    assert_eq!(parts(&second, job.id).await, ordered.collect());
    assert_eq!(second.entries_of(job.id).await.unwrap(), log);
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
    // Later, from a device that was away: nothing is new.
    let all: Vec<_> = (1..=24).map(|n| entry(n, &format!("part {n}"))).collect();
    let sent = store.append_entries(&later(9), job.id, &all).await.unwrap();
    assert!(sent.iter().all(|one| !one.is_new));
    second.close().await;
}
