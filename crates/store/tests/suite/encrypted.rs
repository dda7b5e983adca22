//! TLS to a PostgreSQL server, as `sslmode` in the address has it (PostgreSQL 16's manual, 34.19.3).

use crate::postgres::Server;
use rcgen::{BasicConstraints, CertificateParams, IsCa, Issuer, KeyPair};
use sea_orm::{ConnectionTrait, Statement};
use std::net::TcpListener;
use store::{Database, Error, MediaPlace, Places, Store};

/// An authority of the workshop's own, and what it vouches for: a server that is called `localhost`.
/// Gives the authority's certificate, the server's, and its key.
fn vouched_for() -> (String, String, String) {
    let authority_key = KeyPair::generate().unwrap();
    let mut authority = CertificateParams::new(Vec::new()).unwrap();
    authority.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let root = authority.self_signed(&authority_key).unwrap().pem();
    let issuer = Issuer::new(authority, authority_key);
    let key = KeyPair::generate().unwrap();
    let server = CertificateParams::new(["localhost".to_owned()]).unwrap();
    let server = server.signed_by(&key, &issuer).unwrap().pem();
    (root, server, key.serialize_pem())
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_server_is_asked_as_the_address_says() {
    let (root, certificate, key) = vouched_for();
    let port = TcpListener::bind(("127.0.0.1", 0)).unwrap().local_addr().unwrap().port();
    let Some(server) = Server::start_encrypted(port, &certificate, &key) else { return };
    server.fresh_database("bench").await;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("root.pem");
    std::fs::write(&file, root).unwrap();
    let root = format!("sslrootcert={}", file.display());
    let beside = sea_orm::Database::connect(server.url("bench")).await.unwrap();
    let media = MediaPlace::Folder(folder.path().join("media"));
    let ask = async |host: &str, how: &str| {
        let url = format!("postgres://postgres@{host}:{port}/bench?{how}");
        let places = Places::new(Database::Server(url), media.clone());
        let store = Store::open(&places).await?;
        // The server knows best how it is asked.
        let sql = "SELECT bool_and(ssl) FROM pg_stat_ssl JOIN pg_stat_activity USING (pid) \
                   WHERE application_name = 'endshake'";
        let row = beside.query_one_raw(Statement::from_string(sea_orm::DbBackend::Postgres, sql));
        let is_encrypted: bool = row.await.unwrap().unwrap().try_get_by_index(0).unwrap();
        store.close().await;
        Ok::<bool, Error>(is_encrypted)
    };
    for (host, how) in [
        ("localhost", ""),
        ("localhost", "sslmode=prefer"),
        ("localhost", "sslmode=allow"),
        ("127.0.0.1", "sslmode=require"),
        ("127.0.0.1", &format!("sslmode=verify-ca&{root}")),
        ("127.0.0.1", &format!("sslmode=require&{root}")),
        ("localhost", &format!("sslmode=verify-full&{root}")),
    ] {
        assert!(ask(host, how).await.unwrap(), "{host} {how}");
    }
    for (host, how, why) in [
        // The server takes nobody who does not encrypt.
        ("localhost", "sslmode=disable", "encryption"),
        // Nobody whom this machine trusts vouches for it.
        ("localhost", "sslmode=verify-full", "certificate"),
        ("localhost", "sslmode=verify-ca", "certificate"),
        ("localhost", "sslrootcert=system", "certificate"),
        // It is called otherwise.
        ("127.0.0.1", &format!("sslmode=verify-full&{root}"), "certificate"),
    ] {
        let refused = ask(host, how).await;
        let Err(Error::Unreachable(said)) = refused else { panic!("{host} {how}: {refused:?}") };
        assert!(said.contains(why), "{host} {how}: {said}");
    }
    beside.close().await.unwrap();
}
