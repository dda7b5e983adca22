//! All that is kept of a job and may stand on its papers.

use super::{MOST_PHOTOS, PhotoWish, Source, Wish, head, letterhead, size};
use crate::failure::Failure;
use crate::movement::OpenLog;
use crate::routes::{all, with_ids};
use handover::{Bench, Case, Drawings, Kind, Sections, Shot, Workshop, day_at, lacking};
use jiff::civil::Date;
use jobs::{
    Adjustment, Estimate, FinalTest, Job, JobId, Moment, Owner, Part, Photo, Reading, Watch,
};
use report::Document;
use store::Kept;

/// A job with all that hangs on it, as it was at one moment.
pub(crate) struct Gathered {
    workshop: Workshop,
    owner: Option<Owner>,
    watch: Watch,
    job: Job,
    today: Date,
    ahead_of_utc_min: i32,
    /// Oldest first.
    photos: Vec<Kept<Photo>>,
    parts: Vec<Part>,
    estimate: Option<Estimate>,
    readings: Vec<Kept<Reading>>,
    adjustments: Vec<Adjustment>,
    tests: Vec<FinalTest>,
    log: OpenLog,
}

/// What had to be made smaller or drawn before it could be printed.
#[derive(Default)]
pub(crate) struct Pictures {
    /// Photos, each with what is printed of it.
    pub(crate) photos: Vec<(Kept<Photo>, Vec<u8>)>,
    /// Drawings of readings.
    pub(crate) drawings: Drawings,
}

impl Gathered {
    pub(crate) async fn of(source: &Source<'_>, job_id: JobId) -> Result<Self, Failure> {
        let store = source.store;
        let job = store.get(job_id).await?.value;
        let watch = store.get(job.watch).await?.value;
        let owner = match watch.owner {
            Some(owner) => Some(store.get(owner).await?.value),
            None => None,
        };
        // The machine's own clock: a workshop's papers bear the days of its calendar.
        let now = jiff::ZonedDateTime::now();
        let values = |part: Kept<Part>| part.value;
        let moves = all::<Adjustment>(store, job_id).await?;
        let tests = all::<FinalTest>(store, job_id).await?;
        Ok(Self {
            workshop: Workshop {
                letterhead: letterhead(store).await?,
                paper: size(head(store).await?.paper),
            },
            owner,
            watch,
            today: now.date(),
            ahead_of_utc_min: now.offset().seconds() / 60,
            photos: all(store, job_id).await?,
            parts: all(store, job_id).await?.into_iter().map(values).collect(),
            estimate: store.estimate_of(job_id).await?.map(|kept| kept.value),
            readings: all(store, job_id).await?,
            adjustments: moves.into_iter().map(|kept| kept.value).collect(),
            tests: tests.into_iter().map(|kept| kept.value).collect(),
            log: OpenLog::in_store(store, source.trade.clone(), job_id).await?,
            job,
        })
    }

    pub(crate) fn job(&self) -> &Job {
        &self.job
    }

    pub(crate) fn watch(&self) -> &Watch {
        &self.watch
    }

    pub(crate) fn readings(&self) -> &[Kept<Reading>] {
        &self.readings
    }

    /// The photos that are wished, oldest first.
    pub(crate) fn photos(&self, wish: &Wish) -> Result<Vec<Kept<Photo>>, Failure> {
        let photos: Vec<Kept<Photo>> = match &wish.photos {
            PhotoWish::Usual => self.usual_photos(wish.kind).cloned().collect(),
            PhotoWish::These(wished) => {
                let is_wished = |kept: &&Kept<Photo>| wished.contains(&kept.id);
                self.photos.iter().filter(is_wished).cloned().collect()
            }
        };
        if photos.len() > MOST_PHOTOS {
            let words = format!("At most {MOST_PHOTOS} photos stand on a paper: leave some out.");
            return Err(Failure::Invalid(words));
        }
        Ok(photos)
    }

