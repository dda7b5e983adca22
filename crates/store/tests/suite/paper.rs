//! Older paper records: all or none, and each once.

use crate::disk::Disk;
use crate::given::{by, later, latest_change};
use jobs::{Job, Owner, Watch};
use store::{Error, Order, Page, Places, Store, TakenIn};

const BOOK: &str = "owner,watch,serial,in,out,done,price,currency,CH,rate_sd
Ada,steel wristwatch,A-1,1998-03-02,1998-03-20,cleaned,120.50,EUR,+4,1.5
Ada,steel wristwatch,A-1,2003-05-01,2003-05-09,new mainspring,,,3,
Bo,pocket watch,,2001-07-04,2001-07-05,,,,,
";

async fn take(store: &Store, text: &str, only_look: bool) -> Result<TakenIn, Error> {
    let ledger = ledger::read(text.as_bytes()).unwrap();
    assert_eq!(ledger.bad, []);
    Ok(store.take_in(&later(5), &ledger.visits, only_look, &mut |_| true).await?.unwrap())
}

pub(crate) async fn paper_records_are_taken_in_once(store: Store) {
    let wanted = TakenIn { owners: 2, watches: 2, visits: 3, there: 0, removed: 0 };
    assert_eq!(take(&store, BOOK, true).await.unwrap(), wanted);
    assert_eq!(latest_change(&store).await, 0);
    // Stopped, nothing was added.
    let ledger = ledger::read(BOOK.as_bytes()).unwrap();
    let stopped = store.take_in(&by(), &ledger.visits, false, &mut |step| step.done < 3).await;
    assert_eq!(stopped.unwrap(), None);
    assert_eq!(latest_change(&store).await, 0);

    assert_eq!(take(&store, BOOK, false).await.unwrap(), wanted);
    let latest = latest_change(&store).await;
    let again = TakenIn { there: 3, ..TakenIn::default() };
    assert_eq!(take(&store, BOOK, true).await.unwrap(), again);
    assert_eq!(take(&store, BOOK, false).await.unwrap(), again);
    assert_eq!(latest_change(&store).await, latest);
    // Found as any other, each with a number.
    let found = store.search("mainspring", None, 9).await.unwrap();
    assert_eq!(found.hits.len(), 1);
    let id = ledger.visits[0].job.0;
    let job = store.get(id).await.unwrap();
    assert_eq!((job.value.number, job.value.is_open()), (1, false));
    assert!(store.estimate_of(id).await.unwrap().is_some());
    let readings = store.list::<jobs::Reading>(Some(job.any_id()), Order::Title, Page::first(9));
    assert_eq!(readings.await.unwrap().total, 1);

    // What was changed here stays as it is, and a row that is new is added.
    let mut value = job.value.clone();
    value.notes = "as he told me".into();
    store.change(&later(6), id, job.version, value).await.unwrap();
    let more = format!("{BOOK}Bo,pocket watch,,2004-01-01,2004-01-02,,,,,\n");
    let one = TakenIn { visits: 1, there: 3, ..TakenIn::default() };
    assert_eq!(take(&store, &more, false).await.unwrap(), one);
    assert_eq!(store.get(id).await.unwrap().value.notes, "as he told me");

    // What was removed for good stays away; what hangs on it cannot come.
    let visit = &ledger.visits[2];
    store.delete(&later(7), visit.job.0).await.unwrap();
    store.empty_bin(&later(8), later(8).at).await.unwrap();
    let taken = take(&store, BOOK, false).await.unwrap();
    assert_eq!((taken.there, taken.removed, taken.visits), (2, 1, 0));
    store.delete(&later(9), ledger.visits[0].watch.0).await.unwrap();
    let more = format!("{BOOK}Ada,steel wristwatch,A-1,2005-01-01,2005-01-02,,,,,\n");
    let refused = take(&store, &more, false).await.unwrap_err();
    assert!(matches!(refused, Error::Line { line: 5, .. }), "{refused}");
    let (owners, watches) = (Order::Title, Order::Title);
    assert_eq!(store.list::<Owner>(None, owners, Page::first(9)).await.unwrap().total, 2);
    assert_eq!(store.list::<Watch>(None, watches, Page::first(9)).await.unwrap().total, 1);
    assert_eq!(store.list::<Job>(None, Order::Title, Page::first(9)).await.unwrap().total, 1);
}

/// On a full disk none of them is there, and all come once there is room.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_full_disk_takes_in_none_of_them() {
    const VISITS: u64 = 300;
    let Some(disk) = Disk::of_mib(3) else { return };
    let store = Store::open(&Places::in_folder(disk.path())).await.unwrap();
    let (head, _) = BOOK.split_once('\n').unwrap();
    let done = "cleaned and oiled ".repeat(400);
    let rows = (0..VISITS).map(|n| format!("Ada,clock {n},,1998-03-02,1998-03-20,{done},,,,"));
    let book = [head.to_owned()].into_iter().chain(rows).collect::<Vec<_>>().join("\n");
    let refused = take(&store, &book, false).await;
    assert!(matches!(refused, Err(Error::FullDisk)), "{refused:?}");
    assert_eq!(latest_change(&store).await, 0);
    let checked = store::check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((checked.faults, checked.records), (vec![], 0));
    disk.grow_to_mib(64);
    assert_eq!(take(&store, &book, false).await.unwrap().visits, VISITS);
    store.close().await;
}
