//! What is seen while it settles: a few lines that stay in their place in a terminal, a line now and
//! then elsewhere.

use super::lines::{self, ShownBefore};
use crate::arguments::ListenFormat;
use crate::shown;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use live::Snapshot;
use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::time::{Duration, Instant};

/// Where it does not go to a terminal, lines come no faster than this.
const LINE_AGAIN: Duration = Duration::from_secs(5);
/// Columns of a line in the terminal; a longer one would be broken and the view would creep.
const COLUMNS: usize = 78;

pub(super) struct View {
    /// In a terminal.
    bar: Option<ProgressBar>,
    /// As each balance was shown last, by its letter.
    before: BTreeMap<String, ShownBefore>,
    line: Option<Instant>,
    /// What was heard when a line was last printed.
    told: Option<f64>,
}

impl View {
    pub(super) fn new(format: ListenFormat) -> Self {
        let terminal = format == ListenFormat::Text && std::io::stdout().is_terminal();
        let bar = terminal.then(|| {
            let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stdout_with_hz(10));
            // The template is ours and sound; were it not, the view would have another look.
            if let Ok(style) = ProgressStyle::with_template("{msg}") {
                bar.set_style(style);
            }
            bar
        });
        Self { bar, before: BTreeMap::new(), line: None, told: None }
    }

    /// Whether something has been heard that was not told yet.
    pub(super) fn is_news(&mut self, snapshot: &Snapshot) -> bool {
        let heard_s = snapshot
            .heard
            .as_ref()
            .filter(|heard| heard.of_reading)
            .map(|heard| heard.from_s + heard.reading.duration_s);
        let news = heard_s.is_some() && heard_s != self.told;
        self.told = heard_s.or(self.told);
        news
    }

    /// Shows it; gives what is to be printed as a line.
    pub(super) fn show(&mut self, snapshot: &Snapshot) -> Option<String> {
        // Where a line is printed now and then, so is everything that settles.
        let due = self.line.is_none_or(|then| then.elapsed() >= LINE_AGAIN);
        if self.bar.is_none() && !(due && self.is_news(snapshot)) {
            return None;
        }
        let progress = snapshot.in_hand.as_ref().map(lines::progress).unwrap_or_default();
        let level = match lines::level(&snapshot.level) {
            level if level.is_empty() => level,
            level => format!("level {level}"),
        };
        let balances = self.balances(snapshot);
        let hints = lines::hints(snapshot);
        if let Some(bar) = &self.bar {
            let name = shown::safe(&snapshot.source.name).into_owned();
            let mut all = vec![format!("Listening to “{name}”  {progress}"), level];
            if balances.is_empty() {
                all.push("No watch is heard yet.".into());
            }
            all.extend(balances);
            all.extend(hints.iter().map(|hint| format!("! {hint}")));
            all.push("Ctrl-C ends.".into());
            let cut = all.iter().map(|line| line.chars().take(COLUMNS).collect::<String>());
            bar.set_message(cut.collect::<Vec<_>>().join("\n").replace('\u{a0}', " "));
            bar.tick();
            return None;
        }
        self.line = Some(Instant::now());
        let mut told = vec![format!("{progress}  {level}").trim_end().to_owned()];
        told.extend(balances);
        told.extend(hints.iter().map(|hint| format!("! {hint}")));
        Some(told.join("\n").replace('\u{a0}', " ") + "\n")
    }

    fn balances(&mut self, snapshot: &Snapshot) -> Vec<String> {
        let Some(heard) = snapshot.heard.as_ref().filter(|heard| heard.of_reading) else {
            return Vec::new();
        };
        let balances = heard.reading.balances.iter().enumerate();
        let lines = balances.map(|(place, b)| {
            let letter = plot::Balance::nth(place).letter;
            let before = self.before.entry(letter.clone()).or_default();
            lines::balance(&letter, b, before)
        });
        lines.collect()
    }
}

impl Drop for View {
    /// However it ended, the view goes: what was found is printed below.
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
