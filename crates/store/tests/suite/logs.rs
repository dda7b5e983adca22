//! The log of a job.

use crate::another::another;
use crate::given::{self, by, entry, later, latest_change, visit};
use jobs::*;
use sea_orm::{ConnectionTrait, DbBackend};
use store::{
    Action, Appended, Error, Fault, JobFilter, JobOrder, LogEntry, NewLogEntry, Page, Store,
    Subject, check,
};
use uuid::Uuid;

fn bodies(entries: &[LogEntry]) -> Vec<&str> {
    entries.iter().map(|entry| entry.body.as_str()).collect()
}

fn new_ones(appended: &[Appended]) -> Vec<bool> {
    appended.iter().map(|one| one.is_new).collect()
}

pub(crate) async fn entries_are_kept_once_and_in_order(store: Store) {
    let (.., job) = visit(&store).await;
    let (.., other) = visit(&store).await;
    assert_eq!(store.entries_of(job.id).await.unwrap(), []);
    // The later one was made first, and its id is higher.
    let (cock, wheel, fork) =
        (entry(9, "balance cock"), entry(3, "escape wheel"), entry(5, "fork"));
    let sent = store.append_entries(&later(60), job.id, std::slice::from_ref(&cock)).await.unwrap();
    let kept = &sent[0].entry;
    assert_eq!((kept.id, kept.at, kept.kept), (cock.id, cock.at, later(60).at));
    assert_eq!((kept.device.as_str(), &kept.body), ("bench", &cock.body));
    store.append_entries(&by(), other.id, &[entry(4, "movement")]).await.unwrap();
    let batch = [wheel.clone(), cock.clone(), fork.clone(), wheel.clone()];
    let sent = store.append_entries(&later(61), job.id, &batch).await.unwrap();
    assert_eq!(new_ones(&sent), [true, false, true, false]);
    assert_eq!(sent[0].entry, sent[3].entry);
    let log = store.entries_of(job.id).await.unwrap();
    assert_eq!(bodies(&log), [&cock.body, &wheel.body, &fork.body]);
    assert!(log.windows(2).all(|two| two[0].number < two[1].number), "{log:?}");
    assert_eq!(sent[2].entry, log[2]);
    // The same again, by another device and later: nothing happens.
    let before = latest_change(&store).await;
    let again = store.append_entries(&later(99), job.id, &batch).await.unwrap();
    assert_eq!(new_ones(&again), [false; 4]);
    assert_eq!(store.entries_of(job.id).await.unwrap(), log);
    assert_eq!(latest_change(&store).await, before);
    // Whoever has some asks for the rest.
    assert_eq!(store.entries_of_after(job.id, log[0].number).await.unwrap(), log[1..]);
    assert_eq!(store.entries_of_after(job.id, log[2].number).await.unwrap(), []);
    // The job itself is as it was: nobody who edits it is told that it has changed.
    assert_eq!(store.get(job.id).await.unwrap(), job);
}

