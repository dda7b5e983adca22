//! Archives: out and in again, exactly, or not at all.

use crate::content::{self, Deed, deed, dump};
use crate::disk::Disk;
use crate::given::{self, by, later, visit};
use crate::postgres;
use crate::postgres_line::Line;
use archive::Reader;
use jobs::*;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRunner};
use std::io::{Cursor, Read};
use std::path::Path;
use store::{
    By, Error, Fault, Order, Page, Places, ReadIn, ReadWishes, Role, Scope, Store, check,
    read_archive, write_archive, write_archive_to,
};
use tempfile::TempDir;

async fn fresh() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
    (folder, store)
}

pub(crate) async fn written(store: &Store, scope: Scope) -> Vec<u8> {
    let out = Cursor::new(Vec::new());
    let made = write_archive_to(store, scope, out, by().at, &mut |_| true).await.unwrap();
    made.unwrap().0.into_inner()
}

async fn read_with(store: &Store, bytes: &[u8], wishes: ReadWishes) -> Result<ReadIn, Error> {
    let mut reader = Reader::open(Cursor::new(bytes))?;
    let who = By::at("reader", later(1_000_000).at);
    Ok(read_archive(store, &who, &mut reader, wishes, &mut |_| true).await?.unwrap())
}

pub(crate) async fn read(store: &Store, bytes: &[u8]) -> Result<ReadIn, Error> {
    read_with(store, bytes, ReadWishes::default()).await
}

/// The files of an archive; of the manifest without when it was made.
fn files(archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
    let files = (0..zip.len()).map(|index| {
        let mut file = zip.by_index(index).unwrap();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        (file.name().unwrap().into_owned(), bytes)
    });
    files.collect()
}

pub(crate) async fn sound(store: &Store) {
    let checked = check(store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, [] as [Fault; 0]);
}

/// What `from` holds goes into an archive, from there into the empty store, and from that once more:
/// all tables are the same, and so is the archive.
async fn there_and_back(from: &Store, empty: &Store) {
    let before = dump(from).await;
    let first = written(from, Scope::Everything).await;
    let brought = read(empty, &first).await.unwrap();
    assert_eq!(brought.there, archive::Counts::new());
    assert_eq!(dump(empty).await, before);
    let second = written(empty, Scope::Everything).await;
    assert!(files(&first) == files(&second), "the second archive differs from the first");
    sound(empty).await;
    // Once more it adds nothing.
    let again = read(empty, &first).await.unwrap();
    assert_eq!((again.new, again.there), (archive::Counts::new(), brought.new));
    assert!(second == written(empty, Scope::Everything).await);
}

pub(crate) async fn what_goes_out_comes_in_again(store: Store) {
    let (_folder, from) = fresh().await;
    let mut runner = TestRunner::deterministic();
    let deeds = prop::collection::vec(deed(), 400).new_tree(&mut runner).unwrap().current();
    content::fill(&from, &deeds).await;
    there_and_back(&from, &store).await;
    // And from the store under test into another one.
    let (_folder, third) = fresh().await;
    there_and_back(&store, &third).await;
}

proptest! {
    #![proptest_config(Config { cases: 24, max_shrink_iters: 100, ..Config::default() })]
    #[test]
    fn whatever_is_kept_comes_back(deeds in prop::collection::vec(deed(), 1..120)) {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            let deeds: Vec<Deed> = deeds;
            let (_one, from) = fresh().await;
            let (_other, to) = fresh().await;
            content::fill(&from, &deeds).await;
            there_and_back(&from, &to).await;
        });
    }
}

/// An owner with two watches; the first has two jobs, of which the second has all that a job may have.
async fn workshop(store: &Store) -> (OwnerId, WatchId, JobId, JobId) {
    let (owner, watch, first) = visit(store).await;
    let other = given::watch(Some(owner.id), "pocket watch");
    let other = store.create(&by(), other).await.unwrap();
    store.create(&by(), given::job(other.id, "stops")).await.unwrap();
    let second = store.create(&later(9), given::job(watch.id, "back again")).await.unwrap();
    let job = second.id;
    let media = store.put_media((&b"\xff\xd8\xff dial"[..]).into()).await.unwrap();
    store.create(&later(10), given::photo(job, media, "dial")).await.unwrap();
    let media = store.put_media((&b"fLaC tick"[..]).into()).await.unwrap();
    store.create(&later(11), given::reading(job, Some(media))).await.unwrap();
    store.create(&later(12), given::estimate(job)).await.unwrap();
    let gone = store.create(&later(13), given::part(job, "crown")).await.unwrap();
    store.delete(&later(14), gone.id).await.unwrap();
    let entry = store::NewLogEntry {
        id: uuid::Uuid::from_u128(7),
        at: later(15).at,
        body: content::entry_body(7, "\"escape wheel\""),
        title: "note".into(),
        found_by: vec!["escapewheel".into()],
    };
    store.append_entries(&later(15), job, &[entry]).await.unwrap();
    store.set(&later(16), "tolerance", "plus 4").await.unwrap();
    (owner.id, watch.id, first.id, job)
}

