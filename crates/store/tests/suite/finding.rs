use crate::another::another;
use crate::given::{self, by, later, visit};
use jobs::*;
use sea_orm::{ConnectionTrait, Statement};
use store::{JobFilter, JobOrder, Opening, Order, Page, Store};

async fn titles(store: &Store, question: &str) -> Vec<String> {
    let found = store.search(question, None, 20).await.unwrap();
    assert_eq!(found.next, None);
    found.hits.into_iter().map(|hit| hit.title).collect()
}

pub(crate) async fn words_find_by_their_beginning(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    store.create(&by(), given::part(job.id, "mainspring")).await.unwrap();
    let media = given::sound(&store, "tick").await;
    store.create(&by(), given::photo(job.id, media, "Größe der Spirale")).await.unwrap();
    assert_eq!(titles(&store, "MAINSPR").await, ["2 × mainspring"]);
    assert_eq!(titles(&store, "spring").await, [""; 0]);
    assert_eq!(titles(&store, "grosse spir").await, ["Größe der Spirale"]);
    assert_eq!(titles(&store, "grosse spring").await, [""; 0]);
    assert_eq!(titles(&store, "mill lane").await, ["Ada Ørsted"]);
    assert_eq!(titles(&store, "a-123").await.len(), 2);
    assert_eq!(titles(&store, "a12345").await.len(), 2);
    assert_eq!(titles(&store, "").await, [""; 0]);
    assert_eq!(titles(&store, "% _ ' \" --").await, [""; 0]);
    let hit = store.search("mainspring", None, 20).await.unwrap().hits.remove(0);
    let above: Vec<_> = hit.within.iter().map(|(id, _)| id.uuid).collect();
    assert_eq!(above, [job.id.uuid(), watch.id.uuid(), owner.id.uuid()]);
    assert_eq!(hit.within[2], (owner.any_id(), "Ada Ørsted".into()));
}

pub(crate) async fn a_job_is_found_by_its_watch_and_owner(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let found = titles(&store, "orsted minute wrist").await;
    assert_eq!(found, ["job 1: loses a minute a day"]);
    store.change(&later(1), owner.id, 1, given::owner("Bo Lind")).await.unwrap();
    assert_eq!(titles(&store, "orsted").await, [""; 0]);
    assert_eq!(titles(&store, "lind minute").await, ["job 1: loses a minute a day"]);
    store.change(&later(2), watch.id, 1, given::watch(None, "alarm watch")).await.unwrap();
    assert_eq!(titles(&store, "lind minute").await, [""; 0]);
    assert_eq!(titles(&store, "alarm minute").await, [job.value.title()]);
}

pub(crate) async fn what_changed_last_comes_first(store: Store) {
    let mut ids = Vec::new();
    for name in ["Ada One", "Ada Two", "Ada Three"] {
        ids.push(store.create(&by(), given::owner(name)).await.unwrap().id);
    }
    assert_eq!(titles(&store, "ada").await, ["Ada Three", "Ada Two", "Ada One"]);
    store.change(&later(1), ids[0], 1, given::owner("Ada Four")).await.unwrap();
    assert_eq!(titles(&store, "ada").await, ["Ada Four", "Ada Three", "Ada Two"]);
    assert_eq!(titles(&store, "one").await, [""; 0]);
}

/// More records hold both words than are looked up one by one or gone through at once.
pub(crate) async fn frequent_words_are_found_page_by_page(store: Store) {
    const MANY: usize = 4_300;
    let (.., job) = visit(&store).await;
    // One early record, behind more than is gone through at once, that alone holds all words.
    store.create(&by(), given::part(job.id, "crown stem gasket")).await.unwrap();
    for what in ["crystal", "craft", "crane", "crate", "gap", "gate", "gauze", "gallery"] {
        store.create(&by(), given::part(job.id, what)).await.unwrap();
    }
    let what = |n| if n % 2 == 0 { "crown" } else { "stem gasket" };
    let parts = (0..MANY).map(|n| given::part(job.id, what(n))).collect();
    store.create_all(&by(), parts).await.unwrap();
    let binned =
        store.create(&by(), given::part(job.id, "crown stem gasket, wrong")).await.unwrap();
    store.delete(&later(1), binned.id).await.unwrap();
    // Beginnings of few words are gone through by their places, which are fewer than documents; those of
    // many by the documents.
    for (question, parts) in [("crown gasket", 1), ("cro gas", 1), ("cr ga", 2)] {
        let mut found = Vec::new();
        let mut from = None;
        let mut pages = 0;
        loop {
            let page = store.search(question, from, 50).await.unwrap();
            found.extend(page.hits.into_iter().map(|hit| hit.title));
            pages += 1;
            from = page.next;
            if from.is_none() {
                break;
            }
        }
        assert_eq!((found, pages), (vec!["2 × crown stem gasket".to_owned()], parts), "{question}");
    }
    let mut count = 0;
    let mut from = None;
    loop {
        let page = store.search("crown", from, 500).await.unwrap();
        count += page.hits.len();
        from = page.next;
        if from.is_none() {
            break;
        }
    }
    assert_eq!(count, MANY / 2 + 1);
}

