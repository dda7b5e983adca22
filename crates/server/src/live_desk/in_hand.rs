//! A reading while it is taken, and what becomes of it. What is known of it lies in a file beside
//! its sound until both are in the store: where the program was killed meanwhile, what was heard up
//! to then is taken in when it starts again.

use crate::convert::{Circumstances, kept_reading, settings_of, told};
use crate::desk::{Asker, Desk};
use crate::failure::Failure;
use crate::rehearing::hear_unless;
use crate::whole_file;
use jobs::{AnyId, JobId, Kind, MediaHash, Moment, ReadingId, ReadingWarning};
use live::{NotTaken, Remark, Taken, Taking, Wish};
use quantities::{Measured, Position};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use store::By;
use uuid::Uuid;

/// A reading while it is taken.
#[derive(Debug, Clone)]
pub(crate) struct InHand {
    /// Under which it will be kept. It is chosen beforehand, so that a reading that is sent again,
    /// because nobody heard whether it had been taken in, counts once.
    pub(crate) id: ReadingId,
    pub(crate) job: JobId,
    pub(crate) position: Option<Position>,
    pub(crate) wind: String,
    pub(crate) note: String,
    pub(crate) seconds: Option<f64>,
    pub(crate) until_sd_s_per_d: Option<f64>,
    pub(crate) device: String,
    pub(crate) began: Moment,
    pub(crate) asker: String,
    /// What the engine was told when it began.
    pub(crate) settings: beats::Settings,
    /// Its sound; the note lies beside it.
    pub(crate) sound: PathBuf,
}

/// Why a reading was not kept, as a sentence.
pub(super) enum NotKept {
    /// It may be, later.
    Yet(String),
    /// It will not be.
    ForGood(String),
}

/// What is noted of it, as JSON.
#[derive(Serialize, Deserialize)]
struct Note {
    job: Uuid,
    position: Option<String>,
    wind: String,
    note: String,
    device: String,
    began_ms: i64,
    asker: String,
    /// Whether it has ended as it should, and only could not be kept.
    #[serde(default)]
    complete: bool,
    lift_angles_deg: Vec<f64>,
    beats_per_hour: Vec<f64>,
    balances: Option<u32>,
    clock_error_and_sd_ppm: Option<(f64, f64)>,
}

/// What a FLAC file has before its first sample: a mark of 4 bytes, and 4 + 34 that say what is in it
/// (RFC 9639, 6 and 8.2). A program that is killed right after the beginning leaves no more.
const FLAC_HEAD_BYTES: u64 = 42;

/// How the name of a sound begins that is no reading.
const OF_QUARTZ: &str = "quartz-";

/// The database has so long to take a reading in, once its sound is kept; then that is tried again.
const ENTERED_WITHIN: Duration = Duration::from_secs(30);

/// What could not be kept is tried again so often and when the database answers again, if nothing has to
/// be heard anew for it.
pub(super) const TRY_AGAIN: Duration = Duration::from_secs(30);
/// What has to be heard anew for that is, in the end, tried no more often than this.
const MOST_PAUSE: Duration = Duration::from_secs(600);

/// Where the sound of a reading goes.
fn sound_of(folder: &Path, id: ReadingId) -> PathBuf {
    folder.join(format!("{id}.flac"))
}

/// Where the sound of a quartz movement goes.
pub(super) fn new_sound_of_quartz(folder: &Path) -> PathBuf {
    folder.join(format!("{OF_QUARTZ}{}.flac", Uuid::now_v7()))
}

impl InHand {
    pub(super) fn wish(&self) -> Wish {
        Wish {
            seconds: self.seconds,
            until_sd_s_per_d: self.until_sd_s_per_d,
            sound: Some(self.sound.clone()),
        }
    }

    fn note_file(&self) -> PathBuf {
        self.sound.with_extension("json")
    }

    /// Notes what is known of it beside its sound.
    pub(super) fn note(&self, complete: bool) -> Result<(), Failure> {
        let told = told(&self.settings);
        let note = Note {
            job: self.job.uuid(),
            position: self.position.map(|p| p.symbol().to_owned()),
            wind: self.wind.clone(),
            note: self.note.clone(),
            device: self.device.clone(),
            began_ms: self.began.ms(),
            asker: self.asker.clone(),
            complete,
            lift_angles_deg: told.lift_angles_deg,
            beats_per_hour: told.beats_per_hour,
            balances: told.balances,
            clock_error_and_sd_ppm: told.clock_error_ppm.map(|c| (c.value, c.sd)),
        };
        let write = || -> std::io::Result<()> {
            whole_file::write(&self.note_file(), &serde_json::to_vec(&note)?)
        };
        write().map_err(|e| store::Error::from(e).into())
    }

