//! The log of a job as it is kept, and how entries are added to it.

use super::InForce;
use super::judge::judge;
use crate::desk::{Asker, Desk};
use crate::failure::Failure;
use crate::wire::{LogKept, LogRefusal};
use jobs::{Id, JobId, Moment, PartState};
use logbook::LogEntry;
use rebuild::{Change, Entry, Graph, Log, PartFix, State, Verdict, Work};
use std::sync::{Arc, OnceLock};
use store::{NewLogEntry, Store, Together};

/// A log with what follows from it.
pub(crate) struct OpenLog {
    pub(crate) log: Log,
    /// The number of the last entry; 0 where there is none.
    pub(crate) last: i64,
    pub(crate) trade: Arc<InForce>,
    /// What follows, made when it is asked for: most entries of a take-down are kept without it.
    follows: OnceLock<(Graph, Work)>,
}

impl OpenLog {
    /// The log of a job.
    pub(crate) async fn of(desk: &Desk, job: JobId) -> Result<Self, Failure> {
        Self::in_store(&desk.store, desk.trade().await?, job).await
    }

    /// The log of a job, with the words and rules in force.
    pub(crate) async fn in_store(
        store: &Store,
        trade: Arc<InForce>,
        job: JobId,
    ) -> Result<Self, Failure> {
        let kept = store.entries_of(job).await?;
        tokio::task::spawn_blocking(move || Self::new(&kept, trade)).await?
    }

    fn new(kept: &[store::LogEntry], trade: Arc<InForce>) -> Result<Self, Failure> {
        let last = kept.last().map_or(0, |entry| entry.number);
        let entries = kept.iter().map(read).collect::<Result<_, _>>()?;
        let log = Log::new(entries);
        Ok(Self { log, last, trade, follows: OnceLock::new() })
    }

    pub(crate) fn state(&self) -> &State {
        self.log.state()
    }

    /// The relations of its steps.
    pub(crate) fn graph(&self) -> &Graph {
        &self.follows().0
    }

    /// The work that the rules in force ask for.
    pub(crate) fn work(&self) -> &Work {
        &self.follows().1
    }

    fn follows(&self) -> &(Graph, Work) {
        self.follows.get_or_init(|| {
            let graph = Graph::of(self.state());
            let InForce { rules, vocabulary, .. } = &*self.trade;
            let work = Work::of(self.state(), &graph, rules, vocabulary);
            (graph, work)
        })
    }

    /// Goes on with the log as it is after an entry.
    fn go_on_with(&mut self, log: Log) {
        self.log = log;
        self.follows = OnceLock::new();
    }
}

fn read(kept: &store::LogEntry) -> Result<Entry, Failure> {
    let mut entry = logbook::entry_from_json(kept.body.as_bytes()).map_err(|error| {
        Failure::Ours(format!("entry {} of the log cannot be read: {error}", kept.id))
    })?;
    // Whose device it was is the program's to say.
    entry.by.clone_from(&kept.device);
    Ok(entry)
}

/// Keeps entries in their order, up to the first that may not be kept. What was kept before counts
/// once however often it is sent.
pub(crate) async fn keep(
    desk: &Desk,
    asker: &Asker,
    job: JobId,
    sent: Vec<LogEntry>,
) -> Result<LogKept, Failure> {
    let by = asker.by();
    let mut kept = LogKept { kept: Vec::new(), there_already: Vec::new(), refused: None };
    // Whoever holds this has the log to themselves: what is judged below still holds when it is
    // written.
    let mut together = desk.store.together(&by).await?;
    let mut open = OpenLog::of(desk, job).await?;
    for sent in sent {
        let id = sent.id.clone();
        match one(&mut together, &mut open, job, sent).await? {
            Became::Kept => kept.kept.push(id),
            Became::ThereAlready => kept.there_already.push(id),
            Became::Refused(words) => {
                kept.refused = Some(LogRefusal { id, words });
                break;
            }
        }
    }
    together.keep().await?;
    Ok(kept)
}

/// What became of an entry.
enum Became {
    Kept,
    ThereAlready,
    Refused(String),
}

