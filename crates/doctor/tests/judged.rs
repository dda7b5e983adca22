//! Every kind of trouble is put before the doctor, and what to do about it must come out.

use doctor::{
    Backups, Capture, DamageFact, DatabaseFact, DatabaseState, Facts, FileSystem, FolderFact,
    FolderState, Line, MediaFact, PageFact, PortFact, RecorderClock, SoundFacts, State, System,
    Trouble, lines, worst,
};

const DAY_MS: i64 = 86_400_000;
const NOW_MS: i64 = 20_000 * DAY_MS;

fn folder(path: &str) -> FolderFact {
    FolderFact {
        path: path.into(),
        state: FolderState::Writable,
        free_bytes: Some(80_000_000_000),
        file_system: Some(FileSystem::Local),
    }
}

fn there() -> DatabaseState {
    DatabaseState::There {
        schema: "0007_history_of_a_job".into(),
        lacks: 0,
        unknown: None,
        damage: DamageFact::None,
        bytes: 4_000_000,
        log_bytes: Some(10_000),
        records: 120,
        backups: Backups::Last(NOW_MS - DAY_MS),
        clocks: vec![RecorderClock { device: "pickup".into(), found_ms: NOW_MS - 30 * DAY_MS }],
    }
}

/// A bench on which all is well.
fn well() -> Facts {
    Facts {
        version: "0.1.0".into(),
        now_ms: NOW_MS,
        folder: folder("/bench"),
        temporary: folder("/tmp"),
        one_disk: Some(true),
        database: DatabaseFact {
            shown: "/bench/endshake.sqlite".into(),
            is_file: true,
            file_system: Some(FileSystem::Local),
            state: there(),
        },
        media: MediaFact::Looked { named: 90, gone: 0, summed: 20, changed: 0 },
        page: PageFact::Answers(9_000),
        port: (7_411, PortFact::Free),
        sound: SoundFacts {
            built_in: true,
            devices: vec![("pickup".into(), true)],
            captures: Vec::new(),
            in_group: Some(true),
            server: Some("PipeWire".into()),
        },
        system: System {
            is_synchronised: Some(true),
            time_zone: Some("Europe/Berlin".into()),
            missing_fonts: Vec::new(),
            free_memory_bytes: Some(3_000_000_000),
            open_files: Some(1_024),
        },
    }
}

fn said(facts: &Facts, code: &str) -> Line {
    let all = lines(facts);
    let found = all.iter().find(|line| line.code == code);
    found.unwrap_or_else(|| panic!("nothing of {code}: {all:?}")).clone()
}

/// With the database opened like this.
fn with_database(change: impl FnOnce(&mut DatabaseState)) -> Facts {
    let mut facts = well();
    change(&mut facts.database.state);
    facts
}

#[test]
fn a_bench_on_which_all_is_well() {
    let all = lines(&well());
    assert_eq!(worst(&all), State::Ok, "{all:?}");
    let mut codes: Vec<_> = all.iter().map(|line| line.code).collect();
    codes.sort_unstable();
    let mut once = codes.clone();
    once.dedup();
    assert_eq!(codes, once, "each thing is told once");
    assert!(all.iter().all(|line| line.sentence.ends_with('.')), "{all:?}");
}

type Trial = (&'static str, State, &'static str, Facts);

