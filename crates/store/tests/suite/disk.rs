//! A small disk of our own, in memory. Only root may have one; elsewhere its tests are passed over
//! with a message.

use std::path::Path;
use std::process::{Command, Stdio};
use tempfile::TempDir;

pub(crate) struct Disk {
    folder: TempDir,
}

fn mounted(arguments: &[&str]) -> bool {
    let mut mount = Command::new("mount");
    mount.args(arguments).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
}

impl Disk {
    pub(crate) fn of_mib(mib: u32) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().to_str().unwrap();
        if mounted(&["-t", "tmpfs", "-o", &format!("size={mib}m"), "tmpfs", path]) {
            return Some(Self { folder });
        }
        eprintln!("skipped: only root may mount a small disk to fill");
        None
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn make_read_only(&self, read_only: bool) {
        self.again(if read_only { "remount,ro" } else { "remount,rw" });
    }

    pub(crate) fn grow_to_mib(&self, mib: u32) {
        self.again(&format!("remount,size={mib}m"));
    }

    fn again(&self, options: &str) {
        assert!(mounted(&["-o", options, self.path().to_str().unwrap()]), "{options}");
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        // Even where something of it is still open: it goes when that is closed.
        let _ = Command::new("umount").arg("-l").arg(self.path()).status();
    }
}
