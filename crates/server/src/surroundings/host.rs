//! The machine: its clock, time zone, memory and limits.

use doctor::System;
use std::path::Path;

pub(super) fn facts() -> System {
    System {
        is_synchronised: audio::clock::computer_is_synchronised(),
        time_zone: time_zone(),
        missing_fonts: missing_fonts(),
        free_memory_bytes: std::fs::read_to_string("/proc/meminfo")
            .ok()
            .and_then(|t| free_memory(&t)),
        open_files: std::fs::read_to_string("/proc/self/limits").ok().and_then(|t| open_files(&t)),
    }
}

/// As tzset(3) and localtime(5) find it.
fn time_zone() -> Option<String> {
    if let Ok(named) = std::env::var("TZ")
        && !named.is_empty()
    {
        return Some(named.trim_start_matches(':').to_owned());
    }
    let named = std::fs::canonicalize("/etc/localtime").ok().and_then(|file| zone_of(&file));
    named.or_else(|| {
        let named = std::fs::read_to_string("/etc/timezone").ok()?;
        Some(named.trim().to_owned()).filter(|named| !named.is_empty())
    })
}

fn zone_of(file: &Path) -> Option<String> {
    let path = file.to_str()?;
    let (_, zone) = path.split_once("/zoneinfo/")?;
    Some(zone.to_owned())
}

/// The pictures' typeface is a part of the program; the page's comes with the page.
fn missing_fonts() -> Vec<String> {
    let of_page = !page::is_built() || page::file("inter-licence.txt").is_some();
    if of_page { Vec::new() } else { vec!["Inter".into()] }
}

/// proc_meminfo(5).
fn free_memory(text: &str) -> Option<u64> {
    let line = text.lines().find_map(|line| line.strip_prefix("MemAvailable:"))?;
    let kib: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib * 1024)
}

/// The soft limit of proc_pid_limits(5).
fn open_files(text: &str) -> Option<u64> {
    let line = text.lines().find_map(|line| line.strip_prefix("Max open files"))?;
    match line.split_whitespace().next()? {
        "unlimited" => Some(u64::MAX),
        number => number.parse().ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The forms are those of the manual pages that are named above.
    #[test]
    fn the_kernels_words_are_understood() {
        let memory = "MemTotal:        8000000 kB\nMemAvailable:    1000000 kB\n";
        assert_eq!(free_memory(memory), Some(1_024_000_000));
        let limits = "Limit                     Soft Limit           Hard Limit           Units     \n\
                      Max open files            1024                 4096                 files     \n";
        assert_eq!(open_files(limits), Some(1_024));
        let zone = Path::new("/usr/share/zoneinfo/Europe/Berlin");
        assert_eq!(zone_of(zone).as_deref(), Some("Europe/Berlin"));
        assert_eq!(zone_of(Path::new("/etc/localtime")), None);
        assert_eq!((free_memory(""), open_files("nothing")), (None, None));
    }
}
