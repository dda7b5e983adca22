//! The line to a server (PostgreSQL, or that of a bucket), which can be cut.

use crate::postgres::Server;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;
use store::{Database, MediaPlace, Places};

/// Of one connection: at the program and at the server.
type Ends = (TcpStream, UnixStream);

/// Stands between a program and a server, and can be cut.
#[derive(Clone)]
pub(crate) struct Line {
    port: u16,
    socket: PathBuf,
    /// Both ends of all that goes over it; none while it is cut.
    open: Arc<Mutex<Option<Vec<Ends>>>>,
    /// So many bytes come from the server before it is cut, where it is to be.
    left: Arc<Mutex<Option<usize>>>,
    /// The one who listens, and has the port until it ends.
    listening: Arc<Mutex<Option<JoinHandle<()>>>>,
}

fn carry(mut from: impl Read, mut to: impl Write, hang_up: impl FnOnce() -> std::io::Result<()>) {
    // Whoever hangs up, or is cut off, has no more to say; the other end learns of it.
    let _ = std::io::copy(&mut from, &mut to);
    let _ = hang_up();
}

/// What comes from the server, which is counted.
struct Counted<'a>(&'a TcpStream, &'a Line);

impl Write for Counted<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let mut left = self.1.left.lock().unwrap();
        match left.as_mut() {
            Some(left) if *left < bytes.len() => {}
            Some(left) => {
                *left -= bytes.len();
                return self.0.write_all(bytes).map(|()| bytes.len());
            }
            None => return self.0.write_all(bytes).map(|()| bytes.len()),
        }
        *left = None;
        drop(left);
        self.1.cut();
        Err(std::io::ErrorKind::ConnectionAborted.into())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.0.flush()
    }
}

impl Line {
    pub(crate) fn to(server: &Server) -> Self {
        Self::to_socket(server.socket())
    }

    pub(crate) fn to_socket(socket: PathBuf) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let open = Arc::new(Mutex::new(Some(Vec::new())));
        let line = Self { port, socket, open, left: Arc::default(), listening: Arc::default() };
        line.listen(listener);
        line
    }

    /// Where it begins, on this machine.
    #[allow(dead_code, reason = "for buckets")]
    pub(crate) fn port(&self) -> u16 {
        self.port
    }

    /// A database of the server, over this line, asked with little patience, and a folder of media.
    pub(crate) fn places(&self, name: &str, media: &Path) -> Places {
        let url = format!("postgres://postgres@127.0.0.1:{}/{name}", self.port);
        let media = MediaPlace::Folder(media.to_owned());
        Places { patience: Duration::from_millis(200), ..Places::new(Database::Server(url), media) }
    }

    fn listen(&self, listener: TcpListener) {
        let line = self.clone();
        let listening = std::thread::spawn(move || {
            for near in listener.incoming() {
                let near = near.unwrap();
                let mut open = line.open.lock().unwrap();
                let Some(all) = open.as_mut() else { return };
                let far = UnixStream::connect(&line.socket).unwrap();
                let both = || (near.try_clone().unwrap(), far.try_clone().unwrap());
                all.push(both());
                let (out, back) = (both(), both());
                std::thread::spawn(move || {
                    carry(&out.0, &out.1, || out.1.shutdown(Shutdown::Write));
                });
                let line = line.clone();
                std::thread::spawn(move || {
                    let near = Counted(&back.0, &line);
                    carry(&back.1, near, || back.0.shutdown(Shutdown::Write));
                });
            }
        });
        *self.listening.lock().unwrap() = Some(listening);
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

    /// It is cut once so many bytes have come from the server from now on.
    pub(crate) fn cut_after(&self, bytes: usize) {
        *self.left.lock().unwrap() = Some(bytes);
    }

    pub(crate) fn is_cut(&self) -> bool {
        self.open.lock().unwrap().is_none()
    }

    pub(crate) fn mend(&self) {
        // It was told by the cut, but has the port until it has come to that.
        let listening = self.listening.lock().unwrap().take();
        listening.unwrap().join().unwrap();
        *self.open.lock().unwrap() = Some(Vec::new());
        self.listen(TcpListener::bind(("127.0.0.1", self.port)).unwrap());
    }
}
