//! What a plan is made from: the log, and words and rules.

use crate::arguments::{DataWishes, PlanWishes};
use crate::failure::Failure;
use crate::{data, standard_input, whole_input};
use logbook::limits::MOST_FILE_BYTES;
use rebuild::{Bottle, Rules, Vocabulary};
use std::collections::HashSet;
use std::path::Path;

/// What a plan is made from.
pub(super) struct Input {
    pub(super) log: logbook::Log,
    pub(super) vocabulary: Vocabulary,
    pub(super) rules: Rules,
    /// The bottles to choose from; none where nothing was said of them.
    pub(super) stock: Option<Vec<Bottle>>,
    /// What is wrong with own words and rules, in sentences.
    pub(super) problems: Vec<String>,
}

/// Reads the log and everything that goes with it.
pub(super) fn read(wishes: &PlanWishes) -> Result<Input, Failure> {
    let all = std::iter::once(&wishes.log).chain(&wishes.rules).chain(&wishes.stock);
    if all.filter(|path| standard_input::is_meant(path)).count() > 1 {
        return Err(Failure::WrongUse(
            "Standard input (-) can be read once: name a file for the rest.".into(),
        ));
    }
    let about = |failure: Failure| failure.about(&wishes.log);
    let bytes = whole_input::bytes(&wishes.log, MOST_FILE_BYTES).map_err(about)?;
    let log = logbook::Log::from_json(&bytes)
        .map_err(|error| about(Failure::Unreadable(error.to_string())))?;
    let mut own = log.own.clone();
    for path in &wishes.rules {
        own.push(sheet(path).map_err(|failure| failure.about(path))?);
    }
    let mut off: HashSet<_> = log.rules_off.iter().cloned().collect();
    off.extend(wishes.without.iter().cloned());
    let mut problems = Vec::new();
    let mut sheet = trade::Sheet::default();
    for one in &own {
        let read = trade::own(&one.name, &one.text);
        problems.extend(read.problems.iter().map(ToString::to_string));
        sheet.kinds.extend(read.sheet.kinds);
        sheet.traits.extend(read.sheet.traits);
        sheet.rules.extend(read.sheet.rules);
    }
    let (vocabulary, rules) = trade::in_force(sheet, &HashSet::new());
    for rule in &wishes.without {
        if rules.get(rule).is_none() {
            return Err(Failure::WrongUse(format!(
                "There is no rule “{rule}” that --without could leave out: --format json gives the \
                 name of each."
            )));
        }
    }
    let rules = rules.without(&off);
    let stock = wishes.stock.as_deref().map(|named| stock(named, &wishes.data)).transpose()?;
    Ok(Input { log, vocabulary, rules, stock, problems })
}

/// The word that stands for the bench's own bottles.
const BENCH: &str = "bench";

/// The bottles of a file, or those of the bench.
fn stock(named: &Path, wishes: &DataWishes) -> Result<Vec<Bottle>, Failure> {
    if named == Path::new(BENCH) {
        let places = data::places(wishes)?;
        return data::with_store(&places, async |store| server::stock(&store).await);
    }
    let about = |failure: Failure| failure.about(named);
    let bytes = whole_input::bytes(named, MOST_FILE_BYTES).map_err(about)?;
    logbook::stock_from_json(&bytes).map_err(|error| about(Failure::Unreadable(error.to_string())))
}

/// A file of words and rules.
fn sheet(path: &Path) -> Result<logbook::OwnSheet, Failure> {
    let text = whole_input::text(path, trade::MOST_BYTES)?;
    let name = standard_input::shown(path);
    let unread = |problem: &&trade::Problem| {
        matches!(problem.wrong, trade::Wrong::NotToml(_) | trade::Wrong::TooLong { .. })
    };
    if let Some(problem) = trade::own(&name, &text).problems.iter().find(unread) {
        return Err(Failure::Unreadable(format!("line {}: {}", problem.line, problem.wrong)));
    }
    Ok(logbook::OwnSheet { name, text })
}
