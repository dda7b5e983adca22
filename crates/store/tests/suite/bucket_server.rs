//! A folder as a bucket: an S3 server that is none of ours (s3s-fs), until the runtime ends.

use s3s::auth::SimpleAuth;
use s3s::service::S3ServiceBuilder;
use std::path::{Path, PathBuf};
use std::process::Command;
use tokio::net::UnixListener;

const KEY: &str = "bench";
pub(crate) const SECRET: &str = "bench-secret";
pub(crate) const BUCKET: &str = "workshop";

/// Serves a folder, and gives the socket at which it listens.
pub(crate) fn serve(folder: &Path) -> PathBuf {
    let within = folder.join("buckets");
    std::fs::create_dir_all(within.join(BUCKET)).unwrap();
    let service = {
        let mut builder = S3ServiceBuilder::new(s3s_fs::FileSystem::new(within).unwrap());
        builder.set_auth(SimpleAuth::from_single(KEY, SECRET));
        builder.build()
    };
    let socket = folder.join("s3.sock");
    let listener = UnixListener::bind(&socket).unwrap();
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
    socket
}

/// Tells a program where it is, and by which key.
pub(crate) fn told(command: &mut Command, port: u16, secret: &str) {
    command
        .env("AWS_ENDPOINT_URL", format!("http://127.0.0.1:{port}"))
        .env("AWS_ALLOW_HTTP", "true")
        .env("AWS_REGION", "us-east-1")
        .env("AWS_ACCESS_KEY_ID", KEY)
        .env("AWS_SECRET_ACCESS_KEY", secret);
}