/// Once with words that few hold, which are looked up, and once with more than that.
pub(crate) async fn lists_are_cut_down_to_what_holds_words(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let (other_owner, _, other) = visit(&store).await;
    let mut back = other.value.clone();
    back.hand_over(later(9).at);
    store.change(&later(9), other.id, 1, back).await.unwrap();
    let part = store.create(&by(), given::part(job.id, "mainspring, white alloy")).await.unwrap();
    store.create(&by(), given::part(other.id, "mainspring")).await.unwrap();
    for many in [1, 2_100] {
        let parts = (0..many).map(|_| given::part(other.id, "mainspring, white, spare"));
        store.create_all(&by(), parts.collect()).await.unwrap();
        let jobs = |words: &str, open| {
            let filter = JobFilter { words: Some(words.into()), open, ..JobFilter::default() };
            let store = store.clone();
            async move {
                let page = Page::first(9);
                let listed = store.jobs(filter, JobOrder::NewestFirst, page).await.unwrap();
                let ids: Vec<_> = listed.items.iter().map(|line| line.job.id).collect();
                assert_eq!(listed.total, ids.len() as u64);
                ids
            }
        };
        assert_eq!(jobs("mainspr", None).await, [other.id, job.id]);
        assert_eq!(jobs("mainspr", Some(true)).await, [job.id]);
        assert_eq!(jobs("white alloy", None).await, [job.id]);
        assert_eq!(jobs("spare mainspring", None).await, [other.id]);
        assert_eq!(jobs("orsted", Some(false)).await, [other.id]);
        assert_eq!(jobs("minute alloy", None).await, [job.id], "in the job and in its part");
        assert_eq!(jobs("spare alloy", None).await, [], "in parts of different jobs");
        assert_eq!(jobs("%", None).await, []);
        let order = Order::LatestChangeFirst;
        let of = Some(owner.any_id());
        let watches = store.list_holding::<Watch>(of, Some("white"), order, Page::first(9));
        let found = watches.await.unwrap().items;
        assert_eq!((found.len(), &found[0]), (1, &watch));
        let of = Some(other_owner.any_id());
        let watches = store.list_holding::<Watch>(of, Some("alloy"), order, Page::first(9));
        assert_eq!(watches.await.unwrap().total, 0);
        let owners = store.list_holding::<Owner>(None, Some("mainspring"), order, Page::first(9));
        assert_eq!(owners.await.unwrap().total, 2);
    }
    store.delete(&later(2), part.id).await.unwrap();
    let of = Some(owner.any_id());
    let gone = store.list_holding::<Watch>(of, Some("alloy"), Order::Title, Page::first(9));
    assert_eq!(gone.await.unwrap().total, 0);
}

/// How many jobs, watches and owners hold these words.
async fn holding(store: &Store, words: &str) -> (u64, u64, u64) {
    let page = Page::first(1);
    let filter = JobFilter { words: Some(words.into()), ..JobFilter::default() };
    let jobs = store.jobs(filter, JobOrder::Due, page).await.unwrap().total;
    let order = Order::Title;
    let watches = store.list_holding::<Watch>(None, Some(words), order, page).await.unwrap();
    let owners = store.list_holding::<Owner>(None, Some(words), order, page).await.unwrap();
    (jobs, watches.total, owners.total)
}

/// Pages of a list that is cut down by words, with how many it has, also behind its end.
pub(crate) async fn lists_cut_down_come_in_pages(store: Store) {
    let (owner, watch, _) = visit(&store).await;
    let jobs = (0..7).map(|n| given::job(watch.id, &format!("crown, {n}")));
    let jobs: Vec<_> = store.create_all(&later(1), jobs.collect()).await.unwrap();
    for order in [JobOrder::Due, JobOrder::LatestChangeFirst, JobOrder::NewestFirst] {
        let mut found = Vec::new();
        for (offset, many) in [(0, 3), (3, 3), (6, 1), (9, 0)] {
            let filter = JobFilter { words: Some("crown".into()), ..JobFilter::default() };
            let page = store.jobs(filter, order, Page { offset, limit: 3 }).await.unwrap();
            assert_eq!((page.items.len(), page.total), (many, 7));
            found.extend(page.items.into_iter().map(|line| line.job.id));
        }
        // All are due on one day and were entered at once: the latest id comes first.
        let newest_first: Vec<_> = jobs.iter().rev().map(|kept| kept.id).collect();
        assert_eq!(found, newest_first);
    }
    let list = |offset| {
        let (of, words) = (Some(owner.any_id()), Some("crown"));
        store.list_holding::<Watch>(of, words, Order::Title, Page { offset, limit: 3 })
    };
    assert_eq!(list(0).await.unwrap().items.first(), Some(&watch));
    let behind = list(3).await.unwrap();
    assert_eq!((behind.items.len(), behind.total), (0, 1));
}