async fn one(
    together: &mut Together<'_>,
    open: &mut OpenLog,
    job: JobId,
    mut sent: LogEntry,
) -> Result<Became, Failure> {
    // The device that sends is known; what it says of itself is not kept.
    sent.by.clear();
    let entry = match Entry::try_from(sent) {
        Ok(entry) => entry,
        Err(unfit) => return Ok(Became::Refused(format!("This cannot be kept: {unfit}"))),
    };
    let known = open.log.entries().iter().any(|there| there.id == entry.id);
    let after = match (!known).then(|| judge(open, &entry)).transpose() {
        Ok(after) => after,
        Err(words) => return Ok(Became::Refused(words)),
    };
    let new = to_keep(&entry, open.state()).map_err(|e| Failure::Ours(e.to_string()))?;
    let appended = match together.append_entries(job, &[new]).await {
        Ok(appended) => appended,
        Err(error @ store::Error::Taken { .. }) => return Ok(Became::Refused(error.to_string())),
        Err(error) => return Err(error.into()),
    };
    if !appended.iter().any(|appended| appended.is_new) {
        return Ok(Became::ThereAlready);
    }
    for (id, part) in to_order(&entry, open, job) {
        match together.create_once(id, part).await {
            // It was ordered for this very part before, and thrown away or changed since.
            Ok(_) | Err(store::Error::NotFound(_) | store::Error::InBin(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    if let Some(after) = after {
        open.go_on_with(after);
    }
    Ok(Became::Kept)
}

/// An entry as it is kept: in its written form, with what the history says of it and by what its job
/// is found. `before` is what held before it.
///
/// # Errors
/// None that is known of: it is there so that nothing is lost in silence.
pub fn to_keep(entry: &Entry, before: &State) -> serde_json::Result<NewLogEntry> {
    let body = logbook::entry_to_json(entry)?;
    let title = words::bench::change(&entry.change, before);
    let title = title.chars().take(jobs::limit::LINE).collect();
    Ok(NewLogEntry {
        id: entry.id.uuid(),
        at: Moment::from_ms(entry.at_ms),
        body,
        title,
        found_by: found_by(&entry.change),
    })
}

/// By what the job is found: names of parts, notes, reasons.
fn found_by(change: &Change) -> Vec<String> {
    let mut texts = Vec::new();
    match change {
        Change::TookOut(out) => {
            texts.extend(out.parts.iter().map(|part| part.called().to_string()));
            texts.extend(out.parts.iter().map(|part| part.condition.clone()));
            texts.push(out.note.clone());
        }
        Change::PartAmended { fix, .. } => {
            texts.extend([&fix.name, &fix.condition].into_iter().flatten().cloned());
        }
        Change::Annotated { note, .. }
        | Change::WorkDone { note, .. }
        | Change::CheckMade { note, .. } => texts.push(note.clone()),
        Change::Skipped { reason, .. }
        | Change::LeftOut { reason, .. }
        | Change::Removed { reason, .. } => texts.push(reason.clone()),
        _ => {}
    }
    texts.retain(|text| !text.trim().is_empty());
    texts
}

/// Parts that are to be replaced, as parts to order. Each has the id of the part itself, so that it
/// is ordered once.
fn to_order(entry: &Entry, open: &OpenLog, job: JobId) -> Vec<(Id<jobs::Part>, jobs::Part)> {
    let wanted = |id: rebuild::PartId, what: String| {
        let part = jobs::Part {
            job,
            what,
            quantity: 1,
            supplier: String::new(),
            state: PartState::Wanted,
            cost: None,
        };
        (Id::from_uuid(id.uuid()), part)
    };
    match &entry.change {
        Change::TookOut(out) => {
            let replaced = out.parts.iter().filter(|part| part.verdict == Some(Verdict::Replace));
            replaced.map(|part| wanted(part.id, part.called().to_string())).collect()
        }
        Change::PartAmended {
            part,
            fix: PartFix { verdict: Some(Some(Verdict::Replace)), .. },
        } => vec![wanted(*part, words::bench::part(open.state(), *part))],
        _ => Vec::new(),
    }
}