pub(crate) async fn a_job_brings_its_watch_and_owner(store: Store) {
    let (_folder, from) = fresh().await;
    let (owner, watch, first, second) = workshop(&from).await;
    let archive = written(&from, Scope::Job(second)).await;
    let looked = ReadWishes { only_look: true, ..ReadWishes::default() };
    let would = read_with(&store, &archive, looked).await.unwrap();
    assert!(dump(&store).await.iter().all(|line| line.starts_with("counter")));
    let brought = read(&store, &archive).await.unwrap();
    assert_eq!(would.new, brought.new);
    assert_eq!((brought.new["owner"], brought.new["watch"], brought.new["job"]), (1, 1, 1));
    assert_eq!(store.get(owner).await.unwrap(), from.get(owner).await.unwrap());
    assert_eq!(store.get(watch).await.unwrap(), from.get(watch).await.unwrap());
    assert_eq!(store.get(second).await.unwrap(), from.get(second).await.unwrap());
    assert!(matches!(store.get(first).await, Err(Error::NotFound(_))));
    assert_eq!(store.entries_of(second).await.unwrap().len(), 1);
    assert_eq!(store.bin(Page::first(9)).await.unwrap().total, 1);
    assert_eq!(store.setting("tolerance").await.unwrap(), None);
    // Found by what its log and its owner say, and its history is here.
    for words in ["escapewheel back", "orsted dial"] {
        let found = store.search(words, None, 9).await.unwrap();
        assert!(!found.hits.is_empty() || words.starts_with("orsted"), "{words}");
    }
    let jobs = store.list_holding::<Job>(None, Some("escapewheel"), Order::Title, Page::first(9));
    assert_eq!(jobs.await.unwrap().total, 1);
    let told = store.history_within(second.uuid(), Page::first(99)).await.unwrap();
    assert_eq!(
        told,
        from.history_within(second.uuid(), Page::first(99))
            .await
            .map(|mut listed| {
                for (own, other) in listed.items.iter_mut().zip(&told.items) {
                    own.seq = other.seq;
                }
                listed
            })
            .unwrap()
    );
    sound(&store).await;
    // The watch with all its visits adds what is missing, and the next number is free.
    let archive = written(&from, Scope::Watch(watch)).await;
    let brought = read(&store, &archive).await.unwrap();
    assert_eq!(
        (brought.new.get("owner"), brought.there["owner"], brought.new["job"]),
        (None, 1, 1)
    );
    assert_eq!(store.get(first).await.unwrap(), from.get(first).await.unwrap());
    let next = store.create(&later(99), given::job(watch, "once more")).await.unwrap();
    assert_eq!(next.value.number, 4);
    sound(&store).await;
}

