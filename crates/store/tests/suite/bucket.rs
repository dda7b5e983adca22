//! Sounds and photos in a bucket: scenarios once more, against a server that is none of ours, and what
//! becomes of them where the line to it is cut. Where it is stands in the environment, which a program
//! may not change of itself without `unsafe`: so all of it runs in a child of this very program.

use crate::archives::{read, sound, written};
use crate::bucket_server::{BUCKET, SECRET, serve, told};
use crate::content::dump;
use crate::given::{self, by};
use crate::postgres_line::Line;
use jobs::{JobId, Photo};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use store::{Database, Error, MediaPlace, Order, Page, Places, Scope, Store};

/// Those in which sounds and photos come and go; all else is the database's.
const WITH_MEDIA: &[&str] = &[
    "sounds_and_photos_are_kept_by_content",
    "a_record_names_nothing_that_is_not_there",
    "what_is_sent_again_under_its_id_counts_once",
    "what_is_deleted_comes_back_with_all_that_hangs_on_it",
    "a_job_brings_its_watch_and_owner",
];

/// How a child asks for something to be done to its line.
const WISH: &str = "line: ";

/// Runs a test in a child and does to the line what it wishes.
fn child(test: &str, line: &Line, secret: &str) {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args([&format!("bucket::{test}"), "--exact", "--ignored", "--nocapture"]);
    told(&mut command, line.port(), secret);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let (mut wishes, output) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
    let mut said = String::new();
    for text in BufReader::new(output).lines().map_while(Result::ok) {
        if let Some((_, wish)) = text.split_once(WISH) {
            match wish.strip_prefix("cut after ") {
                Some(bytes) => line.cut_after(bytes.parse().unwrap()),
                None if wish == "cut" => line.cut(),
                None => line.mend(),
            }
            wishes.write_all(b"done\n").unwrap();
        }
        said.push_str(&text);
        said.push('\n');
    }
    assert!(child.wait().unwrap().success() && said.contains("1 passed"), "{said}");
}

/// Has something done to the line: `cut`, `cut after` so many bytes that come from the server, `mend`.
fn wish(what: &str) {
    println!("\n{WISH}{what}");
    let mut done = String::new();
    std::io::stdin().read_line(&mut done).unwrap();
    assert_eq!(done, "done\n");
}

/// Each with a bucket of its own.
async fn in_a_child(test: &'static str, secret: &'static str) {
    let folder = tempfile::tempdir().unwrap();
    let line = Line::to_socket(serve(folder.path()));
    tokio::task::spawn_blocking(move || child(test, &line, secret)).await.unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn scenarios_with_a_bucket() {
    in_a_child("scenarios_with_the_bucket_of_the_environment", SECRET).await;
    in_a_child("a_wrong_key_is_told", "guessed").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_bucket_whose_line_is_cut() {
    in_a_child("a_bucket_that_is_lost_loses_nothing", SECRET).await;
}

fn places(folder: &Path, prefix: &str) -> Places {
    let database = Database::File(folder.join("endshake.sqlite"));
    Places::new(database, MediaPlace::Bucket(format!("s3://{BUCKET}/{prefix}")))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "run by scenarios_with_a_bucket, which tells where the bucket is"]
async fn scenarios_with_the_bucket_of_the_environment() {
    for wanted in WITH_MEDIA {
        let (name, scenario) = super::SCENARIOS.iter().find(|(name, _)| name == wanted).unwrap();
        let folder = tempfile::tempdir().unwrap();
        scenario(Store::open(&places(folder.path(), name)).await.unwrap()).await;
    }
    copied_and_checked().await;
}

/// A backup takes what lies in the bucket along; what nothing names is found, and young stays.
async fn copied_and_checked() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&places(folder.path(), "copied")).await.unwrap();
    let (.., job) = given::visit(&store).await;
    let named = given::sound(&store, "tick").await;
    given::sound(&store, "nobody's").await;
    store.create(&by(), given::photo(job.id, named, "dial")).await.unwrap();
    let checked = store::check(&store, true, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((checked.faults.len(), checked.media, checked.left_over.len()), (0, 1, 0));
    let copy = folder.path().join("copy");
    store::backup(&store, &copy, &mut |_| true).await.unwrap().unwrap();
    let copy = Store::open(&Places::in_folder(&copy)).await.unwrap();
    assert_eq!(copy.media(&named).await.unwrap(), "tick");
    // A sound that is lost is found missing.
    let gone = places(folder.path(), "elsewhere");
    let elsewhere = Store::open(&gone).await.unwrap();
    let checked = store::check(&elsewhere, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults.len(), 1, "{:?}", checked.faults);
}

#[tokio::test]
#[ignore = "run by scenarios_with_a_bucket, which tells where the bucket is"]
async fn a_wrong_key_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let refused = Store::open(&places(folder.path(), "any")).await.err();
    let Some(Error::Unreachable(why)) = refused else { panic!("{refused:?}") };
    assert!(why.contains("s3://workshop/any") && why.contains("AWS_SECRET_ACCESS_KEY"), "{why}");
    assert!(!why.contains("guessed"), "the secret is told: {why}");
}