pub(crate) async fn another_entry_under_an_id_is_refused(store: Store) {
    let (.., job) = visit(&store).await;
    let (.., other) = visit(&store).await;
    let wheel = entry(3, "escape wheel");
    store.append_entries(&by(), job.id, std::slice::from_ref(&wheel)).await.unwrap();
    let changed = NewLogEntry { body: "{}".into(), ..wheel.clone() };
    let is_taken = |refused: Result<Vec<Appended>, Error>| {
        assert!(
            matches!(refused, Err(Error::Taken { what: "entry", id }) if id == wheel.id),
            "{refused:?}"
        );
    };
    // What was sent with it is not kept either.
    let with = [entry(8, "fork"), changed.clone()];
    is_taken(store.append_entries(&later(1), job.id, &with).await);
    is_taken(store.append_entries(&later(1), other.id, std::slice::from_ref(&wheel)).await);
    // Within one batch too.
    let refused = store.append_entries(&later(1), job.id, &[entry(7, "a"), entry(7, "b")]).await;
    assert!(matches!(refused, Err(Error::Taken { .. })), "{refused:?}");
    assert_eq!(bodies(&store.entries_of(job.id).await.unwrap()), [&wheel.body]);
    assert_eq!(store.entries_of(other.id).await.unwrap(), []);

    for bad in [
        NewLogEntry { id: Uuid::nil(), ..entry(8, "fork") },
        NewLogEntry { body: " ".into(), ..entry(8, "fork") },
        NewLogEntry { body: "a\0".into(), ..entry(8, "fork") },
        NewLogEntry { title: "a\0".into(), ..entry(8, "fork") },
        NewLogEntry { title: "x".repeat(limit::LINE + 1), ..entry(8, "fork") },
        NewLogEntry { found_by: vec!["a\0".into()], ..entry(8, "fork") },
    ] {
        let refused = store.append_entries(&by(), job.id, &[bad]).await;
        assert!(matches!(refused, Err(Error::Invalid(_))), "{refused:?}");
    }
    let nowhere = Id::from_uuid(job.value.watch.uuid());
    let refused = store.append_entries(&by(), nowhere, &[entry(8, "fork")]).await;
    assert!(matches!(refused, Err(Error::NotFound("job"))), "{refused:?}");
    assert_eq!(bodies(&store.entries_of(job.id).await.unwrap()), [&wheel.body]);
}

pub(crate) async fn a_log_goes_with_its_job(store: Store) {
    let (owner, _, job) = visit(&store).await;
    let (wheel, fork) = (entry(3, "escape wheel"), entry(4, "fork"));
    store.append_entries(&by(), job.id, std::slice::from_ref(&wheel)).await.unwrap();
    let log = store.entries_of(job.id).await.unwrap();
    store.delete(&later(1), owner.id).await.unwrap();
    // What was kept is so still; nothing is added.
    let again = store.append_entries(&later(2), job.id, std::slice::from_ref(&wheel)).await;
    assert_eq!(new_ones(&again.unwrap()), [false]);
    let both = [wheel.clone(), fork.clone()];
    let refused = store.append_entries(&later(2), job.id, &both).await;
    assert!(matches!(refused, Err(Error::InBin(id)) if id == job.any_id()), "{refused:?}");
    assert_eq!(store.entries_of(job.id).await.unwrap(), log);
    store.restore(&later(3), owner.id).await.unwrap();
    assert_eq!(store.entries_of(job.id).await.unwrap(), log);
    let sent = store.append_entries(&later(4), job.id, &both).await.unwrap();
    assert_eq!(new_ones(&sent), [false, true]);

    store.delete(&later(5), job.id).await.unwrap();
    store.empty_bin(&later(6), later(6).at).await.unwrap();
    assert_eq!(store.entries_of(job.id).await.unwrap(), []);
    let told = store.history(&wheel.id.to_string(), Page::first(9)).await.unwrap();
    assert_eq!((told.total, told.items[0].title.as_str()), (1, ""), "that it was, not what");
    assert_eq!(told.items[0].fields, []);
    let gone = store.append_entries(&later(7), job.id, &both).await;
    assert!(matches!(gone, Err(Error::NotFound("job"))), "{gone:?}");
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
}

async fn jobs_with(store: &Store, words: &str) -> Vec<JobId> {
    let filter = JobFilter { words: Some(words.into()), ..JobFilter::default() };
    let listed = store.jobs(filter, JobOrder::Due, Page::first(9)).await.unwrap();
    let hits = store.search(words, None, 9).await.unwrap().hits;
    let listed: Vec<JobId> = listed.items.into_iter().map(|line| line.job.id).collect();
    let hits: Vec<JobId> = hits.into_iter().map(|hit| Id::from_uuid(hit.id.uuid)).collect();
    assert_eq!(listed, hits, "{words}");
    listed
}