    /// Removes sound and note, in this order: a program that is killed in between leaves a note
    /// without sound, which is forgotten at the next start, and no sound that nobody knows.
    pub(super) fn forget(&self) {
        for file in [self.sound.clone(), self.note_file()] {
            // Where it is not there any more, so much the better.
            let _ = std::fs::remove_file(file);
        }
    }

    /// Keeps what came of it: its id, none where it was cancelled.
    pub(super) async fn keep(
        &self,
        desk: &Desk,
        outcome: &Result<Arc<Taken>, NotTaken>,
    ) -> Result<Option<ReadingId>, NotKept> {
        match outcome {
            Ok(taken) => {
                // Where even that cannot be noted, and the program ends before it is in the store, it is
                // taken in as one that was cut short.
                let _ = self.note(true);
                let (heard, told) = (&taken.reading, &taken.settings);
                let of_the_sound = (taken.lost_frames, taken.remarks());
                let kept = self.store(desk, heard, told, of_the_sound).await;
                kept.map(|()| Some(self.id)).map_err(|failure| self.lies_aside(desk, &failure))
            }
            Err(NotTaken::Cancelled) => {
                self.forget();
                Ok(None)
            }
            // Note and sound stay: they are taken in when the program starts again.
            Err(NotTaken::Failed) => Err(NotKept::ForGood(NotTaken::Failed.to_string())),
            Err(error) => {
                self.forget();
                Err(NotKept::ForGood(error.to_string()))
            }
        }
    }

    fn lies_aside(&self, desk: &Desk, failure: &store::Error) -> NotKept {
        use store::Error::{Invalid, NotFound, Taken};
        if matches!(failure, NotFound(_) | Taken { .. } | Invalid(_)) {
            // No time mends that: its job was removed for good, or something else has its place.
            desk.live.aside.take(self.id);
            return NotKept::ForGood(format!(
                "The reading cannot be kept: {failure} Its sound lies in {} and is left there.",
                self.sound.display()
            ));
        }
        let why = match failure {
            // What else is said of it is not so of a reading: it is kept here.
            store::Error::FullDisk => "The disk is full: make room.".into(),
            other => other.to_string(),
        };
        desk.live.aside.put(self.id, why.clone());
        NotKept::Yet(format!(
            "The reading could not be kept yet: {why} It lies in {} and is safe there; it is \
             entered by itself as soon as that can be done, also after the program was started again.",
            self.sound.display()
        ))
    }

    fn circumstances(
        &self,
        lost_samples: u64,
        remarks: Vec<Remark>,
        sound: Option<MediaHash>,
    ) -> Circumstances {
        let warning = |(code, message): Remark| ReadingWarning { code: code.into(), message };
        Circumstances {
            job: self.job,
            position: self.position,
            wind: self.wind.clone(),
            note: self.note.clone(),
            taken: self.began,
            device: self.device.clone(),
            lost_samples,
            remarks: remarks.into_iter().map(warning).collect(),
            sound,
        }
    }

