use crate::given::{self, by, later, visit};
use crate::postgres::Server;
use crate::postgres_line::Line;
use jobs::*;
use sha2::{Digest, Sha256};
use std::time::{Duration, SystemTime};
use store::{
    Database, Error, Fault, OWN_RULES, Order, PAPER_SIGN, Page, Places, Store, backup, check,
};

/// Everything is copied as it was at one moment, while another goes on writing.
pub(crate) async fn a_backup_holds_everything(store: Store) {
    let (owner, watch, job) = visit(&store).await;
    let media = given::sound(&store, "tick").await;
    let reading = store.create(&by(), given::reading(job.id, Some(media))).await.unwrap();
    let photo = given::photo(job.id, given::sound(&store, "dial").await, "dial");
    let photo = store.create(&by(), photo).await.unwrap();
    let part = store.create(&by(), given::part(job.id, "crown")).await.unwrap();
    let estimate = store.create(&by(), given::estimate(job.id)).await.unwrap();
    let template = store.create(&by(), given::template("calibre 9")).await.unwrap();
    let bottle = store.create(&by(), given::bottle("the small one")).await.unwrap();
    let trial = store.create(&by(), given::trial(job.id, "in the drawer")).await.unwrap();
    let tested = store.create(&by(), given::final_test(job.id, "on the bench")).await.unwrap();
    let entries = [given::entry(3, "escape wheel"), given::entry(4, "fork")];
    store.append_entries(&by(), job.id, &entries).await.unwrap();
    let log = store.entries_of(job.id).await.unwrap();
    let rules = store.change_setting(&by(), OWN_RULES, 0, "[rule]").await.unwrap();
    let gone = store.create(&by(), given::owner("Bo")).await.unwrap();
    store.delete(&later(1), gone.id).await.unwrap();
    store.set(&by(), "tolerance", "plus 4").await.unwrap();
    store.keep_join_code("code", store::Role::Repairer, by().at, later(60).at).await.unwrap();

    let writer = tokio::spawn({
        let (store, job) = (store.clone(), job.id);
        async move {
            for n in 0.. {
                let media = given::sound(&store, &format!("photo {n}")).await;
                let photo = given::photo(job, media, &format!("photo {n}"));
                store.create(&by(), photo).await.unwrap();
            }
        }
    });
    tokio::time::sleep(Duration::from_millis(50)).await;
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("copies").join("it's monday");
    let mut steps = 0;
    let mut counted = |progress: store::Progress| {
        steps += 1;
        assert_eq!(progress.done, steps);
        true
    };
    let made = backup(&store, &folder, &mut counted).await.unwrap().unwrap();
    writer.abort();
    assert!(steps >= 2);
    assert_eq!(made.files, steps + 1);

    // Each file is there with the checksum that the list gives, and none besides.
    let list = std::fs::read(folder.join("files.json")).unwrap();
    let list: serde_json::Value = serde_json::from_slice(&list).unwrap();
    let files = list["files"].as_array().unwrap();
    assert_eq!(
        (list["schema"].as_str(), files.len() as u64),
        (Some("endshake.backup/1"), made.files)
    );
    let mut bytes = 0;
    for file in files {
        let content = std::fs::read(folder.join(file["path"].as_str().unwrap())).unwrap();
        let sum: String = Sha256::digest(&content).iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(file["sha256"], sum);
        assert_eq!(file["bytes"], content.len());
        bytes += content.len() as u64;
    }
    assert_eq!(made.bytes, bytes);
    let mut beside: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    beside.sort();
    assert_eq!(beside, ["endshake.sqlite", "files.json", "media"]);

    // It can be opened as it is.
    let copy = Store::open(&Places::in_folder(&folder)).await.unwrap();
    assert_eq!(copy.get(owner.id).await.unwrap(), owner);
    assert_eq!(copy.get(watch.id).await.unwrap(), watch);
    assert_eq!(copy.get(job.id).await.unwrap(), job);
    assert_eq!(copy.get(reading.id).await.unwrap(), reading);
    assert_eq!(copy.get(photo.id).await.unwrap(), photo);
    assert_eq!(copy.get(part.id).await.unwrap(), part);
    assert_eq!(copy.get(estimate.id).await.unwrap(), estimate);
    assert_eq!(copy.get(template.id).await.unwrap(), template);
    assert_eq!(copy.get(bottle.id).await.unwrap(), bottle);
    assert_eq!(copy.get(trial.id).await.unwrap(), trial);
    assert_eq!(copy.get(tested.id).await.unwrap(), tested);
    assert_eq!(copy.entries_of(job.id).await.unwrap(), log);
    assert_eq!(copy.search("escape", None, 9).await.unwrap().hits.len(), 1);
    assert_eq!(copy.kept_setting(OWN_RULES).await.unwrap(), Some(rules));
    assert_eq!(copy.setting("tolerance").await.unwrap().as_deref(), Some("plus 4"));
    assert_eq!(copy.search("crown", None, 9).await.unwrap().hits.len(), 1);
    assert_eq!(copy.bin(Page::first(9)).await.unwrap().total, 1);
    assert_eq!(copy.media(&media).await.unwrap(), "tick");
    let photos = copy.list::<Photo>(None, Order::OldestFirst, Page::first(1)).await.unwrap();
    assert_eq!(photos.total + 2, made.files);
    let checked = check(&copy, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
    assert_eq!(checked.media, made.files - 1);
    // Work goes on in it where it was left.
    let next = copy.create(&later(9), given::job(watch.id, "back again")).await.unwrap();
    assert_eq!(next.value.number, 2);
    let more = [given::entry(4, "fork"), given::entry(5, "balance cock")];
    let sent = copy.append_entries(&later(9), job.id, &more).await.unwrap();
    assert!(!sent[0].is_new && sent[1].is_new && sent[1].entry.number > log[1].number);
    copy.join(&later(9), "code", "token").await.unwrap();

    // Nothing is overwritten, and what is stopped leaves nothing.
    let again = backup(&store, &folder, &mut |_| true).await;
    assert!(matches!(again, Err(Error::Exists(_))), "{again:?}");
    let stopped = place.path().join("stopped");
    assert!(backup(&store, &stopped, &mut |_| false).await.unwrap().is_none());
    let names: Vec<_> = std::fs::read_dir(place.path()).unwrap().flatten().collect();
    assert_eq!(names.len(), 1, "{names:?}");
}

/// A sound that is gone or changed is told, with what it belongs to; what is left over is no loss.
pub(crate) async fn a_check_finds_what_is_wrong(store: Store) {
    let (.., job) = visit(&store).await;
    let gone = given::sound(&store, "gone").await;
    let changed = given::sound(&store, "changed").await;
    let old = given::sound(&store, "left over").await;
    let young = given::sound(&store, "about to be named").await;
    store.create(&by(), given::photo(job.id, gone, "the first")).await.unwrap();
    let second = store.create(&by(), given::photo(job.id, changed, "the second")).await.unwrap();
    let clean = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((&clean.faults, clean.records, clean.media, clean.media_bytes), (&vec![], 5, 2, 11));
    assert!(clean.left_over.is_empty());

    let folder = given::media_folder(&store);
    let file = |hash: MediaHash| {
        let name = hash.to_string();
        folder.join(&name[..2]).join(name)
    };
    let age = |path: &std::path::Path| {
        let file = std::fs::File::options().append(true).open(path).unwrap();
        file.set_modified(SystemTime::now() - Duration::from_secs(100_000)).unwrap();
    };
    age(&file(old));
    age(&file(gone));
    // As one that was killed leaves it, and as one that is at work right now.
    let unfinished = file(old).with_file_name(format!("{old}#1"));
    std::fs::write(&unfinished, "lef").unwrap();
    age(&unfinished);
    std::fs::write(file(old).with_file_name(format!("{old}#2")), "lef").unwrap();
    std::fs::write(folder.join("read me.txt"), "not ours").unwrap();
    age(&folder.join("read me.txt"));

    let swept = check(&store, true, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((swept.left_over.len(), swept.left_over_bytes, swept.swept), (2, 12, true));
    assert!(!file(old).exists() && !unfinished.exists());
    assert!(file(young).exists() && file(gone).exists() && folder.join("read me.txt").exists());

    std::fs::remove_file(file(gone)).unwrap();
    std::fs::write(file(changed), "Changed").unwrap();
    age(&file(young));
    let found = check(&store, true, &mut |_| true).await.unwrap().unwrap();
    let mut told: Vec<_> = found.faults.iter().map(ToString::to_string).collect();
    told.sort();
    let mut expected = [
        format!("The sound or picture {gone} is missing; it belongs to the photo \"the first\"."),
        format!(
            "The sound or picture {changed} is damaged; it belongs to the photo \"the second\"."
        ),
    ];
    expected.sort();
    assert_eq!(told, expected);
    // Where something is wrong nothing is removed.
    assert!(!found.swept && file(young).exists());
    assert!(found.faults.iter().any(|fault| matches!(fault,
        Fault::DamagedMedia { id, .. } if *id == second.any_id())));
    // A backup does not pretend either.
    let place = tempfile::tempdir().unwrap();
    let refused = backup(&store, &place.path().join("copy"), &mut |_| true).await;
    assert!(matches!(refused, Err(Error::NotFound(_) | Error::Damaged(_))), "{refused:?}");
    assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0);
    assert!(check(&store, false, &mut |_| false).await.unwrap().is_none());
}

/// No record names the sign on the workshop's papers: it is checked and copied all the same.
pub(crate) async fn the_sign_of_papers_belongs_to_the_workshop(store: Store) {
    visit(&store).await;
    let before = given::sound(&store, "the sign of before").await;
    let sign = given::sound(&store, "the sign").await;
    store.set(&by(), PAPER_SIGN, &before.to_string()).await.unwrap();
    store.set(&by(), PAPER_SIGN, &sign.to_string()).await.unwrap();
    let file = |hash: MediaHash| {
        let name = hash.to_string();
        given::media_folder(&store).join(&name[..2]).join(name)
    };
    for hash in [before, sign] {
        let file = std::fs::File::options().append(true).open(file(hash)).unwrap();
        file.set_modified(SystemTime::now() - Duration::from_secs(100_000)).unwrap();
    }
    let swept = check(&store, true, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((&swept.faults, swept.media, swept.swept), (&vec![], 1, true));
    assert!(file(sign).exists() && !file(before).exists());
    let place = tempfile::tempdir().unwrap();
    let copied = place.path().join("copy");
    backup(&store, &copied, &mut |_| true).await.unwrap().unwrap();
    let copy = Store::open(&Places::in_folder(&copied)).await.unwrap();
    assert_eq!(copy.media(&sign).await.unwrap(), "the sign");
    copy.close().await;

    std::fs::write(file(sign), "another").unwrap();
    let found = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(found.faults, [Fault::DamagedSign(sign)]);
    std::fs::remove_file(file(sign)).unwrap();
    let found = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(found.faults, [Fault::MissingSign(sign)]);
    store.set(&by(), PAPER_SIGN, "").await.unwrap();
    let well = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((well.faults, well.media), (vec![], 0));
}

/// A folder of sounds with a database that holds nothing is the wrong pair: nothing is swept.
pub(crate) async fn an_empty_database_sweeps_nothing(store: Store) {
    let hash = given::sound(&store, "from elsewhere").await.to_string();
    let file = given::media_folder(&store).join(&hash[..2]).join(&hash);
    let old = std::fs::File::options().append(true).open(&file).unwrap();
    old.set_modified(SystemTime::now() - Duration::from_secs(100_000)).unwrap();
    let checked = check(&store, true, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((checked.left_over.len(), checked.swept), (1, false));
    assert!(file.exists());
}

/// A byte of the database file that is not as it was.
#[tokio::test]
async fn a_damaged_database_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::in_folder(folder.path());
    let store = Store::open(&places).await.unwrap();
    let owners = (0..200).map(|n| given::owner(&format!("Owner number {n}"))).collect();
    store.create_all(&by(), owners).await.unwrap();
    store.close().await;
    let Database::File(file) = &places.database else { panic!() };
    let mut bytes = std::fs::read(file).unwrap();
    // Pages of 4096 bytes (sqlite.org/fileformat.html): all but the first two, which the database
    // needs in order to be opened at all, lose the word that every name begins with.
    let mut at = 8_192;
    while let Some(found) = bytes[at..].windows(12).position(|w| w == b"Owner number") {
        bytes[at + found - 60..at + found].fill(0xff);
        at += found + 12;
    }
    std::fs::write(file, bytes).unwrap();
    let told = match Store::open(&places).await {
        Ok(store) => match check(&store, false, &mut |_| true).await {
            Ok(checked) => !checked.unwrap().faults.is_empty(),
            Err(error) => matches!(error, Error::Damaged(_)),
        },
        Err(error) => matches!(error, Error::Damaged(_)),
    };
    assert!(told);

    std::fs::write(file, "this is a text that somebody has put here by mistake").unwrap();
    let text = Store::open(&places).await;
    assert!(matches!(text, Err(Error::Damaged(_))), "{:?}", text.err());
}

#[tokio::test]
async fn nothing_is_created_where_something_should_be() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::in_folder(folder.path());
    let none = Store::open_existing(&places).await;
    assert!(matches!(none, Err(Error::NotFound("database"))));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// The line to the server is lost in the midst of it: nothing of the copy is there, and the next is
/// whole.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_whose_line_is_cut_leaves_nothing() {
    let Some(server) = Server::start() else { return };
    let _is_there = server.fresh_database("backups").await;
    let line = Line::to(&server);
    let media = tempfile::tempdir().unwrap();
    let places = line.places("backups", media.path());
    let store = Store::open(&places).await.unwrap();
    let (owner, _, job) = visit(&store).await;
    for n in 0..200 {
        store.create(&by(), given::part(job.id, &format!("screw {n}"))).await.unwrap();
    }
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("monday");
    for bytes in [1, 2_000, 20_000, 60_000] {
        line.cut_after(bytes);
        let refused = backup(&store, &folder, &mut |_| true).await;
        assert!(line.is_cut(), "all of it came in {bytes} bytes");
        assert!(matches!(refused, Err(Error::Unreachable(_))), "{bytes}: {refused:?}");
        assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0, "{bytes}");
        line.mend();
    }
    backup(&store, &folder, &mut |_| true).await.unwrap().unwrap();
    let copy = Store::open(&Places::in_folder(&folder)).await.unwrap();
    assert_eq!(copy.get(owner.id).await.unwrap(), owner);
    assert_eq!(copy.search("screw", None, 500).await.unwrap().hits.len(), 200);
    copy.close().await;
    store.close().await;
}
