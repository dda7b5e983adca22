//! Sounds and photos in a bucket: scenarios once more, against an S3 server that is none of ours
//! (s3s-fs). Where it is stands in the environment, which a program may not change of itself without
//! `unsafe`: so the scenarios run in a child of this very program.

use s3s::auth::SimpleAuth;
use s3s::service::S3ServiceBuilder;
use std::net::SocketAddr;
use std::process::Command;
use store::{Database, Error, MediaPlace, Places, Store};
use tokio::net::TcpListener;

const KEY: &str = "bench";
const SECRET: &str = "bench-secret";
const BUCKET: &str = "workshop";

/// Those in which sounds and photos come and go; all else is the database's.
const WITH_MEDIA: &[&str] = &[
    "sounds_and_photos_are_kept_by_content",
    "a_record_names_nothing_that_is_not_there",
    "what_is_sent_again_under_its_id_counts_once",
    "what_is_deleted_comes_back_with_all_that_hangs_on_it",
    "a_job_brings_its_watch_and_owner",
];

/// Serves a folder as S3, until the runtime ends.
async fn serve(folder: &std::path::Path) -> SocketAddr {
    std::fs::create_dir_all(folder.join(BUCKET)).unwrap();
    let service = {
        let mut builder = S3ServiceBuilder::new(s3s_fs::FileSystem::new(folder).unwrap());
        builder.set_auth(SimpleAuth::from_single(KEY, SECRET));
        builder.build()
    };
    let listener = TcpListener::bind(("127.0.0.1", 0)).await.unwrap();
    let address = listener.local_addr().unwrap();
    tokio::spawn(async move {
        let server =
            hyper_util::server::conn::auto::Builder::new(hyper_util::rt::TokioExecutor::new());
        loop {
            let (socket, _) = listener.accept().await.unwrap();
            let connection = server
                .serve_connection(hyper_util::rt::TokioIo::new(socket), service.clone())
                .into_owned();
            tokio::spawn(async move { drop(connection.await) });
        }
    });
    address
}

fn child(test: &str, address: SocketAddr, secret: &str) -> std::process::Output {
    Command::new(std::env::current_exe().unwrap())
        .args([&format!("bucket::{test}"), "--exact", "--ignored", "--nocapture"])
        .env("AWS_ENDPOINT_URL", format!("http://{address}"))
        .env("AWS_ALLOW_HTTP", "true")
        .env("AWS_REGION", "us-east-1")
        .env("AWS_ACCESS_KEY_ID", KEY)
        .env("AWS_SECRET_ACCESS_KEY", secret)
        .output()
        .unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn scenarios_with_a_bucket() {
    let folder = tempfile::tempdir().unwrap();
    let address = serve(folder.path()).await;
    for (test, secret) in [
        ("scenarios_with_the_bucket_of_the_environment", SECRET),
        ("a_wrong_key_is_told", "guessed"),
    ] {
        let out = tokio::task::spawn_blocking(move || child(test, address, secret)).await.unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        let wrong = String::from_utf8_lossy(&out.stderr);
        assert!(out.status.success() && said.contains("1 passed"), "{said}\n{wrong}");
    }
}

fn places(folder: &std::path::Path, prefix: &str) -> Places {
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
    let (.., job) = crate::given::visit(&store).await;
    let named = crate::given::sound(&store, "tick").await;
    crate::given::sound(&store, "nobody's").await;
    store.create(&crate::given::by(), crate::given::photo(job.id, named, "dial")).await.unwrap();
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