pub(crate) async fn what_does_not_go_together_is_refused(store: Store) {
    let (_folder, from) = fresh().await;
    let (owner, watch, _, second) = workshop(&from).await;
    let everything = written(&from, Scope::Everything).await;
    read(&store, &everything).await.unwrap();
    let before = dump(&store).await;
    // The owner was renamed there.
    let kept = from.get(owner).await.unwrap();
    let value = Owner { name: "Ada Byron".into(), ..kept.value };
    from.change(&later(50), owner, kept.version, value).await.unwrap();
    from.create(&later(51), given::job(watch, "a third time")).await.unwrap();
    let refused = read(&store, &written(&from, Scope::Watch(watch)).await).await.unwrap_err();
    let sentence = refused.to_string();
    assert!(sentence.contains("owner “Ada Byron”") && sentence.contains("name"), "{sentence}");
    assert!(sentence.contains("version 1 here, 2 there"), "{sentence}");
    assert_eq!(dump(&store).await, before);
    // A job of another bench has a number that is taken here.
    let (_folder, other) = fresh().await;
    let (.., strange) = visit(&other).await;
    let archive = written(&other, Scope::Job(strange.id)).await;
    let refused = read(&store, &archive).await.unwrap_err();
    assert!(matches!(refused, Error::NumberTaken { number: 1, .. }), "{refused}");
    assert_eq!(dump(&store).await, before);
    let wishes = ReadWishes { new_numbers: true, ..ReadWishes::default() };
    let brought = read_with(&store, &archive, wishes).await.unwrap();
    assert_eq!(brought.renumbered, [(1, 4)]);
    let kept = store.get(strange.id).await.unwrap();
    assert_eq!((kept.value.number, kept.version), (4, 2));
    let told = store.history(&strange.id.to_string(), Page::first(9)).await.unwrap();
    assert_eq!(told.items[0].fields[0].field, "number");
    assert_eq!(told.items[0].device, "reader");
    // A setting that was made here stays.
    store.set(&later(60), "tolerance", "plus 5").await.unwrap();
    let brought = read(&store, &everything).await.unwrap();
    assert_eq!(brought.kept_settings, ["tolerance"]);
    assert_eq!(store.setting("tolerance").await.unwrap().as_deref(), Some("plus 5"));
    // An entry of a log under the same id says something else.
    let entry = store::NewLogEntry {
        id: uuid::Uuid::from_u128(8),
        at: later(70).at,
        body: content::entry_body(8, "\"here\""),
        title: "note".into(),
        found_by: vec![],
    };
    store.append_entries(&later(70), second, std::slice::from_ref(&entry)).await.unwrap();
    let entry = store::NewLogEntry { body: content::entry_body(8, "\"there\""), ..entry };
    let kept = from.get(owner).await.unwrap();
    let value = Owner { name: "Ada Ørsted".into(), ..kept.value };
    from.change(&later(71), owner, kept.version, value).await.unwrap();
    from.append_entries(&later(70), second, &[entry]).await.unwrap();
    let before = dump(&store).await;
    assert!(read(&store, &written(&from, Scope::Job(second)).await).await.is_err());
    assert_eq!(dump(&store).await, before);
    sound(&store).await;
}

/// Devices, their keys and codes stay where they are.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn secrets_never_leave() {
    let (_folder, from) = fresh().await;
    visit(&from).await;
    from.keep_join_code("the-code", Role::Repairer, by().at, later(60).at).await.unwrap();
    from.join(&later(1), "the-code", "the-token").await.unwrap();
    let archive = written(&from, Scope::Everything).await;
    let all: Vec<u8> = files(&archive).into_iter().flat_map(|(_, bytes)| bytes).collect();
    let text = String::from_utf8_lossy(&all);
    for secret in ["the-code", "the-token", "token_hash", "\"subject\":\"device\""] {
        assert!(!text.contains(secret), "{secret}");
    }
}

/// The words by which the history is written and by which an archive is checked are the same.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_history_uses_the_words_that_an_archive_knows() {
    use store::{Action, Subject};
    let subjects = [Subject::LogEntry, Subject::Clock, Subject::Setting, Subject::Bin];
    assert_eq!(subjects.map(Subject::code), archive::SUBJECTS);
    let actions =
        [Action::Created, Action::Changed, Action::Deleted, Action::Restored, Action::Emptied];
    assert_eq!(actions.map(Action::code), archive::ACTIONS);
}

