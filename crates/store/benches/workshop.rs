//! A large workshop: 10,000 jobs, 100,000 readings, 50,000 photos. It is made once, which takes some
//! minutes, and kept in cargo's folder for temporary files.

// Each bench that takes this in uses some of it.
#![allow(dead_code)]

use bytes::Bytes;
use jobs::*;
use quantities::{Measured, Position};
use std::path::{Path, PathBuf};
use store::{By, Places, Store};
use tokio::runtime::Runtime;

pub(crate) const OWNERS: usize = 2_000;
pub(crate) const WATCHES: usize = 4_000;
pub(crate) const JOBS: usize = 10_000;
pub(crate) const READINGS: usize = 100_000;
const PHOTOS: usize = 50_000;

/// Raised whenever what is made here changes.
const MADE: &str = "workshop-5";

const NAMES: [&str; 20] = [
    "Ada", "Bo", "Cora", "Dag", "Elsa", "Finn", "Greta", "Hugo", "Ida", "Jon", "Karin", "Lars",
    "Maja", "Nils", "Olga", "Per", "Rut", "Sven", "Tyra", "Ulf",
];
const WORDS: [&str; 24] = [
    "crown", "crystal", "stops", "loses", "gains", "minute", "day", "water", "dial", "hands",
    "winding", "rough", "date", "jumps", "late", "case", "back", "strap", "rotor", "noise",
    "cleaning", "gasket", "balance", "fast",
];

/// Numbers that look as if drawn, always the same: the constants are those of Knuth's MMIX
/// (The Art of Computer Programming, vol. 2, 3.3.4).
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }

    fn words(&mut self, many: usize) -> String {
        (0..many).map(|_| WORDS[self.below(WORDS.len())]).collect::<Vec<_>>().join(" ")
    }
}

fn at(n: usize) -> By {
    By::at("bench", Moment::from_ms(1_700_000_000_000 + 60_000 * n as i64))
}

async fn create_all<T: store::Stored>(store: &Store, values: Vec<T>) -> Vec<Id<T>> {
    let mut ids = Vec::new();
    for (n, some) in values.chunks(5_000).enumerate() {
        let kept = store.create_all(&at(n), some.to_vec()).await.unwrap();
        ids.extend(kept.into_iter().map(|kept| kept.id));
    }
    ids
}

async fn make(folder: &Path) {
    let store = Store::open(&Places::in_folder(folder)).await.unwrap();
    let mut drawn = Drawn(7);
    let owners = (0..OWNERS).map(|n| Owner {
        name: format!("{} {}son", NAMES[drawn.below(20)], NAMES[drawn.below(20)]),
        contact: vec![format!("{n} Mill Lane"), format!("0{:08}", drawn.below(99_999_999))],
        notes: String::new(),
    });
    let owners = create_all(&store, owners.collect()).await;
    let watches = (0..WATCHES).map(|n| Watch {
        owner: Some(owners[n % OWNERS]),
        description: format!("{} wristwatch", ["steel", "gold", "silver"][n % 3]),
        calibre: format!("calibre {}", drawn.below(60)),
        serial_numbers: vec![format!("{:07}", drawn.below(9_999_999))],
        balances: vec![WatchBalance::default()],
        notes: drawn.words(6),
        ..Watch::default()
    });
    let watches = create_all(&store, watches.collect()).await;
    let jobs = (0..JOBS).map(|n| {
        let mut job = Job::begun(watches[n % WATCHES], drawn.words(8), at(n).at);
        job.notes = drawn.words(20);
        job.due = Some(jiff::civil::date(2026, 1 + (n % 12) as i8, 1 + (n % 28) as i8));
        if n % 20 != 0 {
            job.hand_over(at(n + 1).at);
        }
        job
    });
    let jobs = create_all(&store, jobs.collect()).await;
    // They begin as what they stand for, so that an archive takes them.
    let sound = store.put_media(Bytes::from_static(b"fLaC one for all")).await.unwrap();
    let media = store.put_media(Bytes::from_static(b"\xff\xd8\xff one for all")).await.unwrap();
    let readings = (0..READINGS).map(|n| Reading {
        job: jobs[n % JOBS],
        position: Some(Position::ALL[n % 6]),
        wind: "full".into(),
        taken: at(n).at,
        duration_s: 30.0,
        device: "pickup".into(),
        settings: ReadingSettings::default(),
        program: "0.1.0".into(),
        sound: Some(sound),
        balances: vec![BalanceReading {
            label: "A".into(),
            beats_per_hour: Some(28_800.0),
            measured_beats_per_hour: Some(28_801.7),
            rate_s_per_d: Some(Measured::new(5.1, 0.04)),
            rate_sd_with_clock_s_per_d: Some(1.7),
            amplitude_deg: Some(Measured::new(284.2, 0.4)),
            lift_angle_deg: Some(52.0),
            beat_error_ms: Some(Measured::new(0.1, 0.01)),
            beats_used: 230,
            beats_expected: 240,
            signal_to_noise_db: Some(24.0),
            repeats: None,
        }],
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: drawn.words(3),
    });
    create_all(&store, readings.collect()).await;
    let photos = (0..PHOTOS).map(|n| Photo {
        job: jobs[n % JOBS],
        media,
        caption: drawn.words(4),
        width_px: 4_000,
        height_px: 3_000,
        taken: at(n).at,
    });
    create_all(&store, photos.collect()).await;
    store.close().await;
}

/// Its folder.
pub(crate) fn made(runtime: &Runtime) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(MADE);
    if !folder.exists() {
        let growing = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        eprintln!("making the workshop");
        runtime.block_on(make(growing.path()));
        std::fs::rename(growing.keep(), &folder).unwrap();
    }
    folder
}
