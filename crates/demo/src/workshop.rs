//! What the invented workshop keeps.

use crate::NotMade;
use crate::drawings;
use crate::sounds::{self, Swing};
use jobs::{
    Answer, ConditionEntry, ConditionOf, ConditionState, Currency, Estimate, EstimateLine, Job,
    JobId, Moment, Money, Owner, OwnerId, Part, PartState, Photo, Stage, Watch, WatchBalance,
};
use movements::Movement;
use quantities::{LiftAngle, Position};
use rebuild::Log;
use server::{Circumstances, Simulated, kept_reading, take_in_photo};
use std::collections::HashSet;
use std::path::Path;
use store::{By, Kept, Store};
use truth::VoiceFamily;

const HOUR_MS: i64 = 3_600_000;
const DAY_MS: i64 = 24 * HOUR_MS;
/// How long the recordings are, seconds.
const READING_S: f64 = 30.0;
/// How long the simulated watches among the sound devices run, seconds.
const LIVE_S: f64 = 300.0;
/// How much of its plan the watch that is half together has seen.
const SO_FAR: usize = 100;
const BENCH: &str = "bench";

pub(crate) struct Workshop<'a> {
    pub(crate) store: &'a Store,
    folder: &'a Path,
    now: Moment,
    done: &'a (dyn Fn() + Sync),
    seed: u64,
}

/// Pieces of work in [`fill`], each of which it says is done.
pub const PIECES: usize = 10;

/// Fills an empty store; gives the watches that can be listened to, whose sounds lie in a folder.
/// Calls `done` after each of [`PIECES`] pieces of work.
///
/// # Errors
/// [`NotMade`].
pub async fn fill(
    store: &Store,
    folder: &Path,
    done: &(dyn Fn() + Sync),
) -> Result<Vec<Simulated>, NotMade> {
    let mut shop = Workshop { store, folder, now: By::now(BENCH).at, done, seed: 11 };
    let two = shop.two_balances().await?;
    shop.everyday().await?;
    shop.pocket_watch().await?;
    shop.half_together().await?;
    shop.waiting_for_an_answer().await?;
    shop.handed_over().await?;
    crate::trial::half_way(&shop).await?;
    crate::final_tests::passed(&shop).await?;
    crate::final_tests::fogged(&shop).await?;
    shop.to_listen_to(&two)
}

fn swing(rate_s_per_d: f64, amplitude_deg: f64, beat_error_ms: f64, seed: u64) -> Swing {
    Swing {
        beats_per_hour: 28_800.0,
        rate_s_per_d,
        amplitude_deg,
        beat_error_ms,
        loudness: 0.5,
        voice: (VoiceFamily::Bright, seed),
        wheel: None,
    }
}

pub(crate) fn known(lift_angle_deg: f64, beats_per_hour: f64) -> WatchBalance {
    WatchBalance { lift_angle_deg: Some(lift_angle_deg), beats_per_hour: Some(beats_per_hour) }
}

