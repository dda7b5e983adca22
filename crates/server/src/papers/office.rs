//! Where papers are made: a few at once, and never on a thread that serves or listens.

use super::drawings::drawn;
use super::gathered::Pictures;
use super::progress::{Doing, Progress};
use super::shots::Shots;
use super::{Gathered, PhotoWish, Wish, file_name, print};
use crate::failure::Failure;
use crate::movement::InForce;
use crate::rehearing::Rehearing;
use bytes::Bytes;
use handover::Kind;
use jobs::JobId;
use report::Document;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use store::Store;
use tokio::sync::Semaphore;

/// Papers that are made at the same time; one with many photos takes a hundred megabytes.
const AT_ONCE: usize = 2;
/// Papers that are held once made: who looks at what is in one opens it next.
const HELD: usize = 4;

/// What papers are made from.
pub(crate) struct Source<'a> {
    pub(crate) store: &'a Store,
    pub(crate) rehearing: &'a Rehearing,
    pub(crate) trade: Arc<InForce>,
}

/// A paper that was made.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Made {
    pub(crate) pdf: Bytes,
    pub(crate) pages: usize,
    /// What is not shown as it should be, a sentence each.
    pub(crate) warnings: Vec<String>,
    /// What it is called as a file.
    pub(crate) file_name: String,
}

type UnderWay = HashMap<(JobId, Kind), Arc<Progress>>;

pub(crate) struct Office {
    turns: Arc<Semaphore>,
    shots: Shots,
    /// Where the same is to be printed again it is there already.
    held: Mutex<Vec<(Document, Arc<Made>)>>,
    under_way: Mutex<UnderWay>,
}

impl Default for Office {
    fn default() -> Self {
        Self {
            turns: Arc::new(Semaphore::new(AT_ONCE)),
            shots: Shots::default(),
            held: Mutex::default(),
            under_way: Mutex::default(),
        }
    }
}

impl Office {
    /// Makes a paper. Where the future is dropped no photo more is decoded and no sound heard on; a
    /// page that is being laid out is finished first, and takes its turn for so long.
    pub(crate) async fn make(
        &self,
        source: &Source<'_>,
        job: JobId,
        wish: &Wish,
    ) -> Result<Arc<Made>, Failure> {
        let making = self.begin(job, wish.kind);
        let turn = self.turns.clone().acquire_owned().await;
        let turn = turn.map_err(|e| Failure::Ours(e.to_string()))?;
        let gathered = Gathered::of(source, job).await?;
        let photos = if wish.kind.shows_photos() { gathered.photos(wish)? } else { Vec::new() };
        let left_out = match wish.photos {
            PhotoWish::Usual => gathered.left_out(wish.kind),
            PhotoWish::These(_) => None,
        };
        let photos = self.shots.of(source.store, photos, &making.progress).await?;
        let (drawings, mut warnings) = if wish.kind == Kind::Report && wish.drawings {
            let drawn = drawn(source, &gathered, &making.progress).await?;
            (drawn.pictures, drawn.warnings)
        } else {
            Default::default()
        };
        warnings.extend(left_out);
        making.progress.now(Doing::Printing);
        let pictures = Pictures { photos, drawings };
        let name = file_name::of(wish.kind, gathered.job(), gathered.watch());
        let lay_out = {
            let wish = wish.clone();
            move || gathered.document(&wish, &pictures)
        };
        let document = tokio::task::spawn_blocking(lay_out).await??;
        if let Some(held) = self.held(&document, &warnings) {
            return Ok(held);
        }
        let print = move || {
            let printed = print(&document);
            // The turn ends with the work, be it that nobody waits for it.
            drop(turn);
            (document, printed)
        };
        let (document, printed) = tokio::task::spawn_blocking(print).await?;
        let (printed, letters) = printed.map_err(|error| Failure::Ours(error.to_string()))?;
        let unreadable = |what: &String| {
            format!("The picture “{what}” could not be read; the paper says so in its place.")
        };
        warnings.extend(printed.unreadable.iter().map(unreadable));
        warnings.extend(letters);
        let made = Arc::new(Made {
            pdf: printed.pdf.into(),
            pages: printed.pages,
            warnings,
            file_name: name,
        });
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.push((document, made.clone()));
        let more = held.len().saturating_sub(HELD);
        held.drain(..more);
        drop(held);
        Ok(made)
    }

    /// The same paper, printed before.
    fn held(&self, document: &Document, warnings: &[String]) -> Option<Arc<Made>> {
        let held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let same = held.iter().find(|(there, made)| {
            there == document && made.warnings.iter().take(warnings.len()).eq(warnings)
        });
        same.map(|(_, made)| made.clone())
    }

    /// What is done at a paper of a job now; nothing where none is being made.
    pub(crate) fn doing(&self, job: JobId, kind: Kind) -> Option<Doing> {
        self.under_way().get(&(job, kind)).map(|progress| progress.doing())
    }

    fn begin(&self, job: JobId, kind: Kind) -> Making<'_> {
        let progress = Arc::<Progress>::default();
        self.under_way().insert((job, kind), progress.clone());
        Making { office: self, which: (job, kind), progress }
    }

    fn under_way(&self) -> MutexGuard<'_, UnderWay> {
        self.under_way.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A paper while it is made: told as long as somebody waits for it.
struct Making<'a> {
    office: &'a Office,
    which: (JobId, Kind),
    progress: Arc<Progress>,
}

impl Drop for Making<'_> {
    fn drop(&mut self) {
        let mut under_way = self.office.under_way();
        // Somebody else may have begun the same since.
        if under_way.get(&self.which).is_some_and(|there| Arc::ptr_eq(there, &self.progress)) {
            under_way.remove(&self.which);
        }
    }
}
