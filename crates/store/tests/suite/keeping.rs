use crate::given::{self, by, later, latest_change, visit};
use jobs::*;
use store::{Error, JobFilter, JobOrder, Kept, Order, Page, Present, Store, Stored};
use uuid::Uuid;

async fn comes_back<T: Stored>(store: &Store, value: T) -> Kept<T> {
    let kept = store.create(&by(), value.clone()).await.unwrap();
    assert_eq!(kept, store.get(kept.id).await.unwrap());
    assert_eq!((kept.version, kept.created, kept.deleted), (1, by().at, None));
    kept
}

pub(crate) async fn what_is_kept_comes_back_as_it_was(store: Store) {
    let owner = comes_back(&store, given::owner("Ada Ørsted")).await;
    assert_eq!(owner.value, given::owner("Ada Ørsted"));
    let watch = given::watch(Some(owner.id), "steel wristwatch");
    let kept_watch = comes_back(&store, watch.clone()).await;
    assert_eq!(kept_watch.value, watch);
    let job = comes_back(&store, given::job(kept_watch.id, "stops")).await;
    assert_eq!(Job { number: 0, ..job.value }, given::job(kept_watch.id, "stops"));
    let media = given::sound(&store, "tick").await;
    let part = given::part(job.id, "mainspring");
    assert_eq!(comes_back(&store, part.clone()).await.value, part);
    let estimate = given::estimate(job.id);
    assert_eq!(comes_back(&store, estimate.clone()).await.value, estimate);
    let photo = given::photo(job.id, media, "dial");
    assert_eq!(comes_back(&store, photo.clone()).await.value, photo);
    let reading = given::reading(job.id, Some(media));
    assert_eq!(comes_back(&store, reading.clone()).await.value, reading);
    let bare = Reading { relation: None, position: None, sound: None, ..reading };
    assert_eq!(comes_back(&store, bare.clone()).await.value, bare);
}

pub(crate) async fn a_change_needs_the_version_it_is_based_on(store: Store) {
    let (owner, ..) = visit(&store).await;
    let mine = given::owner("Ada Berg");
    let changed = store.change(&later(1), owner.id, 1, mine.clone()).await.unwrap();
    assert_eq!((changed.version, &changed.value, changed.changed), (2, &mine, later(1).at));
    let late = store.change(&later(2), owner.id, 1, given::owner("Ada Holm")).await;
    match late {
        Err(Error::Conflict(present)) => assert_eq!(*present, Present::Owner(changed.clone())),
        other => panic!("{other:?}"),
    }
    // The same again changes nothing.
    let same = store.change(&later(3), owner.id, 2, mine).await.unwrap();
    assert_eq!(same, changed);
    assert_eq!(store.get(owner.id).await.unwrap(), changed);
}

pub(crate) async fn nothing_hangs_on_nothing(store: Store) {
    let nobody = Id::from_uuid(Uuid::from_u128(7));
    let watch = store.create(&by(), given::watch(Some(nobody), "x")).await;
    assert!(matches!(watch, Err(Error::NotFound("owner"))), "{watch:?}");
    // An id of another kind is no watch.
    let owner = store.create(&by(), given::owner("A")).await.unwrap();
    let job = store.create(&by(), given::job(Id::from_uuid(owner.id.uuid()), "x")).await;
    assert!(matches!(job, Err(Error::NotFound("watch"))), "{job:?}");
    let none = store.get::<Job>(Id::from_uuid(owner.id.uuid())).await;
    assert!(matches!(none, Err(Error::NotFound("job"))), "{none:?}");
    assert_eq!(store.list::<Job>(None, Order::Title, Page::first(9)).await.unwrap().total, 0);
}

pub(crate) async fn what_may_not_be_kept_is_refused(store: Store) {
    let (owner, ..) = visit(&store).await;
    let before = latest_change(&store).await;
    let empty = store.create(&by(), given::owner("")).await;
    assert!(matches!(empty, Err(Error::Invalid(_))));
    let bad = store.change(&by(), owner.id, 1, given::owner("a\u{0}b")).await;
    assert!(matches!(bad, Err(Error::Invalid(_))));
    assert_eq!(latest_change(&store).await, before);
}