fn beside(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A file appears when it is whole, replaces nothing unless it may, and what is stopped leaves nothing.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_file_is_whole_or_not_there() {
    let (_folder, from) = fresh().await;
    workshop(&from).await;
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("all.zip");
    let write = async |replace: bool, stop: bool| {
        let made = by().at;
        write_archive(&from, Scope::Everything, &file, replace, made, &mut |_| !stop).await
    };
    assert!(write(false, true).await.unwrap().is_none());
    assert_eq!(beside(place.path()), [] as [&str; 0]);
    let made = write(false, false).await.unwrap().unwrap();
    assert_eq!(made.bytes, file.metadata().unwrap().len());
    assert_eq!(made.counts["job"], 3);
    assert!(matches!(write(false, false).await, Err(Error::Exists(_))));
    std::fs::write(&file, "something else").unwrap();
    assert!(write(true, true).await.unwrap().is_none());
    assert_eq!(std::fs::read(&file).unwrap(), b"something else");
    write(true, false).await.unwrap().unwrap();
    assert!(Reader::open(std::fs::File::open(&file).unwrap()).is_ok());
    assert_eq!(beside(place.path()), ["all.zip"]);
    assert!(matches!(
        write_archive(&from, Scope::Everything, place.path(), true, by().at, &mut |_| true).await,
        Err(Error::Exists(_))
    ));
}

/// Stopped at any step, nothing was added.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_stopped_adds_nothing() {
    let (_folder, from) = fresh().await;
    workshop(&from).await;
    let archive = written(&from, Scope::Everything).await;
    let (_other, to) = fresh().await;
    let empty = dump(&to).await;
    for stop_at in 0.. {
        let mut reader = Reader::open(Cursor::new(&archive)).unwrap();
        let mut steps = 0;
        let mut last = 0;
        let mut go_on = |progress: store::Progress| {
            assert!(progress.done >= last && progress.done <= progress.of);
            last = progress.done;
            steps += 1;
            steps <= stop_at
        };
        let wishes = ReadWishes::default();
        match read_archive(&to, &by(), &mut reader, wishes, &mut go_on).await.unwrap() {
            None => assert_eq!(dump(&to).await, empty),
            Some(_) => {
                assert!(stop_at > 20);
                return;
            }
        }
    }
}

/// On a full disk nothing is there by halves, and what was there stays.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_full_disk_takes_nothing_by_halves() {
    let Some(disk) = Disk::of_mib(3) else { return };
    let (_folder, from) = fresh().await;
    let (.., job) = workshop(&from).await;
    for n in 0..40 {
        let content = [&b"\xff\xd8\xff"[..], &vec![n; 100_000]].concat();
        let media = from.put_media(content.into()).await.unwrap();
        from.create(&by(), given::photo(job, media, &format!("photo {n}"))).await.unwrap();
    }
    let made = by().at;
    let file = disk.path().join("all.zip");
    let written = write_archive(&from, Scope::Everything, &file, false, made, &mut |_| true).await;
    assert!(matches!(written, Err(Error::FullDisk)), "{written:?}");
    assert_eq!(beside(disk.path()), [] as [&str; 0]);

    let archive = self::written(&from, Scope::Everything).await;
    let to = Store::open(&Places::in_folder(disk.path())).await.unwrap();
    let there = to.create(&by(), given::owner("Bo")).await.unwrap();
    let before = dump(&to).await;
    let refused = read(&to, &archive).await;
    assert!(matches!(refused, Err(Error::FullDisk)), "{refused:?}");
    assert_eq!(dump(&to).await, before);
    assert_eq!(to.get(there.id).await.unwrap(), there);
    disk.grow_to_mib(64);
    read(&to, &archive).await.unwrap();
    sound(&to).await;
    to.close().await;
}

/// The line to the server is lost in the midst of it: nothing was added, and afterwards all comes in.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_lost_line_adds_nothing() {
    let Some(server) = postgres::Server::start() else { return };
    let (_folder, from) = fresh().await;
    workshop(&from).await;
    let archive = written(&from, Scope::Everything).await;
    let _is_there = server.fresh_database("archives").await;
    let line = Line::to(&server);
    let media = tempfile::tempdir().unwrap();
    let places = line.places("archives", media.path());
    let to = Store::open(&places).await.unwrap();
    let empty = dump(&to).await;
    let mut reader = Reader::open(Cursor::new(&archive)).unwrap();
    // In the last quarter it is being written.
    let (mut told, mut is_cut) = (0, false);
    let mut go_on = |progress: store::Progress| {
        if progress.done * 4 > progress.of * 3 {
            told += 1;
        }
        if told == 3 && !is_cut {
            line.cut();
            is_cut = true;
        }
        true
    };
    let wishes = ReadWishes::default();
    let refused = read_archive(&to, &by(), &mut reader, wishes, &mut go_on).await;
    assert!(matches!(refused, Err(Error::Unreachable(_))) && is_cut, "{refused:?}");
    // Nothing can be written out either, and nothing is left of it.
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("all.zip");
    let out = write_archive(&to, Scope::Everything, &file, false, by().at, &mut |_| true).await;
    assert!(matches!(out, Err(Error::Unreachable(_))), "{out:?}");
    assert_eq!(beside(place.path()), [] as [&str; 0]);
    line.mend();
    assert_eq!(dump(&to).await, empty);
    read(&to, &archive).await.unwrap();
    assert_eq!(self::written(&to, Scope::Everything).await, archive);
    to.close().await;
}
