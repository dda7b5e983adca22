//! Whether the page is in the program, and comes when a browser of this machine asks for it: served for a
//! moment at a port that is free, with nothing behind it.

use axum::Router;
use doctor::PageFact;
use std::net::Ipv4Addr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

/// A program that runs on the same machine answers at once.
const PATIENCE: Duration = Duration::from_secs(5);

pub(super) async fn fact() -> PageFact {
    if !page::is_built() {
        return PageFact::NotBuiltIn;
    }
    match serve_and_ask().await {
        Ok(bytes) => PageFact::Answers(bytes),
        Err(error) => PageFact::Silent(error.to_string()),
    }
}

async fn serve_and_ask() -> std::io::Result<usize> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await?;
    let port = listener.local_addr()?.port();
    let router = Router::new().fallback(crate::routes::page_alone);
    let serving = tokio::spawn(async move { axum::serve(listener, router).await });
    let answer = ask(port, "/", PATIENCE).await;
    serving.abort();
    let answer = answer?;
    if answer.starts_with("HTTP/1.1 200") && answer.contains("<!doctype html>") {
        Ok(answer.len())
    } else {
        let first = answer.lines().next().unwrap_or_default().to_owned();
        Err(std::io::Error::other(format!("it says “{first}”")))
    }
}

/// What somebody at a port of this machine answers, head and all, at most a megabyte of it.
pub(super) async fn ask(port: u16, path: &str, patience: Duration) -> std::io::Result<String> {
    let asked = async {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).await?;
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
        stream.write_all(request.as_bytes()).await?;
        let mut answer = Vec::new();
        stream.take(1 << 20).read_to_end(&mut answer).await?;
        Ok(String::from_utf8_lossy(&answer).into_owned())
    };
    let late = |_| std::io::Error::new(std::io::ErrorKind::TimedOut, "it takes too long");
    tokio::time::timeout(patience, asked).await.map_err(late)?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn the_page_answers() {
        match fact().await {
            PageFact::Answers(bytes) => assert!(bytes > 300, "{bytes}"),
            other => assert!(!page::is_built(), "{other:?}"),
        }
    }
}