#[test]
fn each_trouble_is_told_with_what_to_do() {
    let sound = |sound: SoundFacts| Facts { sound, ..well() };
    let nothing = SoundFacts { built_in: true, ..SoundFacts::default() };
    let capture = |is_allowed, used_by: Option<&str>| Capture {
        name: "Pickup".into(),
        is_allowed,
        used_by: used_by.map(str::to_owned),
    };
    let folder_is = |state| Facts { folder: FolderFact { state, ..folder("/bench") }, ..well() };
    let free = |bytes| Facts {
        folder: FolderFact { free_bytes: Some(bytes), ..folder("/bench") },
        ..well()
    };
    let unreadable =
        |trouble, why: &str| with_database(|d| *d = DatabaseState::Unreadable(trouble, why.into()));
    let system = |change: fn(&mut System)| {
        let mut facts = well();
        change(&mut facts.system);
        facts
    };
    let trials: Vec<Trial> = vec![
        ("folder", State::Broken, "--data", folder_is(FolderState::ReadOnly)),
        ("folder", State::Broken, "--data", folder_is(FolderState::CannotBeMade)),
        ("folder", State::Broken, "--data", folder_is(FolderState::NotAFolder)),
        ("folder", State::Broken, "right to", folder_is(FolderState::Shut("no".into()))),
        ("folder", State::Ok, "is made when", folder_is(FolderState::Missing)),
        ("space", State::Look, "350 MB", free(500_000_000)),
        ("space", State::Broken, "make room", free(50_000_000)),
        (
            "temporary",
            State::Broken,
            "TMPDIR",
            Facts {
                temporary: FolderFact { state: FolderState::ReadOnly, ..folder("/tmp") },
                ..well()
            },
        ),
        (
            "database",
            State::Broken,
            "go back to a backup",
            unreadable(Trouble::Damaged, "Run endshake check, and go back to a backup."),
        ),
        ("database", State::Look, "close that", unreadable(Trouble::Locked, "locked")),
        ("database", State::Broken, "PostgreSQL server", {
            let mut facts = well();
            facts.database.file_system = Some(FileSystem::Network("NFS".into()));
            facts
        }),
        (
            "schema",
            State::Broken,
            "use that version",
            with_database(|d| {
                if let DatabaseState::There { unknown, .. } = d {
                    *unknown = Some("0999_x".into())
                }
            }),
        ),
        (
            "schema",
            State::Look,
            "a copy is made beside it",
            with_database(|d| {
                if let DatabaseState::There { lacks, .. } = d {
                    *lacks = 2
                }
            }),
        ),
        ("schema", State::Look, "--upgrade", {
            let mut facts = with_database(|d| {
                if let DatabaseState::There { lacks, .. } = d {
                    *lacks = 2
                }
            });
            facts.database.is_file = false;
            facts
        }),
        (
            "integrity",
            State::Broken,
            "last backup",
            with_database(|d| {
                if let DatabaseState::There { damage, .. } = d {
                    *damage = DamageFact::Found(vec!["row 1".into()])
                }
            }),
        ),
        (
            "log",
            State::Look,
            "close every program",
            with_database(|d| {
                if let DatabaseState::There { log_bytes, .. } = d {
                    *log_bytes = Some(300_000_000)
                }
            }),
        ),
        (
            "backup",
            State::Look,
            "on another disk",
            with_database(|d| {
                if let DatabaseState::There { backups, .. } = d {
                    *backups = Backups::Never
                }
            }),
        ),
        (
            "backup",
            State::Look,
            "8 days ago",
            with_database(|d| {
                if let DatabaseState::There { backups, .. } = d {
                    *backups = Backups::Last(NOW_MS - 8 * DAY_MS)
                }
            }),
        ),
        (
            "media",
            State::Broken,
            "--media",
            Facts { media: MediaFact::NoFolder("/bench/media".into()), ..well() },
        ),
        (
            "media",
            State::Broken,
            "endshake check",
            Facts {
                media: MediaFact::Looked { named: 9, gone: 1, summed: 8, changed: 0 },
                ..well()
            },
        ),
        ("page", State::Broken, "build it again", Facts { page: PageFact::NotBuiltIn, ..well() }),
        (
            "page",
            State::Broken,
            "firewall",
            Facts { page: PageFact::Silent("refused".into()), ..well() },
        ),
        (
            "port",
            State::Broken,
            "“other (process 7)”",
            Facts { port: (7_411, PortFact::Taken(Some("other (process 7)".into()))), ..well() },
        ),
        (
            "port",
            State::Broken,
            "--port",
            Facts { port: (80, PortFact::Shut("denied".into())), ..well() },
        ),
        (
            "port",
            State::Ok,
            "open already",
            Facts { port: (7_411, PortFact::Ours("0.1.0".into())), ..well() },
        ),
        ("sound", State::Look, "plug in", sound(nothing.clone())),
        (
            "sound",
            State::Look,
            "group audio",
            sound(SoundFacts {
                captures: vec![capture(false, None)],
                in_group: Some(false),
                ..nothing.clone()
            }),
        ),
        (
            "sound",
            State::Look,
            "/dev/snd",
            sound(SoundFacts { captures: vec![capture(false, None)], ..nothing.clone() }),
        ),
        (
            "sound",
            State::Look,
            "Pickup by “recorder”",
            sound(SoundFacts {
                captures: vec![capture(true, Some("recorder"))],
                ..nothing.clone()
            }),
        ),
        (
            "sound",
            State::Look,
            "sound settings",
            sound(SoundFacts { captures: vec![capture(true, None)], ..nothing }),
        ),
        ("sound", State::Look, "built without", sound(SoundFacts::default())),
        (
            "clock",
            State::Look,
            "timedatectl set-ntp true",
            system(|s| s.is_synchronised = Some(false)),
        ),
        ("clock", State::Look, "quartz", system(|s| s.is_synchronised = None)),
        (
            "recorder_clocks",
            State::Look,
            "find one in Settings",
            with_database(|d| {
                if let DatabaseState::There { clocks, .. } = d {
                    clocks.clear()
                }
            }),
        ),
        (
            "recorder_clocks",
            State::Look,
            "anew",
            with_database(|d| {
                if let DatabaseState::There { clocks, .. } = d {
                    clocks[0].found_ms = NOW_MS - 400 * DAY_MS
                }
            }),
        ),
        ("time_zone", State::Look, "set-timezone", system(|s| s.time_zone = None)),
        (
            "fonts",
            State::Look,
            "Build it again",
            system(|s| s.missing_fonts = vec!["Inter".into()]),
        ),
        (
            "memory",
            State::Look,
            "close other programs",
            system(|s| s.free_memory_bytes = Some(100_000_000)),
        ),
        ("open_files", State::Look, "ulimit", system(|s| s.open_files = Some(64))),
    ];
    for (code, state, words, facts) in trials {
        let line = said(&facts, code);
        assert_eq!(line.state, state, "{line:?}");
        assert!(line.sentence.contains(words), "{words}: {line:?}");
        // Nothing else changes its mind because of it, but for what says that there is nothing to say.
        let others = lines(&facts).into_iter().filter(|other| other.code != code);
        let worse: Vec<_> = others.filter(|other| other.state == State::Broken).collect();
        assert!(worse.is_empty(), "{worse:?}");
    }
}