impl Workshop<'_> {
    /// So many days (and hours) ago.
    pub(crate) fn ago(&self, days: i64, hours: i64) -> By {
        By::at(BENCH, Moment::from_ms(self.now.ms() - days * DAY_MS - hours * HOUR_MS))
    }

    pub(crate) async fn owner(
        &self,
        at: &By,
        name: &str,
        contact: &str,
    ) -> Result<OwnerId, NotMade> {
        let contact = vec![contact.to_owned()];
        let owner = Owner { name: name.into(), contact, notes: String::new() };
        Ok(self.store.create(at, owner).await?.id)
    }

    pub(crate) async fn job(
        &self,
        came: &By,
        watch: Watch,
        complaint: &str,
        moves: &[(Stage, &By)],
        finish: impl FnOnce(&mut Job),
    ) -> Result<Kept<Job>, NotMade> {
        let watch = self.store.create(came, watch).await?;
        let begun = Job::begun(watch.id, complaint, came.at);
        let mut kept = self.store.create(came, begun).await?;
        for (stage, at) in moves {
            let mut value = kept.value.clone();
            value.move_to(*stage, at.at);
            kept = self.changed(at, &kept, value).await?;
        }
        let mut value = kept.value.clone();
        finish(&mut value);
        let last = moves.last().map_or(came, |(_, at)| at);
        self.changed(last, &kept, value).await
    }

    async fn changed(&self, at: &By, kept: &Kept<Job>, value: Job) -> Result<Kept<Job>, NotMade> {
        Ok(self.store.change(at, kept.id, kept.version, value).await?)
    }

    fn in_days(&self, days: i64) -> Option<jiff::civil::Date> {
        let at = jiff::Timestamp::from_millisecond(self.now.ms() + days * DAY_MS).ok()?;
        at.to_string().get(..10)?.parse().ok()
    }

    async fn reading(
        &mut self,
        at: &By,
        job: JobId,
        swings: &[Swing],
        position: Position,
        (wind, note): (&str, &str),
    ) -> Result<(), NotMade> {
        self.seed += 1;
        let scenario = sounds::scenario(swings, READING_S, self.seed);
        let settings = beats::Settings {
            lift_angles: vec![LiftAngle::USUAL],
            balances: Some(swings.len()),
            ..beats::Settings::default()
        };
        let file = self.folder.join(format!("invented-{}.flac", self.seed));
        let (told, into) = (settings.clone(), file.clone());
        let heard = tokio::task::spawn_blocking(move || sounds::record(&scenario, told, &into))
            .await
            .map_err(|e| NotMade::Making(e.to_string()))??;
        let sound = self.store.put_media_file(&file).await?;
        // It is in the store now; what is left over goes with the folder.
        let _ = std::fs::remove_file(&file);
        let circumstances = Circumstances {
            job,
            position: Some(position),
            wind: wind.into(),
            note: note.into(),
            taken: at.at,
            device: "simulated pickup".into(),
            lost_samples: 0,
            remarks: Vec::new(),
            sound: Some(sound),
        };
        let reading = kept_reading(&heard, &settings, circumstances);
        self.store.create(at, reading).await?;
        (self.done)();
        Ok(())
    }

    async fn photo(&self, at: &By, job: JobId, seed: u32, caption: &str) -> Result<(), NotMade> {
        let taken = tokio::task::spawn_blocking(move || take_in_photo(&drawings::movement(seed)))
            .await
            .map_err(|e| NotMade::Making(e.to_string()))?
            .map_err(NotMade::Making)?;
        let media = self.store.put_media(taken.jpeg.into()).await?;
        let (width_px, height_px) = (taken.width_px, taken.height_px);
        let caption = caption.to_owned();
        let photo = Photo { job, media, caption, width_px, height_px, taken: at.at };
        self.store.create(at, photo).await?;
        Ok(())
    }

    async fn part(
        &self,
        at: &By,
        job: JobId,
        what: &str,
        (state, cents): (PartState, i64),
    ) -> Result<(), NotMade> {
        let cost = Money { minor_units: cents, currency: euro()? };
        let supplier = "spare parts by post".into();
        let part = Part { job, what: what.into(), quantity: 1, supplier, state, cost: Some(cost) };
        self.store.create(at, part).await?;
        Ok(())
    }

    async fn estimate(
        &self,
        at: &By,
        job: JobId,
        lines: &[(&str, i64)],
        answer: Answer,
    ) -> Result<(), NotMade> {
        let line = |(what, cents): &(&str, i64)| EstimateLine {
            what: (*what).into(),
            minor_units: *cents,
        };
        let estimate = Estimate {
            job,
            currency: euro()?,
            lines: lines.iter().map(line).collect(),
            answer,
            answered: (answer != Answer::NotAsked).then_some(at.at),
        };
        self.store.create(at, estimate).await?;
        Ok(())
    }

    /// A wrist watch with two balances, half way through being regulated.
    async fn two_balances(&mut self) -> Result<Vec<Swing>, NotMade> {
        let came = self.ago(9, 2);
        let owner = self.owner(&came, "Ilse Varga", "ilse.varga@example.org").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Wrist watch with two balances, steel, grey dial".into(),
            calibre: "unmarked, 34 mm, two trains".into(),
            serial_numbers: vec!["0417 (case back)".into()],
            balances: vec![known(52.0, 28_800.0), known(52.0, 28_800.0)],
            target_s_per_d: Some(2.0),
            movement: include_str!("two_trains.toml").into(),
            notes: "Seconds hand hangs on the left train, minute hand on the right.".into(),
        };
        let (estimated, apart, rebuilt, regulating) =
            (self.ago(8, 3), self.ago(6, 4), self.ago(2, 5), self.ago(1, 1));
        let moves = [
            (Stage::Estimate, &estimated),
            (Stage::TakeDown, &apart),
            (Stage::CleanAndInspect, &self.ago(5, 0)),
            (Stage::Rebuild, &rebuilt),
            (Stage::Regulate, &regulating),
        ];
        let due = self.in_days(4);
        let complaint = "Seconds and minutes drift apart within a week.";
        let job = self
            .job(&came, watch, complaint, &moves, |job| {
                job.due = due;
                job.notes = "Left barrel wound a little stiff before cleaning.".into();
                job.condition = vec![
                    found(ConditionOf::Crystal, ConditionState::Good, ""),
                    found(ConditionOf::Crown, ConditionState::Worn, "thread dry"),
                    found(ConditionOf::RunsOnArrival, ConditionState::Good, "both balances"),
                ];
            })
            .await?;
        let answered = self.ago(7, 1);
        let lines = [("Service, two trains", 38_000), ("Gaskets", 2_400)];
        self.estimate(&answered, job.id, &lines, Answer::Yes).await?;
        self.part(&answered, job.id, "crown gasket", (PartState::Fitted, 900)).await?;
        self.part(&answered, job.id, "case back gasket", (PartState::Arrived, 1_500)).await?;
        self.photo(&apart, job.id, 1, "Train side before the bridges came off").await?;
        self.photo(&apart, job.id, 2, "Left fork and escape wheel").await?;
        let twin = |rate: f64, amplitude: f64, error: f64, loudness: f64, seed: u64| Swing {
            loudness,
            ..swing(rate, amplitude, error, seed)
        };
        let before = [twin(11.4, 238.0, 0.9, 0.5, 4), twin(-7.2, 221.0, 0.4, 0.32, 9)];
        self.reading(&came, job.id, &before, Position::CH, ("as it came", "before")).await?;
        self.reading(&came, job.id, &before, Position::H6, ("as it came", "before")).await?;
        // Something was left in the right escape wheel of 20 teeth: it turns in 40 beats.
        let right = Swing { wheel: Some((0.25, 5.0)), ..twin(-3.1, 271.0, 0.5, 0.32, 9) };
        let now = [twin(4.6, 284.0, 0.2, 0.5, 4), right];
        self.reading(&regulating, job.id, &now, Position::CH, ("full wind", "after the rebuild"))
            .await?;
        let movement = movements::twin(apart.at.ms());
        self.log(&rebuilt, job.id, &movement, usize::MAX).await?;
        Ok(now.to_vec())
    }

    /// An ordinary wrist watch, in cleaning.
    async fn everyday(&mut self) -> Result<(), NotMade> {
        let came = self.ago(5, 6);
        let owner = self.owner(&came, "Tomas Berg", "+00 555 0142").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Automatic wrist watch, gold plated, date".into(),
            calibre: "11½ lignes, automatic".into(),
            balances: vec![known(50.0, 21_600.0)],
            ..Watch::default()
        };
        let apart = self.ago(1, 7);
        let moves = [(Stage::TakeDown, &apart), (Stage::CleanAndInspect, &self.ago(0, 20))];
        let due = self.in_days(-1);
        let job = self
            .job(&came, watch, "Loses five minutes a day since a fall.", &moves, |job| {
                job.due = due;
                job.condition = vec![
                    found(ConditionOf::Crystal, ConditionState::Damaged, "crack at 4"),
                    found(ConditionOf::Luminous, ConditionState::Worn, "old paint, bagged"),
                ];
            })
            .await?;
        self.photo(&apart, job.id, 3, "Balance staff, lower pivot bent").await?;
        self.part(&apart, job.id, "balance staff", (PartState::Ordered, 3_800)).await?;
        self.part(&apart, job.id, "crystal, 30.2 mm", (PartState::Ordered, 1_900)).await?;
        self.log(&apart, job.id, &movements::automatic(apart.at.ms()), 0).await?;
        let limping = Swing { beats_per_hour: 21_600.0, ..swing(-312.0, 172.0, 2.6, 14) };
        self.reading(&came, job.id, &[limping], Position::CH, ("full wind", "before")).await
    }

    /// A pocket watch that has just come in.
    async fn pocket_watch(&mut self) -> Result<(), NotMade> {
        let came = self.ago(0, 3);
        let owner = self.owner(&came, "Marit Oduya", "by letter").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Silver pocket watch, enamel dial, key wound".into(),
            balances: vec![known(45.0, 14_400.0)],
            ..Watch::default()
        };
        let job = self.job(&came, watch, "Stops when laid on its dial.", &[], |_| {}).await?;
        let slow = Swing {
            beats_per_hour: 14_400.0,
            voice: (VoiceFamily::Ringing, 5),
            ..swing(-41.0, 204.0, 1.4, 5)
        };
        self.reading(&came, job.id, &[slow], Position::CH, ("key, 6 turns", "")).await
    }

    /// A plain watch, taken down by its owner's wish to the last screw, and half together again.
    async fn half_together(&mut self) -> Result<(), NotMade> {
        let came = self.ago(7, 5);
        let owner = self.owner(&came, "Piet Okafor", "+00 555 0178").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Hand-wound wrist watch, steel, small seconds".into(),
            balances: vec![known(52.0, 18_000.0)],
            ..Watch::default()
        };
        let (apart, rebuilding) = (self.ago(3, 4), self.ago(0, 2));
        let moves = [
            (Stage::TakeDown, &apart),
            (Stage::CleanAndInspect, &self.ago(2, 6)),
            (Stage::Rebuild, &rebuilding),
        ];
        let due = self.in_days(2);
        let complaint = "Runs for half a day only.";
        let job = self.job(&came, watch, complaint, &moves, |job| job.due = due).await?;
        self.photo(&apart, job.id, 5, "Before the train bridge came off").await?;
        let movement = movements::hand_wound(apart.at.ms());
        self.log(&rebuilding, job.id, &movement, SO_FAR).await
    }

    /// The log of a movement that was taken down, with as many actions of its plan followed.
    async fn log(
        &self,
        at: &By,
        job: JobId,
        movement: &Movement,
        actions: usize,
    ) -> Result<(), NotMade> {
        let (vocabulary, rules) = trade::in_force(trade::Sheet::default(), &HashSet::new());
        let together = movement.rebuild(&rules, &vocabulary, actions, at.at.ms());
        let mut log = Log::default();
        let mut entries = Vec::new();
        for entry in movement.take_down().iter().chain(&together) {
            let kept = server::to_keep(entry, log.state());
            entries.push(kept.map_err(|e| NotMade::Making(e.to_string()))?);
            log.add(entry);
        }
        self.store.append_entries(at, job, &entries).await?;
        Ok(())
    }

    /// One whose owner has not answered yet.
    async fn waiting_for_an_answer(&mut self) -> Result<(), NotMade> {
        let came = self.ago(12, 0);
        let owner = self.owner(&came, "Yara Lindqvist", "yara@example.net").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Chronograph, steel, black dial".into(),
            calibre: "column wheel, 30 minutes".into(),
            ..Watch::default()
        };
        let asked = self.ago(10, 2);
        let due = self.in_days(20);
        let job = self
            .job(
                &came,
                watch,
                "The minute counter jumps late.",
                &[(Stage::Estimate, &asked)],
                |j| {
                    j.due = due;
                },
            )
            .await?;
        let lines = [("Service with chronograph", 52_000), ("Minute counter, new finger", 4_500)];
        self.estimate(&asked, job.id, &lines, Answer::NotAsked).await
    }

    /// One that went back to its owner.
    async fn handed_over(&mut self) -> Result<(), NotMade> {
        let came = self.ago(40, 0);
        let owner = self.owner(&came, "Pavel Anders", "+00 555 0178").await?;
        let watch = Watch {
            owner: Some(owner),
            description: "Small hand-wound wrist watch, rose gold".into(),
            balances: vec![known(52.0, 28_800.0)],
            ..Watch::default()
        };
        let (done, back) = (self.ago(22, 0), self.ago(20, 0));
        let moves = [(Stage::Rebuild, &self.ago(30, 0)), (Stage::FinalTests, &done)];
        let handed = back.at;
        let job = self
            .job(&came, watch, "Runs down over night.", &moves, |job| job.hand_over(handed))
            .await?;
        let good = swing(2.8, 291.0, 0.1, 21);
        self.reading(
            &came,
            job.id,
            &[swing(18.0, 231.0, 0.7, 21)],
            Position::CH,
            ("full wind", "before"),
        )
        .await?;
        self.reading(&done, job.id, &[good], Position::CH, ("full wind", "after")).await?;
        let hanging = swing(0.9, 268.0, 0.1, 21);
        self.reading(&done, job.id, &[hanging], Position::H12, ("full wind", "after")).await
    }

    /// Simulated watches among the sound devices.
    fn to_listen_to(&self, two: &[Swing]) -> Result<Vec<Simulated>, NotMade> {
        let one = [swing(3.4, 281.0, 0.2, 33)];
        let mut simulated = Vec::new();
        for (name, swings, seed) in
            [("Two balances, simulated", two, 91), ("One balance, simulated", &one[..], 92)]
        {
            let file = self.folder.join(format!("live-{seed}.flac"));
            sounds::play(&sounds::scenario(swings, LIVE_S, seed), &file)?;
            simulated.push(Simulated { name: name.into(), file });
            (self.done)();
        }
        Ok(simulated)
    }
}

fn found(of: ConditionOf, state: ConditionState, note: &str) -> ConditionEntry {
    ConditionEntry { of, state, note: note.into() }
}

fn euro() -> Result<Currency, NotMade> {
    Currency::from_letters("EUR").map_err(|e| NotMade::Making(e.to_string()))
}