/// Says that the bucket does not answer, in one line.
fn lost<T: std::fmt::Debug>(result: Result<T, Error>) {
    let sentence = match result {
        Err(Error::Unreachable(_)) => result.unwrap_err().to_string(),
        other => panic!("{other:?}"),
    };
    assert!(sentence.contains("bucket") && !sentence.contains('\n'), "{sentence}");
    assert!(!sentence.contains(SECRET), "{sentence}");
}

const PHOTOS: u8 = 6;

async fn with_photos(store: &Store) -> JobId {
    let (.., job) = given::visit(store).await;
    for n in 0..PHOTOS {
        let content = [&b"\xff\xd8\xff"[..], &vec![n; 200_000]].concat();
        let media = store.put_media(content.into()).await.unwrap();
        store.create(&by(), given::photo(job.id, media, &format!("photo {n}"))).await.unwrap();
    }
    job.id
}

fn count(folder: &Path) -> usize {
    std::fs::read_dir(folder).unwrap().count()
}

/// The line is lost before the first answer, or in the midst of it, while an archive is read in, while one
/// is written, while a backup is made and while photos are looked through.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "run by a_bucket_whose_line_is_cut, which tells where the bucket is"]
async fn a_bucket_that_is_lost_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let from = Store::open(&Places::in_folder(&folder.path().join("from"))).await.unwrap();
    let job = with_photos(&from).await;
    let archive = written(&from, Scope::Everything).await;
    let places = places(folder.path(), "lost");
    let places = Places { patience: Duration::from_millis(200), ..places };
    let to = Store::open(&places).await.unwrap();

    let empty = dump(&to).await;
    // What comes from there is three short answers for each photo.
    for bytes in [1, 400, 2_500] {
        wish(&format!("cut after {bytes}"));
        lost(read(&to, &archive).await);
        assert_eq!(dump(&to).await, empty, "{bytes}");
        wish("mend");
    }
    read(&to, &archive).await.unwrap();
    sound(&to).await;
    assert_eq!(to.list::<Photo>(None, Order::Title, Page::first(1)).await.unwrap().total, 6);

    // Before a backup, which notes itself among the settings.
    assert!(written(&to, Scope::Everything).await == archive);

    let place = tempfile::tempdir().unwrap();
    let (copy, file) = (place.path().join("monday"), place.path().join("all.zip"));
    for bytes in [1, 100_000, 700_000] {
        wish(&format!("cut after {bytes}"));
        lost(store::backup(&to, &copy, &mut |_| true).await);
        wish("mend");
        wish(&format!("cut after {bytes}"));
        let all = Scope::Everything;
        lost(store::write_archive(&to, all, &file, false, by().at, &mut |_| true).await);
        wish("mend");
        assert_eq!(count(place.path()), 0, "{bytes}");
    }
    store::backup(&to, &copy, &mut |_| true).await.unwrap().unwrap();
    let copied = Store::open(&Places::in_folder(&copy)).await.unwrap();
    sound(&copied).await;
    copied.close().await;

    // A photo that could not be sent is not named; and what cannot be looked at is not called gone.
    let before = dump(&to).await;
    wish("cut after 500000");
    lost(store::check(&to, true, &mut |_| true).await);
    lost(to.put_media("\u{fffd}tick".into()).await);
    wish("mend");
    assert_eq!(dump(&to).await, before);
    let media = to.put_media("\u{fffd}tick".into()).await.unwrap();
    to.create(&by(), given::photo(job, media, "at the second try")).await.unwrap();
    sound(&to).await;
    to.close().await;
    from.close().await;
}