pub(crate) async fn jobs_are_numbered(store: Store) {
    let (_, watch, first) = visit(&store).await;
    let second = store.create(&by(), given::job(watch.id, "")).await.unwrap();
    assert_eq!((first.value.number, second.value.number), (1, 2));
    // Nobody changes a number by leaving it out.
    let changed = store.change(&by(), second.id, 1, given::job(watch.id, "rings")).await.unwrap();
    assert_eq!(changed.value.number, 2);
    assert_eq!(store.job_numbered(2).await.unwrap(), Some(changed));
    assert_eq!(store.job_numbered(3).await.unwrap(), None);
    store.delete(&later(1), second.id).await.unwrap();
    assert_eq!(store.job_numbered(2).await.unwrap(), None);
}

pub(crate) async fn what_is_deleted_comes_back_with_all_that_hangs_on_it(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let gone = store.create(&by(), given::part(job.id, "crown")).await.unwrap();
    let part = store.create(&by(), given::part(job.id, "mainspring")).await.unwrap();
    store.delete(&later(1), gone.id).await.unwrap();
    store.delete(&later(2), watch.id).await.unwrap();
    store.delete(&later(3), watch.id).await.unwrap();

    assert_eq!(store.get(part.id).await.unwrap().deleted, Some(later(2).at));
    assert_eq!(store.list::<Job>(None, Order::Title, Page::first(9)).await.unwrap().total, 0);
    assert_eq!(store.search("mainspring", None, 9).await.unwrap().hits, []);
    let bin = store.bin(Page::first(9)).await.unwrap();
    let named: Vec<_> = bin.items.iter().map(|entry| entry.title.as_str()).collect();
    assert_eq!(named, ["steel wristwatch, calibre 9", "2 × crown"]);

    let new = store.create(&by(), given::part(job.id, "stem")).await;
    assert!(matches!(new, Err(Error::InBin(id)) if id == job.any_id()), "{new:?}");
    let changed = store.change(&by(), part.id, 1, given::part(job.id, "stem")).await;
    assert!(matches!(changed, Err(Error::InBin(_))), "{changed:?}");
    for early in [
        store.restore(&by(), gone.id).await.map(|_| ()),
        store.restore(&by(), job.id).await.map(|_| ()),
    ] {
        assert!(matches!(early, Err(Error::InBin(_))), "{early:?}");
    }

    let back = store.restore(&later(4), watch.id).await.unwrap();
    assert_eq!(back, watch);
    assert_eq!(store.get(part.id).await.unwrap(), part);
    assert_eq!(store.search("mainspring", None, 9).await.unwrap().hits.len(), 1);
    // What had been deleted before stays deleted, until it is asked for.
    assert!(store.get(gone.id).await.unwrap().deleted.is_some());
    assert_eq!(store.restore(&by(), gone.id).await.unwrap(), gone);
    assert_eq!(store.get(owner.id).await.unwrap(), owner);
}

pub(crate) async fn an_emptied_bin_leaves_nothing(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let part = store.create(&by(), given::part(job.id, "mainspring")).await.unwrap();
    let other = store.create(&by(), given::owner("Bo Lind")).await.unwrap();
    store.delete(&later(10), owner.id).await.unwrap();
    store.delete(&later(20), other.id).await.unwrap();
    assert_eq!(store.empty_bin(&later(30), later(9).at).await.unwrap().records, 0);
    assert_eq!(store.empty_bin(&later(30), later(15).at).await.unwrap().records, 4);
    assert!(matches!(store.get(watch.id).await, Err(Error::NotFound("watch"))));
    assert!(matches!(store.restore(&by(), part.id).await, Err(Error::NotFound(_))));
    assert!(store.get(other.id).await.unwrap().deleted.is_some());
    let told = store.history(&owner.id.to_string(), Page::first(9)).await.unwrap();
    assert_eq!(told.total, 2);
    assert!(told.items.iter().all(|change| change.fields.is_empty() && change.title.is_empty()));
    assert!(matches!(
        store.remove_for_good(&later(39), owner.any_id()).await,
        Err(Error::NotFound("owner"))
    ));
    let removed = store.remove_for_good(&later(40), other.any_id()).await.unwrap();
    assert_eq!(removed.records, 1);
    assert_eq!(store.bin(Page::first(9)).await.unwrap().total, 0);
}

