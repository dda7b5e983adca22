//! What sound can be recorded from: what opens, and what the kernel knows where nothing does.

use doctor::{Capture, SoundFacts};
use std::path::{Path, PathBuf};

/// The group whose members may use the files in `/dev/snd` (common practice of distributions).
const GROUP: &str = "audio";

pub(super) fn facts() -> SoundFacts {
    SoundFacts {
        built_in: cfg!(feature = "capture"),
        devices: devices(),
        captures: captures(Path::new("/proc/asound"), Path::new("/dev/snd")),
        in_group: in_group(),
        server: server(),
    }
}

#[cfg(feature = "capture")]
fn devices() -> Vec<(String, bool)> {
    let found = audio::capture::devices().unwrap_or_default();
    found.into_iter().map(|device| (device.name, device.is_usual)).collect()
}

#[cfg(not(feature = "capture"))]
fn devices() -> Vec<(String, bool)> {
    Vec::new()
}

/// Recording devices of the kernel (its documentation, sound/designs/procfile): a folder `pcmNc` for each
/// in that of its card, with who has it open in `sub0/status`; the file to open is `pcmCnDmc`.
fn captures(asound: &Path, dev: &Path) -> Vec<Capture> {
    let mut found = Vec::new();
    for card in 0..32 {
        let folder = asound.join(format!("card{card}"));
        for device in 0..32 {
            let pcm = folder.join(format!("pcm{device}c"));
            let Ok(info) = std::fs::read_to_string(pcm.join("info")) else { continue };
            let field = |name: &str| {
                info.lines()
                    .find_map(|line| line.strip_prefix(name))
                    .map(|text| text.trim().to_owned())
            };
            let name = field("name:").filter(|name| !name.is_empty());
            found.push(Capture {
                name: name.unwrap_or_else(|| format!("card {card}, device {device}")),
                is_allowed: may_open(&dev.join(format!("pcmC{card}D{device}c"))),
                used_by: user_of(&pcm),
            });
        }
    }
    found
}

fn user_of(pcm: &Path) -> Option<String> {
    let status = std::fs::read_to_string(pcm.join("sub0/status")).ok()?;
    let id = status.lines().find_map(|line| line.strip_prefix("owner_pid"))?;
    let id: u32 = id.trim_matches([' ', '\t', ':']).parse().ok()?;
    if id == std::process::id() {
        return Some("this program".into());
    }
    let name = std::fs::read_to_string(format!("/proc/{id}/comm")).unwrap_or_default();
    Some(format!("{} (process {id})", name.trim()).trim_start().to_owned())
}

#[cfg(unix)]
fn may_open(file: &Path) -> bool {
    use rustix::fs::{Access, access};
    access(file, Access::READ_OK | Access::WRITE_OK).is_ok()
}

#[cfg(not(unix))]
fn may_open(_file: &Path) -> bool {
    true
}

/// Whether this process has the group: group(5) for its number, proc_pid_status(5) for ours.
fn in_group() -> Option<bool> {
    let groups = std::fs::read_to_string("/etc/group").ok()?;
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    has_group(&groups, &status)
}

fn has_group(groups: &str, status: &str) -> Option<bool> {
    let number = groups.lines().find_map(|line| {
        let mut columns = line.split(':');
        (columns.next() == Some(GROUP)).then(|| columns.nth(1))?
    })?;
    let ours =
        |name: &str| status.lines().find_map(|line| line.strip_prefix(name)).unwrap_or_default();
    // Of the four of Gid the second counts.
    let has = ours("Groups:").split_whitespace().any(|group| group == number)
        || ours("Gid:").split_whitespace().nth(1) == Some(number);
    Some(has)
}

/// Where the sound systems of desktops listen for programs of their user.
fn server() -> Option<String> {
    let runtime = PathBuf::from(std::env::var_os("XDG_RUNTIME_DIR")?);
    [("pipewire-0", "PipeWire"), ("pulse/native", "PulseAudio")]
        .into_iter()
        .find(|(socket, _)| runtime.join(socket).exists())
        .map(|(_, name)| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_kernels_devices_are_found() {
        let place = tempfile::tempdir().unwrap();
        let (asound, dev) = (place.path().join("asound"), place.path().join("snd"));
        let pcm = asound.join("card1/pcm0c/sub0");
        std::fs::create_dir_all(&pcm).unwrap();
        std::fs::create_dir(&dev).unwrap();
        // As a kernel of 2024 writes them.
        let info =
            "card: 1\ndevice: 0\nsubdevice: 0\nstream: CAPTURE\nid: USB Audio\nname: Pickup\n";
        std::fs::write(asound.join("card1/pcm0c/info"), info).unwrap();
        std::fs::write(pcm.join("status"), "closed\n").unwrap();
        let capture = |is_allowed, used_by: Option<&str>| Capture {
            name: "Pickup".into(),
            is_allowed,
            used_by: used_by.map(str::to_owned),
        };
        assert_eq!(captures(&asound, &dev), [capture(false, None)]);
        std::fs::write(dev.join("pcmC1D0c"), "").unwrap();
        let status = format!("state: RUNNING\nowner_pid   : {}\n", std::process::id());
        std::fs::write(pcm.join("status"), status).unwrap();
        assert_eq!(captures(&asound, &dev), [capture(true, Some("this program"))]);
        assert_eq!(captures(&dev, &dev), []);
    }

    #[test]
    fn the_group_counts_as_the_own_one_or_as_one_more() {
        let groups = "root:x:0:\naudio:x:29:ada\nadm:x:4:\n";
        let status =
            |gid: &str, groups: &str| format!("Name:\tx\nGid:\t{gid}\nGroups:\t{groups}\n");
        assert_eq!(has_group(groups, &status("1 1 1 1", "4 29 ")), Some(true));
        assert_eq!(has_group(groups, &status("29 29 29 29", "")), Some(true));
        assert_eq!(has_group(groups, &status("1 1 1 1", "4 290 ")), Some(false));
        assert_eq!(has_group("root:x:0:\n", &status("0 0 0 0", "0")), None);
    }
}
