//! How far long work has come, on standard error, where that is a terminal.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Work that is done sooner is not worth a bar.
const SHOWN_AFTER: Duration = Duration::from_secs(2);

/// Parts of one piece of work; fine enough that a bar moves smoothly.
pub(crate) const PARTS: u64 = 1000;

/// A bar that appears when the work turns out to be long. Can be moved from several threads.
#[derive(Debug)]
pub(crate) struct Progress {
    bar: ProgressBar,
    started: Instant,
    waits: AtomicBool,
}

impl Progress {
    /// For `pieces` pieces of work, each of [`PARTS`] parts.
    pub(crate) fn new(pieces: usize, words: String) -> Self {
        let length = PARTS.saturating_mul(pieces as u64);
        let bar = ProgressBar::with_draw_target(Some(length), ProgressDrawTarget::hidden());
        // The template is ours and sound; were it not, the bar would have another look.
        if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {percent:>3} %  {eta} left")
        {
            bar.set_style(style);
        }
        bar.set_message(words);
        let waits = AtomicBool::new(std::io::stderr().is_terminal());
        Self { bar, started: Instant::now(), waits }
    }

    /// So many parts more are done.
    pub(crate) fn advance(&self, parts: u64) {
        self.bar.inc(parts);
        if self.started.elapsed() >= SHOWN_AFTER && self.waits.swap(false, Ordering::Relaxed) {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
    }

    /// Prints something without tearing the bar.
    pub(crate) fn aside<R>(&self, print: impl FnOnce() -> R) -> R {
        self.bar.suspend(print)
    }
}

impl Drop for Progress {
    /// However the work ended, the bar goes.
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

/// Turns an amount of one piece of work into parts, each handed out once.
#[derive(Debug)]
pub(crate) struct Piece<'a> {
    progress: &'a Progress,
    whole: Option<f64>,
    parts: u64,
}

impl<'a> Piece<'a> {
    /// A piece of which the whole is known, or not.
    pub(crate) fn new(progress: &'a Progress, whole: Option<f64>) -> Self {
        Self { progress, whole: whole.filter(|w| *w > 0.0), parts: 0 }
    }

    /// So much of it is done now.
    pub(crate) fn reached(&mut self, amount: f64) {
        let share = self.whole.map_or(0.0, |whole| (amount / whole).clamp(0.0, 1.0));
        let parts = (share * PARTS as f64) as u64;
        self.progress.advance(parts.saturating_sub(self.parts));
        self.parts = self.parts.max(parts);
    }
}

impl Drop for Piece<'_> {
    /// However it ended, it is over.
    fn drop(&mut self) {
        self.progress.advance(PARTS - self.parts.min(PARTS));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_piece_counts_once_whatever_its_header_said() {
        let progress = Progress::new(3, String::new());
        let mut honest = Piece::new(&progress, Some(10.0));
        honest.reached(2.5);
        honest.reached(2.5);
        assert_eq!(progress.bar.position(), 250);
        drop(honest);
        let mut lying = Piece::new(&progress, Some(1.0));
        lying.reached(500.0);
        drop(lying);
        let mut silent = Piece::new(&progress, None);
        silent.reached(3.0);
        assert_eq!(progress.bar.position(), 2000);
        drop(silent);
        assert_eq!(progress.bar.position(), 3000);
    }
}