pub(crate) async fn lists_come_in_pages_and_in_order(store: Store) {
    for (n, name) in ["Cora", "Ada", "Bo"].into_iter().enumerate() {
        store.create(&later(n as i64), given::owner(name)).await.unwrap();
    }
    let names = async |order, page| {
        let listed = store.list::<Owner>(None, order, page).await.unwrap();
        assert_eq!(listed.total, 3);
        listed.items.into_iter().map(|kept| kept.value.name).collect::<Vec<_>>()
    };
    assert_eq!(names(Order::Title, Page::first(9)).await, ["Ada", "Bo", "Cora"]);
    assert_eq!(names(Order::OldestFirst, Page::first(2)).await, ["Cora", "Ada"]);
    assert_eq!(names(Order::OldestFirst, Page { offset: 2, limit: 2 }).await, ["Bo"]);
    assert_eq!(names(Order::NewestFirst, Page::first(1)).await, ["Bo"]);
    let ada = store.list::<Owner>(None, Order::Title, Page::first(1)).await.unwrap();
    let ada = &ada.items[0];
    let renamed = Owner { notes: "rings first".into(), ..ada.value.clone() };
    store.change(&later(9), ada.id, 1, renamed).await.unwrap();
    assert_eq!(names(Order::LatestChangeFirst, Page::first(1)).await, ["Ada"]);
}

pub(crate) async fn jobs_are_listed_with_watch_and_owner(store: Store) {
    let (owner, watch, first) = visit(&store).await;
    let plain = store.create(&by(), given::watch(None, "alarm watch")).await.unwrap();
    let job = Job { due: None, ..given::job(plain.id, "") };
    let second = store.create(&later(1), job).await.unwrap();
    let mut done = given::job(watch.id, "");
    done.hand_over(later(7).at);
    done.due = Some(jiff::civil::date(2026, 1, 2));
    let third = store.create(&later(2), done).await.unwrap();
    let ids = async |filter, order| {
        let listed = store.jobs(filter, order, Page::first(9)).await.unwrap();
        assert_eq!(listed.total, listed.items.len() as u64);
        listed.items.into_iter().map(|line| line.job.id).collect::<Vec<_>>()
    };
    let all = JobFilter::default;
    assert_eq!(ids(all(), JobOrder::Due).await, [third.id, first.id, second.id]);
    assert_eq!(ids(all(), JobOrder::NewestFirst).await, [third.id, second.id, first.id]);
    let open = JobFilter { open: Some(true), ..all() };
    assert_eq!(ids(open.clone(), JobOrder::Due).await, [first.id, second.id]);
    let closed = JobFilter { open: Some(false), ..all() };
    assert_eq!(ids(closed, JobOrder::Due).await, [third.id]);
    let stage = JobFilter { stage: Some(Stage::HandOver), ..all() };
    assert_eq!(ids(stage, JobOrder::Due).await, [third.id]);
    let of_watch = JobFilter { watch: Some(plain.id), ..all() };
    assert_eq!(ids(of_watch, JobOrder::Due).await, [second.id]);
    let due = JobFilter { due_by: Some(jiff::civil::date(2026, 6, 1)), ..all() };
    assert_eq!(ids(due, JobOrder::Due).await, [third.id]);
    let lines = store.jobs(open, JobOrder::Due, Page::first(9)).await.unwrap().items;
    assert_eq!(lines[0].watch, "steel wristwatch, calibre 9");
    assert_eq!(lines[0].owner, Some((owner.id, "Ada Ørsted".into())));
    assert_eq!((lines[1].watch.as_str(), &lines[1].owner), ("alarm watch, calibre 9", &None));
}

pub(crate) async fn one_of_the_bin_is_removed_with_all_below_it(store: Store) {
    let (_, watch, job) = visit(&store).await;
    let gone = store.create(&by(), given::part(job.id, "crown")).await.unwrap();
    let part = store.create(&by(), given::part(job.id, "mainspring")).await.unwrap();
    let stays = store.create(&by(), given::owner("Bo Lind")).await.unwrap();
    store.delete(&later(1), gone.id).await.unwrap();
    store.delete(&later(2), stays.id).await.unwrap();
    for alive in [watch.any_id(), part.any_id()] {
        let refused = store.remove_for_good(&later(3), alive).await;
        assert!(matches!(refused, Err(Error::NotFound(_))), "{refused:?}");
    }
    store.delete(&later(4), watch.id).await.unwrap();
    let with = store.remove_for_good(&later(5), job.any_id()).await;
    assert!(matches!(with, Err(Error::NotFound(_))), "it went there with its watch: {with:?}");
    assert_eq!(store.remove_for_good(&later(6), watch.any_id()).await.unwrap().records, 4);
    assert!(matches!(store.get(gone.id).await, Err(Error::NotFound(_))));
    assert!(store.get(stays.id).await.unwrap().deleted.is_some());
    assert_eq!(store.remove_for_good(&later(7), stays.any_id()).await.unwrap().records, 1);
}

