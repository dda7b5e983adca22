//! The line to a PostgreSQL server, which can be cut.

use crate::postgres::Server;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use store::Database;

/// Of one connection: at the program and at the server.
type Ends = (TcpStream, UnixStream);

/// Stands between a program and a server, and can be cut.
pub(crate) struct Line {
    port: u16,
    socket: PathBuf,
    /// Both ends of all that goes over it; none while it is cut.
    open: Arc<Mutex<Option<Vec<Ends>>>>,
}

fn carry(mut from: impl Read, mut to: impl Write, hang_up: impl FnOnce() -> std::io::Result<()>) {
    // Whoever hangs up, or is cut off, has no more to say; the other end learns of it.
    let _ = std::io::copy(&mut from, &mut to);
    let _ = hang_up();
}

impl Line {
    pub(crate) fn to(server: &Server) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let socket = server.socket();
        let line = Self { port, socket, open: Arc::new(Mutex::new(Some(Vec::new()))) };
        line.listen(listener);
        line
    }

    /// A database of the server, over this line.
    pub(crate) fn database(&self, name: &str) -> Database {
        Database::Server(format!("postgres://postgres@127.0.0.1:{}/{name}", self.port))
    }

    fn listen(&self, listener: TcpListener) {
        let (open, socket) = (self.open.clone(), self.socket.clone());
        std::thread::spawn(move || {
            for near in listener.incoming() {
                let near = near.unwrap();
                let mut open = open.lock().unwrap();
                let Some(all) = open.as_mut() else { return };
                let far = UnixStream::connect(&socket).unwrap();
                let both = || (near.try_clone().unwrap(), far.try_clone().unwrap());
                all.push(both());
                let (out, back) = (both(), both());
                std::thread::spawn(move || {
                    carry(&out.0, &out.1, || out.1.shutdown(Shutdown::Write));
                });
                std::thread::spawn(move || {
                    carry(&back.1, &back.0, || back.0.shutdown(Shutdown::Write));
                });
            }
        });
    }

    /// Whoever talks is cut off, and nobody gets through.
    pub(crate) fn cut(&self) {
        for (near, far) in self.open.lock().unwrap().take().unwrap() {
            // It may be closed already.
            let _ = near.shutdown(Shutdown::Both);
            let _ = far.shutdown(Shutdown::Both);
        }
        // The one who listens wakes, sees it, and is gone with the port.
        drop(TcpStream::connect(("127.0.0.1", self.port)));
    }

    pub(crate) fn mend(&self) {
        *self.open.lock().unwrap() = Some(Vec::new());
        self.listen(TcpListener::bind(("127.0.0.1", self.port)).unwrap());
    }
}