    /// Whether it is in the store already: the program may have been killed after it was kept and
    /// before its note was gone.
    async fn is_kept(&self, desk: &Desk) -> Result<bool, store::Error> {
        match desk.store.get(self.id).await {
            Ok(_) => Ok(true),
            Err(store::Error::NotFound(_)) => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// That its job is there and not in the bin: a cheap look, before what takes long.
    async fn job_takes_it(&self, desk: &Desk) -> Result<(), store::Error> {
        match desk.store.get(self.job).await?.deleted {
            Some(_) => Err(store::Error::InBin(AnyId { kind: Kind::Job, uuid: self.job.uuid() })),
            None => Ok(()),
        }
    }

    /// Puts it into the store; then nothing of it lies here any more.
    async fn store(
        &self,
        desk: &Desk,
        heard: &beats::Reading,
        settings: &beats::Settings,
        (lost_samples, remarks): (u64, Vec<Remark>),
    ) -> Result<(), store::Error> {
        self.job_takes_it(desk).await?;
        // Where the sound could not be kept, the reading is kept all the same.
        let sound = match tokio::fs::metadata(&self.sound).await {
            Ok(file) if file.len() > 0 => Some(desk.store.put_media_file(&self.sound).await?),
            _ => None,
        };
        let circumstances = self.circumstances(lost_samples, remarks, sound);
        let reading = kept_reading(heard, settings, circumstances);
        let by = By::now(&self.asker);
        // A line that went dead in the midst of it says nothing for a quarter of an hour.
        let entered =
            tokio::time::timeout(ENTERED_WITHIN, desk.store.create_once(&by, self.id, reading));
        match entered.await {
            Ok(Ok(_)) => {}
            // It was kept, and has been removed for good since.
            Ok(Err(store::Error::NotFound(what))) if what == Kind::Reading.words() => {}
            Ok(Err(error)) => return Err(error),
            Err(_) => {
                let why = format!("no answer within {} s", ENTERED_WITHIN.as_secs());
                return Err(store::Error::Unreachable(why));
            }
        }
        self.forget();
        desk.live.aside.take(self.id);
        Ok(())
    }
}

/// Waits until it is worth trying again: for so long, or until the database answers again. False: the
/// program ends, and what lies aside is taken in at the next start.
pub(super) async fn once_more(desk: &Desk, pause: Duration) -> bool {
    let (mut answers, mut ending) = (desk.store.answers(), desk.ending.clone());
    let answers_again = async move {
        let gone = answers.wait_for(|answers| !*answers).await.is_err();
        if gone || answers.wait_for(|answers| *answers).await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    tokio::select! {
        () = tokio::time::sleep(pause) => true,
        () = answers_again => true,
        _ = ending.wait_for(|ending| *ending) => false,
    }
}

/// Waits until a reading has ended.
pub(super) async fn outcome(taking: Arc<Taking>) -> Result<Arc<Taken>, NotTaken> {
    loop {
        let waiting = taking.clone();
        let wait = move || waiting.wait(Duration::from_secs(1));
        match tokio::task::spawn_blocking(wait).await {
            Ok(Some(outcome)) => return outcome,
            Ok(None) => {}
            Err(_) => return Err(NotTaken::Failed),
        }
    }
}

/// Removes what a program that was killed has left and nobody wants: notes that were not whole yet,
/// and the sound of a quartz movement, which says nothing without its end. To be called before
/// anything new is taken.
pub(crate) fn clear_away(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.filter_map(Result::ok) {
        let name = entry.file_name();
        let is = |beginning: &str| name.to_str().is_some_and(|name| name.starts_with(beginning));
        if is(whole_file::UNFINISHED) || is(OF_QUARTZ) {
            // Where it cannot be removed it is in nobody's way.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// The notes of readings that were being taken, or lay aside, when the program ended. To be called
/// before anything new is taken.
pub(crate) fn left_in_hand(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.filter_map(Result::ok).map(|entry| entry.path());
    paths.filter(|path| path.extension().is_some_and(|e| e == "json")).collect()
}

/// Takes in what was left, and tries again for as long as some of it cannot be taken in yet.
pub(crate) async fn take_in_what_was_left(desk: &Desk, mut left: Vec<PathBuf>) {
    let mut pause = TRY_AGAIN;
    loop {
        let mut again = Vec::new();
        for path in left {
            if *desk.ending.borrow() {
                return;
            }
            match take_in(desk, &path).await {
                Ok(id) => tracing::info!("a reading that was left was taken in as {id}"),
                Err(NotKept::ForGood(why)) => {
                    tracing::warn!("{}: not taken in: {why}", path.display());
                    // It may have waited until now.
                    if let Ok(id) = id_of(&path) {
                        desk.live.aside.take(id);
                    }
                }
                Err(NotKept::Yet(why)) => {
                    tracing::warn!("{why}");
                    again.push(path);
                }
            }
        }
        if again.is_empty() || !once_more(desk, pause).await {
            return;
        }
        pause = (2 * pause).min(MOST_PAUSE);
        left = again;
    }
}

fn id_of(note_file: &Path) -> Result<ReadingId, String> {
    let stem = note_file.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
    stem.parse().map_err(|_| "its name is none of a reading.".to_owned())
}

fn read_note(file: &Path) -> Result<(ReadingId, Note), String> {
    let id = id_of(file)?;
    let text = std::fs::read_to_string(file).map_err(|e| e.to_string())?;
    Ok((id, serde_json::from_str(&text).map_err(|e| e.to_string())?))
}

async fn take_in(desk: &Desk, note_file: &Path) -> Result<ReadingId, NotKept> {
    let (id, note) = read_note(note_file).map_err(NotKept::ForGood)?;
    let settings = settings_of(&jobs::ReadingSettings {
        lift_angles_deg: note.lift_angles_deg,
        beats_per_hour: note.beats_per_hour,
        balances: note.balances,
        clock_error_ppm: note.clock_error_and_sd_ppm.map(|(error, sd)| Measured::new(error, sd)),
    })
    .map_err(|failure| NotKept::ForGood(failure.sentence()))?;
    let symbol = note.position.as_deref();
    let cut_short = if note.complete { "" } else { "Cut short when the program ended." };
    let in_hand = InHand {
        id,
        job: jobs::Id::from_uuid(note.job),
        position: symbol.and_then(Position::of_symbol),
        wind: note.wind,
        note: format!("{} {cut_short}", note.note).trim().to_owned(),
        seconds: None,
        until_sd_s_per_d: None,
        device: note.device,
        began: Moment::from_ms(note.began_ms),
        asker: note.asker,
        settings: settings.clone(),
        sound: sound_of(&desk.in_hand, id),
    };
    // Without any sound there is nothing to take in, now or later. Whatever else is wrong may pass, or
    // wants a person: nothing is thrown away.
    if std::fs::metadata(&in_hand.sound).map_or(0, |file| file.len()) <= FLAC_HEAD_BYTES {
        in_hand.forget();
        return Err(NotKept::ForGood("there is no sound.".into()));
    }
    if in_hand.is_kept(desk).await.map_err(|failure| in_hand.lies_aside(desk, &failure))? {
        in_hand.forget();
        desk.live.aside.take(id);
        return Ok(id);
    }
    let takes_it = in_hand.job_takes_it(desk).await;
    takes_it.map_err(|failure| in_hand.lies_aside(desk, &failure))?;
    // The sound first: hearing hours of it takes a while.
    let put = desk.store.put_media_file(&in_hand.sound).await;
    put.map_err(|failure| in_hand.lies_aside(desk, &failure))?;
    let (sound, told, ending) = (in_hand.sound.clone(), settings.clone(), desk.ending.clone());
    let heard = tokio::task::spawn_blocking(move || hear_unless(&sound, told, &ending)).await;
    let heard = heard.map_err(|e| NotKept::ForGood(e.to_string()))?;
    let heard = heard.map_err(|failure| NotKept::ForGood(failure.sentence()))?;
    let at_next_start = "the program ends; it is taken in at the next start.";
    let heard = heard.ok_or_else(|| NotKept::ForGood(at_next_start.into()))?;
    let kept = in_hand.store(desk, &heard, &settings, (0, Vec::new())).await;
    kept.map(|()| id).map_err(|failure| in_hand.lies_aside(desk, &failure))
}

/// What a page asks for, as a reading to be taken.
pub(crate) async fn asked_for(
    desk: &Desk,
    asker: &Asker,
    watch: &super::LiveWatch,
    wish: crate::wire::LiveReadingWish,
) -> Result<InHand, Failure> {
    let job: JobId = crate::convert::id(&wish.job_id)?;
    // There before the first sound is heard, so that what is taken can be kept. Where the database
    // cannot be asked the reading is taken all the same: it is the watch that does not wait.
    let there = super::unless_away(desk.store.get(job)).await?;
    if there.is_some_and(|job| job.deleted.is_some()) {
        return Err(Failure::NotNow("The job is in the bin: bring it back first.".into()));
    }
    let range = |what: &str, value: Option<f64>, least: f64, most: f64| match value {
        Some(v) if !(least..=most).contains(&v) => {
            Err(Failure::Invalid(format!("{what}: {v} is outside {least} to {most}.")))
        }
        other => Ok(other),
    };
    let seconds = range("Length in seconds", wish.seconds, 2.0, 864_000.0)?;
    let until = range("Uncertainty in s/d", wish.until_sd_s_per_d, 1e-4, 100.0)?;
    let state = watch.state();
    let id = ReadingId::from_uuid(Uuid::now_v7());
    let in_hand = InHand {
        id,
        job,
        position: wish.position.map(crate::convert::position_from),
        wind: wish.wind.unwrap_or_default(),
        note: wish.note.unwrap_or_default(),
        seconds,
        until_sd_s_per_d: until,
        device: watch.device.clone(),
        began: store::now(),
        asker: asker.name.clone(),
        settings: super::engine_settings(desk, &watch.device, &state.settings).await?,
        sound: sound_of(&desk.in_hand, id),
    };
    // What may not be kept is said now, not when the sound has been taken.
    let nothing = beats::Reading {
        duration_s: 0.0,
        balances: Vec::new(),
        relation: None,
        warnings: Vec::new(),
    };
    let empty = in_hand.circumstances(0, Vec::new(), None);
    jobs::Record::check(&kept_reading(&nothing, &in_hand.settings, empty))?;
    Ok(in_hand)
}