    /// Those that stand on a paper where none are chosen: on a receipt how the watch came in, on a
    /// report those of final tests, which come last, and the first of all others.
    pub(crate) fn usual_photos(&self, kind: Kind) -> impl Iterator<Item = &Kept<Photo>> {
        let until = match kind {
            Kind::Receipt => self.job.work_began(),
            Kind::Estimate | Kind::Report => None,
        };
        let is_before = move |at: Moment| until.is_none_or(|until| at < until);
        let most = if kind.shows_photos() { MOST_PHOTOS } else { 0 };
        let is_of_test = move |kept: &Kept<Photo>| {
            kind == Kind::Report && self.tests.iter().any(|test| test.photos.contains(&kept.id))
        };
        let of_tests = self.photos.iter().filter(|kept| is_of_test(kept)).count();
        let mut others = most.saturating_sub(of_tests);
        let stands = move |kept: &&Kept<Photo>| {
            if is_of_test(kept) {
                return true;
            }
            let fits = others > 0;
            others = others.saturating_sub(1);
            fits
        };
        self.photos.iter().filter(move |kept| is_before(kept.value.taken)).filter(stands).take(most)
    }

    /// Where there are more photos than usually stand on a paper: how many are left out.
    pub(crate) fn left_out(&self, kind: Kind) -> Option<String> {
        let more = self.photos.len().saturating_sub(MOST_PHOTOS);
        (kind == Kind::Report && more > 0).then(|| {
            format!(
                "The job has {} photos; {MOST_PHOTOS} stand on the paper: those of final tests and \
                 the first of the others. Choose which.",
                self.photos.len()
            )
        })
    }

    /// Makes something of all that is known.
    pub(crate) fn with_case<T>(&self, pictures: &Pictures, make: impl FnOnce(&Case<'_>) -> T) -> T {
        let state = self.log.state();
        let bench = (state.steps().len() > 0).then(|| Bench {
            state,
            work: self.log.work(),
            rules: &self.log.trade.rules,
        });
        let shots: Vec<Shot<'_>> = pictures
            .photos
            .iter()
            .map(|(kept, bytes)| Shot { id: kept.id, photo: &kept.value, bytes: bytes.clone() })
            .collect();
        make(&Case {
            workshop: &self.workshop,
            owner: self.owner.as_ref(),
            watch: &self.watch,
            job: &self.job,
            today: self.today,
            ahead_of_utc_min: self.ahead_of_utc_min,
            photos: &shots,
            parts: &self.parts,
            estimate: self.estimate.as_ref(),
            readings: &with_ids(&self.readings),
            adjustments: &self.adjustments,
            tests: &self.tests,
            bench: bench.as_ref(),
            drawings: &pictures.drawings,
        })
    }

    /// A day, where the workshop is.
    pub(crate) fn day(&self, at: Moment) -> Date {
        day_at(at, self.ahead_of_utc_min).unwrap_or(self.today)
    }

    /// The paper that is wished.
    pub(crate) fn document(&self, wish: &Wish, pictures: &Pictures) -> Result<Document, Failure> {
        let sections = Sections { colleague: wish.colleague };
        let document = self.with_case(pictures, |case| wish.kind.of(case, &sections));
        let mut document = document.map_err(|error| Failure::Ours(error.to_string()))?;
        document.paper = wish.paper.unwrap_or(document.paper);
        Ok(document)
    }

    /// Headings of what a paper holds; its pictures need not be there for that.
    pub(crate) fn holds(&self, kind: Kind) -> Result<Vec<String>, Failure> {
        let wish =
            Wish { kind, colleague: true, paper: None, photos: PhotoWish::Usual, drawings: false };
        let document = self.document(&wish, &self.unseen(kind))?;
        Ok(document.chapters.into_iter().map(|chapter| chapter.title).collect())
    }

    /// What is missing for a paper.
    pub(crate) fn missing(&self, kind: Kind) -> Vec<String> {
        self.with_case(&self.unseen(kind), |case| lacking(case, kind))
    }

    /// The usual photos with no pictures in them: for what only counts them.
    fn unseen(&self, kind: Kind) -> Pictures {
        let photos = self.usual_photos(kind).map(|kept| (kept.clone(), Vec::new()));
        Pictures { photos: photos.collect(), drawings: Drawings::default() }
    }
}
