//! Who has a port of this machine, as far as this user can see.

use super::page::ask;
use doctor::PortFact;
use serde::Deserialize;
use std::net::Ipv4Addr;
use std::path::Path;
use std::time::Duration;
use tokio::net::TcpListener;

/// Whoever serves a page on this machine says something within this.
const PATIENCE: Duration = Duration::from_secs(2);

#[derive(Deserialize)]
struct Session {
    version: String,
    /// By this it is known as ours.
    #[serde(rename = "demo")]
    _demo: bool,
}

pub(super) async fn fact(port: u16) -> PortFact {
    match TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await {
        Ok(_) => PortFact::Free,
        Err(error) if error.kind() == std::io::ErrorKind::AddrInUse => {
            let answer = ask(port, "/api/v1/session", PATIENCE).await.unwrap_or_default();
            let body = answer.split_once("\r\n\r\n").map_or("", |(_, body)| body);
            match serde_json::from_str::<Session>(body) {
                Ok(session) => PortFact::Ours(session.version),
                Err(_) => {
                    let by = tokio::task::spawn_blocking(move || holder(Path::new("/proc"), port));
                    PortFact::Taken(by.await.ok().flatten())
                }
            }
        }
        Err(error) => PortFact::Shut(error.to_string()),
    }
}

/// Name and number of the program that listens there (proc(5): the sockets in `net/tcp`, then whose open
/// files they are among; of other users' programs nobody is shown those).
fn holder(proc: &Path, port: u16) -> Option<String> {
    let socket = ["net/tcp", "net/tcp6"].iter().find_map(|table| {
        let text = std::fs::read_to_string(proc.join(table)).ok()?;
        listening(&text, port)
    })?;
    let wanted = format!("socket:[{socket}]");
    for entry in std::fs::read_dir(proc).ok()?.flatten() {
        let name = entry.file_name();
        let Some(id) = name.to_str().filter(|name| name.bytes().all(|b| b.is_ascii_digit())) else {
            continue;
        };
        let Ok(files) = std::fs::read_dir(entry.path().join("fd")) else { continue };
        let holds = files.flatten().any(|file| {
            std::fs::read_link(file.path()).is_ok_and(|to| to.as_os_str() == wanted.as_str())
        });
        if holds {
            let name = std::fs::read_to_string(entry.path().join("comm")).unwrap_or_default();
            return Some(format!("{} (process {id})", name.trim()));
        }
    }
    None
}

/// The number of the socket that listens at a port: state 0A, the tenth column.
fn listening(table: &str, port: u16) -> Option<String> {
    let ending = format!(":{port:04X}");
    table.lines().skip(1).find_map(|line| {
        let columns: Vec<&str> = line.split_whitespace().collect();
        let is = columns.get(1)?.ends_with(&ending) && *columns.get(3)? == "0A";
        is.then(|| columns.get(9).map(|inode| (*inode).to_owned())).flatten()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_port_is_free_or_somebody_has_it() {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await.unwrap();
        let port = listener.local_addr().unwrap().port();
        // This test program has it, and answers nobody.
        #[cfg(target_os = "linux")]
        {
            let said = fact(port).await;
            let PortFact::Taken(Some(by)) = &said else { panic!("{said:?}") };
            assert!(by.ends_with(&format!("(process {})", std::process::id())), "{by}");
        }
        drop(listener);
        assert_eq!(fact(port).await, PortFact::Free);
    }
}
