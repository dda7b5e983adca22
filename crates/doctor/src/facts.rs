//! What is known of a machine and of what is kept on it. What could not be found out is `None`.

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    /// Version of the program.
    pub version: String,
    /// Milliseconds since 1970, now.
    pub now_ms: i64,
    /// The folder of what is kept.
    pub folder: FolderFact,
    /// The place of what is temporary.
    pub temporary: FolderFact,
    /// Whether both lie on one disk.
    pub one_disk: Option<bool>,
    /// The database.
    pub database: DatabaseFact,
    /// Sounds and photos.
    pub media: MediaFact,
    /// The page.
    pub page: PageFact,
    /// The port at which it is, or is to be.
    pub port: (u16, PortFact),
    /// What sound can be recorded from.
    pub sound: SoundFacts,
    /// The machine.
    pub system: System,
}

/// A folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FolderFact {
    /// Where it is, for people.
    pub path: String,
    /// What there is of it.
    pub state: FolderState,
    /// Bytes that may still be written there.
    pub free_bytes: Option<u64>,
    /// On what it lies.
    pub file_system: Option<FileSystem>,
}

/// What there is of a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FolderState {
    /// It is there, and may be written.
    Writable,
    /// It is there, and may not be written.
    ReadOnly,
    /// It is not there, but can be made.
    Missing,
    /// It is not there, and what it would lie in may not be written.
    CannotBeMade,
    /// Something else is there.
    NotAFolder,
    /// It may not be looked into.
    Shut(String),
}

/// What a folder lies on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileSystem {
    /// A disk of this machine.
    Local,
    /// A share of another machine, by its kind.
    Network(String),
    /// Memory: gone when the machine is switched off.
    Memory,
}

/// A database.
#[derive(Debug, Clone, PartialEq)]
pub struct DatabaseFact {
    /// Where it is, for people; without passwords.
    pub shown: String,
    /// Whether it is a file, not a server's.
    pub is_file: bool,
    /// On what the file lies.
    pub file_system: Option<FileSystem>,
    /// What there is of it.
    pub state: DatabaseState,
}

/// Why something cannot be opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// Another program holds it.
    Locked,
    /// It is not what was written.
    Damaged,
    /// Anything else.
    Other,
}

/// What there is of a database.
#[derive(Debug, Clone, PartialEq)]
pub enum DatabaseState {
    /// Nothing yet.
    Nothing,
    /// It cannot be opened: why, and the sentence of whoever tried.
    Unreadable(Trouble, String),
    /// It opens.
    There {
        /// The last step of the schema that it has taken.
        schema: String,
        /// How many steps it lacks.
        lacks: usize,
        /// A step that this program does not know.
        unknown: Option<String>,
        /// What it says of itself.
        damage: DamageFact,
        /// Bytes of the whole.
        bytes: u64,
        /// Bytes of its write-ahead log.
        log_bytes: Option<u64>,
        /// Records in it.
        records: u64,
        /// Backups of it.
        backups: Backups,
        /// Recorders' clocks in it.
        clocks: Vec<RecorderClock>,
    },
}

/// What a database says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DamageFact {
    /// It has no check of its own.
    NotAsked,
    /// All is well.
    None,
    /// What is wrong.
    Found(Vec<String>),
}

/// What is known of backups.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backups {
    /// None was made with this program.
    Never,
    /// The last was made then, milliseconds since 1970.
    Last(i64),
}

/// The clock of a recorder, as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct RecorderClock {
    /// The sound device.
    pub device: String,
    /// When, milliseconds since 1970.
    pub found_ms: i64,
}

/// Sounds and photos.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MediaFact {
    /// There is no folder of them, at this path.
    NoFolder(String),
    /// They could not be looked at: why.
    Unreadable(String),
    /// Nobody looked: there is no database that names any.
    NotLooked,
    /// What was found.
    Looked {
        /// How many are named by records.
        named: u64,
        /// How many of these are gone.
        gone: u64,
        /// Of how many the checksum was taken.
        summed: u64,
        /// Of how many it was another.
        changed: u64,
    },
}

/// The page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PageFact {
    /// It came over a port of this machine, so many bytes.
    Answers(usize),
    /// This program was built without it.
    NotBuiltIn,
    /// It did not come: why.
    Silent(String),
}

/// A port of this machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PortFact {
    /// Nobody has it.
    Free,
    /// This program serves there, in this version.
    Ours(String),
    /// Somebody else has it: who, where that can be seen.
    Taken(Option<String>),
    /// It cannot be opened: why.
    Shut(String),
}

/// What sound can be recorded from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SoundFacts {
    /// Whether the program was built to record.
    pub built_in: bool,
    /// Devices that open: name, and whether it is the usual one.
    pub devices: Vec<(String, bool)>,
    /// Recording devices that the system's kernel has.
    pub captures: Vec<Capture>,
    /// Whether this user is in the group that may record; nothing where there is no such group.
    pub in_group: Option<bool>,
    /// The sound system that listens for programs of this user, where there is one.
    pub server: Option<String>,
}

/// A recording device of the kernel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Capture {
    /// Its name.
    pub name: String,
    /// Whether this user may open it.
    pub is_allowed: bool,
    /// Who records from it now, where somebody does.
    pub used_by: Option<String>,
}

/// The machine.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct System {
    /// Whether time servers keep its clock right.
    pub is_synchronised: Option<bool>,
    /// Its time zone.
    pub time_zone: Option<String>,
    /// Which of the typefaces that the program needs it does not hold; nobody needs to install any.
    pub missing_fonts: Vec<String>,
    /// Bytes of memory that are free for programs.
    pub free_memory_bytes: Option<u64>,
    /// How many files the program may have open at once.
    pub open_files: Option<u64>,
}