/// More hang on an owner than are named in one statement.
pub(crate) async fn an_owner_with_very_many_below_is_removed(store: Store) {
    let (owner, _, job) = visit(&store).await;
    let parts = (0..5_003).map(|n| given::part(job.id, &n.to_string())).collect();
    store.create_all(&by(), parts).await.unwrap();
    store.delete(&later(1), owner.id).await.unwrap();
    let removed = store.remove_for_good(&later(2), owner.any_id()).await.unwrap();
    assert_eq!(removed.records, 5_006);
    assert_eq!(store.bin(Page::first(1)).await.unwrap().total, 0);
}

pub(crate) async fn many_at_once_lose_nothing(store: Store) {
    let (owner, watch, _) = visit(&store).await;
    let tasks: Vec<_> = (0..20)
        .map(|n| {
            let store = store.clone();
            let watch = watch.id;
            tokio::spawn(async move {
                store.create(&by(), given::job(watch, &format!("job {n}"))).await.unwrap();
                // Whoever is too late takes the present version and tries again.
                loop {
                    let now = store.get(owner.id).await.unwrap();
                    let mut value = now.value.clone();
                    value.contact.push(format!("line {n}"));
                    match store.change(&by(), owner.id, now.version, value).await {
                        Ok(_) => return,
                        Err(Error::Conflict(_)) => {}
                        Err(other) => panic!("{other:?}"),
                    }
                }
            })
        })
        .collect();
    for task in tasks {
        task.await.unwrap();
    }
    let now = store.get(owner.id).await.unwrap();
    assert_eq!((now.version, now.value.contact.len()), (21, 21));
    let jobs = store.jobs(JobFilter::default(), JobOrder::NewestFirst, Page::first(99)).await;
    let mut numbers: Vec<_> =
        jobs.unwrap().items.iter().map(|line| line.job.value.number).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=21).collect::<Vec<_>>());
}

pub(crate) async fn templates_and_bottles_belong_to_nothing(store: Store) {
    let template = comes_back(&store, given::template("calibre 9")).await;
    assert_eq!(template.value, given::template("calibre 9"));
    let bottle = comes_back(&store, given::bottle("the small one")).await;
    assert_eq!(bottle.value, given::bottle("the small one"));
    let mut plain = Bottle { opened: None, used_up: true, ..bottle.value.clone() };
    plain.expires = Some(jiff::civil::date(2027, 2, 28));
    assert_eq!(comes_back(&store, plain.clone()).await.value, plain);

    let found = |words: &'static str| {
        let store = store.clone();
        async move {
            let hits = store.search(words, None, 9).await.unwrap().hits;
            hits.into_iter().map(|hit| hit.id).collect::<Vec<_>>()
        }
    };
    let renamed = given::template("alarm, two trains");
    let renamed = store.change(&later(1), template.id, 1, renamed).await.unwrap();
    assert_eq!(found("alarm trains").await, [template.any_id()]);
    assert_eq!(found("drawer thin").await.len(), 2);
    let told = store.history(&template.id.to_string(), Page::first(1)).await.unwrap().items;
    let (field, before) = (told[0].fields[0].field.as_str(), told[0].fields[0].before.as_deref());
    assert_eq!((told[0].fields.len(), field, before), (1, "name", Some("calibre 9")));

    store.delete(&later(2), template.id).await.unwrap();
    store.delete(&later(2), bottle.id).await.unwrap();
    assert_eq!(found("alarm").await, []);
    let listed = store.list::<Bottle>(None, Order::Title, Page::first(9)).await.unwrap();
    assert_eq!((listed.total, &listed.items[0].value), (1, &plain));
    assert_eq!(store.restore(&later(3), template.id).await.unwrap(), renamed);
    store.empty_bin(&later(4), later(4).at).await.unwrap();
    assert!(matches!(store.get(bottle.id).await, Err(Error::NotFound("bottle"))));
    assert_eq!(found("alarm").await, [template.any_id()]);
}