pub(crate) async fn a_job_is_found_by_its_log(store: Store) {
    let (owner, _, job) = visit(&store).await;
    visit(&store).await;
    let entries = [entry(3, "Escape wheel"), entry(4, "fork, Größe 2"), entry(5, "wheel cock")];
    for one in entries.chunks(1) {
        store.append_entries(&by(), job.id, one).await.unwrap();
    }
    assert_eq!(jobs_with(&store, "escape grosse").await, [job.id]);
    assert_eq!(jobs_with(&store, "orsted wheel").await, [job.id]);
    // Also when the job gets its words anew, by itself or with its owner's.
    let noted = Job { notes: "left barrel stiff".into(), ..job.value.clone() };
    store.change(&later(1), job.id, 1, noted).await.unwrap();
    assert_eq!(jobs_with(&store, "stiff escape cock").await, [job.id]);
    store.change(&later(2), owner.id, 1, given::owner("Bo Lind")).await.unwrap();
    assert_eq!(jobs_with(&store, "lind fork").await, [job.id]);
    store.delete(&later(3), job.id).await.unwrap();
    assert_eq!(jobs_with(&store, "escape").await, []);
    store.restore(&later(4), job.id).await.unwrap();
    assert_eq!(jobs_with(&store, "escape").await, [job.id]);
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
}

pub(crate) async fn each_entry_is_told(store: Store) {
    let (.., job) = visit(&store).await;
    let mut heard = store.listen();
    let (wheel, fork) = (entry(3, "escape wheel"), entry(4, "fork"));
    store.append_entries(&later(60), job.id, &[wheel.clone(), fork.clone()]).await.unwrap();
    let told = store.history_within(job.id.uuid(), Page::first(2)).await.unwrap().items;
    let titles: Vec<_> = told.iter().map(|change| change.title.as_str()).collect();
    assert_eq!(titles, ["took out: fork", "took out: escape wheel"]);
    for (change, entry) in told.iter().zip([&fork, &wheel]) {
        assert_eq!((change.action, change.subject), (Action::Created, Subject::LogEntry));
        assert_eq!(
            (&change.subject_id, change.parent),
            (&entry.id.to_string(), Some(job.id.uuid()))
        );
        assert_eq!(change.at, later(60).at);
        assert_eq!(change.fields[0].after, Some(entry.at.to_string()), "when it was done");
    }
    for change in told.iter().rev() {
        assert_eq!(&*heard.recv().await.unwrap(), change);
    }
}

pub(crate) async fn a_check_finds_entries_that_are_not_sound(store: Store) {
    let (.., job) = visit(&store).await;
    let (wheel, fork) = (entry(3, "escape wheel"), entry(4, "fork"));
    store.append_entries(&by(), job.id, &[wheel.clone(), fork.clone()]).await.unwrap();
    let database = another(store.places()).await;
    let faults = || async {
        let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
        checked.faults.into_iter().filter(|fault| matches!(fault, Fault::LogEntry { .. }))
    };
    assert_eq!(faults().await.count(), 0);
    let named = |fault: Fault| match fault {
        Fault::LogEntry { id, .. } => id,
        other => panic!("{other}"),
    };
    let emptied = "UPDATE log_entry SET body = ' ' WHERE body LIKE '%fork%'";
    database.execute_unprepared(emptied).await.unwrap();
    assert_eq!(faults().await.map(named).collect::<Vec<_>>(), [fork.id]);
    // What is no job has no log.
    let elsewhere = "UPDATE log_entry SET body = 'x', job = \
                     (SELECT id FROM record WHERE kind = 'owner' LIMIT 1) WHERE body = ' '";
    database.execute_unprepared(elsewhere).await.unwrap();
    let told: Vec<String> = faults().await.map(|fault| fault.to_string()).collect();
    let words = format!(
        "The entry {} of a log cannot be read: the job that it belongs to is gone.",
        fork.id
    );
    assert_eq!(told, [words]);
    if database.get_database_backend() == DbBackend::Sqlite {
        // PostgreSQL takes nothing that is no UTF-8. One that cannot be read hides no other.
        let broken = "UPDATE log_entry SET body = CAST(X'ff' AS TEXT) WHERE body LIKE '%escape%'";
        database.execute_unprepared(broken).await.unwrap();
        let mut both: Vec<_> = faults().await.map(named).collect();
        both.sort();
        assert_eq!(both, [wheel.id, fork.id]);
    }
    database.close().await.unwrap();
}