async fn assert_sound(store: &Store) {
    let checked = store::check(store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
}

/// Whatever is done to one record, those that it hangs on are found by what is there then.
pub(crate) async fn lists_follow_what_is_changed_below(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let second = store.create(&by(), given::job(watch.id, "stops at night")).await.unwrap();
    let crown = store.create(&by(), given::part(job.id, "crown, gilt")).await.unwrap();
    let twin = store.create(&by(), given::part(second.id, "crown, plain")).await.unwrap();
    assert_eq!(holding(&store, "crown").await, (2, 1, 1));
    assert_eq!(holding(&store, "gilt plain").await, (0, 1, 1));
    // A word goes from a job with its last part, from the watch with its last job.
    store.change(&later(1), crown.id, 1, given::part(job.id, "stem, gilt")).await.unwrap();
    assert_eq!(holding(&store, "crown").await, (1, 1, 1));
    store.delete(&later(2), twin.id).await.unwrap();
    assert_eq!(holding(&store, "crown").await, (0, 0, 0));
    store.restore(&later(3), twin.id).await.unwrap();
    assert_eq!(holding(&store, "crown").await, (1, 1, 1));
    store.delete(&later(4), second.id).await.unwrap();
    assert_eq!(holding(&store, "crown").await, (0, 0, 0));
    assert_eq!(holding(&store, "orsted").await, (1, 1, 1));
    assert_sound(&store).await;
    // What lies in the bin has the new name when it comes back.
    store.change(&later(5), owner.id, 1, given::owner("Bo Lind")).await.unwrap();
    assert_eq!(holding(&store, "orsted").await, (0, 0, 0));
    assert_sound(&store).await;
    store.restore(&later(6), second.id).await.unwrap();
    assert_eq!(holding(&store, "lind").await, (2, 1, 1));
    assert_eq!(holding(&store, "orsted").await, (0, 0, 0));
    assert_eq!(holding(&store, "lind crown").await, (1, 1, 1));
    // A watch that goes to another owner takes along what hangs on it.
    let other = store.create(&by(), given::owner("Cora Dahl")).await.unwrap();
    let moved = given::watch(Some(other.id), "steel wristwatch");
    let moved = store.change(&later(7), watch.id, watch.version, moved).await.unwrap();
    assert_eq!(holding(&store, "lind").await, (0, 0, 1));
    assert_eq!(holding(&store, "dahl gilt").await, (1, 1, 1));
    assert_eq!(holding(&store, "lind gilt").await, (0, 0, 0));
    assert_sound(&store).await;
    store.delete(&later(8), other.id).await.unwrap();
    assert_eq!(holding(&store, "gilt").await, (0, 0, 0));
    store.restore(&later(9), other.id).await.unwrap();
    assert_eq!(holding(&store, "gilt").await, (1, 1, 1));
    let nobodys = given::watch(None, "steel wristwatch");
    store.change(&later(10), watch.id, moved.version, nobodys).await.unwrap();
    assert_eq!(holding(&store, "gilt").await, (1, 1, 0));
    assert_eq!(holding(&store, "dahl").await, (0, 0, 1));
    assert_sound(&store).await;
}

/// A database from before there were words of groups gets those that it would have had.
pub(crate) async fn an_older_database_gets_its_words_of_groups(store: Store) {
    let (.., job) = visit(&store).await;
    let (owner, ..) = visit(&store).await;
    store.create(&by(), given::part(job.id, "crown, gilt")).await.unwrap();
    let gone = store.create(&by(), given::part(job.id, "stem")).await.unwrap();
    store.create(&by(), given::reading(job.id, None)).await.unwrap();
    store.create(&by(), given::watch(None, "brass clock")).await.unwrap();
    store.delete(&later(1), gone.id).await.unwrap();
    store.delete(&later(1), owner.id).await.unwrap();
    let places = store.places().clone();
    let database = another(&places).await;
    store.close().await;
    let kept = "SELECT root, word FROM group_word ORDER BY root, word";
    let words = || async {
        let rows = database.query_all_raw(Statement::from_string(
            database.get_database_backend(),
            kept.to_owned(),
        ));
        let rows = rows.await.unwrap();
        let word = |row: &sea_orm::QueryResult| {
            (row.try_get_by_index::<uuid::Uuid>(0).unwrap(), row.try_get_by_index(1).unwrap())
        };
        rows.iter().map(word).collect::<Vec<(_, String)>>()
    };
    let before = words().await;
    assert!(before.len() > 30, "{before:?}");
    database.execute_unprepared("DROP TABLE group_word").await.unwrap();
    let taken = "DELETE FROM seaql_migrations WHERE version = '0002_words_of_groups'";
    database.execute_unprepared(taken).await.unwrap();
    let leave = Opening { may_upgrade_server: true, ..Opening::default() };
    let store = Store::open_as(&places, &leave).await.unwrap();
    assert_eq!(words().await, before);
    assert_eq!(holding(&store, "gilt pickup").await, (1, 1, 1));
    assert_sound(&store).await;
    // And the check tells where they are not as they should be. Each group is compared with what
    // hangs on it directly: the watch and the owner lack what their job lacks.
    database.execute_unprepared("DELETE FROM group_word WHERE word = 'gilt'").await.unwrap();
    let checked = store::check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, [store::Fault::Words(1)]);
    database.close().await.unwrap();
}