/// A move belongs to its job: it is found with it, and goes into the bin and comes back with it.
pub(crate) async fn moves_belong_to_their_job(store: Store) {
    let (_, watch, job) = given::visit(&store).await;
    let known = Watch {
        target_s_per_d: Some(3.5),
        movement: "[[arbor]]\nname = \"centre\"\n".into(),
        ..watch.value.clone()
    };
    store.change(&later(1), watch.id, watch.version, known.clone()).await.unwrap();
    assert_eq!(store.get(watch.id).await.unwrap().value, known);

    let made = given::adjustment(job.id, "a hair's breadth");
    let kept = comes_back(&store, made.clone()).await;
    assert_eq!(kept.value, made);
    let plain = Adjustment { amount: None, balance: String::new(), ..made.clone() };
    assert_eq!(comes_back(&store, plain.clone()).await.value, plain);
    let of = Some(job.any_id());
    let listed = store.list::<Adjustment>(of, Order::OldestFirst, Page::first(9)).await.unwrap();
    assert_eq!(listed.total, 2);
    let found = store.search("breadth hair", None, 9).await.unwrap().hits;
    assert_eq!(found.len(), 2);
    assert_eq!(found[0].within.first().map(|(id, _)| *id), Some(job.any_id()));

    store.delete(&later(2), job.id).await.unwrap();
    assert!(store.get(kept.id).await.unwrap().deleted.is_some());
    store.restore(&later(3), job.id).await.unwrap();
    assert_eq!(store.get(kept.id).await.unwrap().value, made);
}

/// A trial belongs to its job as a move does; each day comes back as it was, the empty ones too.
pub(crate) async fn a_trial_belongs_to_its_job(store: Store) {
    let (_, _, job) = given::visit(&store).await;
    let made = given::trial(job.id, "in the drawer with the thermostat");
    let kept = comes_back(&store, made.clone()).await;
    assert_eq!(kept.value, made);
    let mut next = made.clone();
    next.days[1] = Some(TrialRate::entered(-0.5));
    let changed = store.change(&later(1), kept.id, kept.version, next.clone()).await.unwrap();
    assert_eq!(store.get(kept.id).await.unwrap().value, next);
    let told = store.history(&kept.id.to_string(), Page::first(1)).await.unwrap().items;
    let of_day: Vec<_> =
        told[0].fields.iter().map(|f| (f.field.as_str(), f.after.as_deref())).collect();
    assert_eq!(of_day, [("day 2, rate in s/d", Some("-0.5"))]);
    let refused = store.change(&later(2), kept.id, kept.version, made.clone()).await;
    assert!(matches!(refused, Err(Error::Conflict(_))), "{refused:?}");

    let found = store.search("drawer thermostat", None, 9).await.unwrap().hits;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].within.first().map(|(id, _)| *id), Some(job.any_id()));
    store.delete(&later(3), kept.id).await.unwrap();
    let binned = store.bin(Page::first(9)).await.unwrap().items;
    assert_eq!(binned[0].title, "trial of 15 days B, movement up to 20 mm");
    assert_eq!(store.restore(&later(4), kept.id).await.unwrap(), changed);
    store.delete(&later(5), job.id).await.unwrap();
    assert!(store.get(kept.id).await.unwrap().deleted.is_some());
    store.restore(&later(6), job.id).await.unwrap();
    assert_eq!(store.get(kept.id).await.unwrap().value, next);
}

/// A final test belongs to its job; what a later version wrote into it comes back too.
pub(crate) async fn a_final_test_belongs_to_its_job(store: Store) {
    let (_, _, job) = given::visit(&store).await;
    let made = given::final_test(job.id, "crown on the left");
    let kept = comes_back(&store, made.clone()).await;
    assert_eq!(kept.value, made);
    let mut next = made.clone();
    next.signs.insert("fog".into(), true);
    next.outcome = TestOutcome::Failed;
    let changed = store.change(&later(1), kept.id, kept.version, next.clone()).await.unwrap();
    assert_eq!(store.get(kept.id).await.unwrap().value, next);
    let told = store.history(&kept.id.to_string(), Page::first(1)).await.unwrap().items;
    let what: Vec<_> =
        told[0].fields.iter().map(|f| (f.field.as_str(), f.after.as_deref())).collect();
    let fog = ("fog on the inside of the glass", Some("yes"));
    assert_eq!(what, [fog, ("outcome", Some("failed"))]);
    let refused = store.change(&later(2), kept.id, kept.version, made).await;
    assert!(matches!(refused, Err(Error::Conflict(_))), "{refused:?}");

    let found = store.search("pot barometer", None, 9).await.unwrap().hits;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].within.first().map(|(id, _)| *id), Some(job.any_id()));
    store.delete(&later(3), kept.id).await.unwrap();
    let binned = store.bin(Page::first(9)).await.unwrap().items;
    assert_eq!(binned[0].title, "test: water resistance, crown pressed in water B, failed");
    assert_eq!(store.restore(&later(4), kept.id).await.unwrap(), changed);
    store.delete(&later(5), job.id).await.unwrap();
    assert!(store.get(kept.id).await.unwrap().deleted.is_some());
    store.restore(&later(6), job.id).await.unwrap();
    assert_eq!(store.get(kept.id).await.unwrap().value, next);
}
