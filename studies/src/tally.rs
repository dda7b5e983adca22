//! Collects the verdicts of many recordings.

use crate::hearing::Heard;
use crate::markdown::{Table, percent};
use crate::verdict::{Judged, Quantity, Verdict};
use truth::score::{Coverage, ErrorSummary};

/// One judged value with the seed of its recording.
#[derive(Debug, Clone, Copy)]
struct Entry {
    seed: u64,
    value: Judged,
}

/// Verdicts of recordings that belong together.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tally {
    recordings: u64,
    balances: u64,
    entries: Vec<Entry>,
    /// Seeds of recordings of which a balance was missed.
    missed: Vec<u64>,
    /// Seeds of recordings with a balance that was not there.
    invented: Vec<u64>,
    /// Seeds of recordings with a value that is wrong and sure.
    wrong: Vec<u64>,
    warnings: Vec<(&'static str, u64)>,
}

/// How far a share may lie from that of normal errors, in points of per cent.
const COVERAGE_POINTS: f64 = 5.0;
/// The rate may be this many times less exact than the least possible.
pub(crate) const MOST_OF_BOUND: f64 = 1.2;

impl Tally {
    pub(crate) fn add(&mut self, seed: u64, heard: &Heard, verdict: &Verdict) {
        self.recordings += 1;
        self.balances += verdict.laid_down as u64;
        self.entries.extend(verdict.values.iter().map(|&value| Entry { seed, value }));
        let mut note = |yes: bool, list: fn(&mut Self) -> &mut Vec<u64>| {
            if yes {
                list(self).push(seed);
            }
        };
        note(!verdict.matching.missed.is_empty(), |t| &mut t.missed);
        note(verdict.has_false_balance(), |t| &mut t.invented);
        note(verdict.is_wrong_and_sure(), |t| &mut t.wrong);
        for warning in &heard.reading.warnings {
            let name = warning.code.name();
            match self.warnings.iter_mut().find(|(n, _)| *n == name) {
                Some((_, count)) => *count += 1,
                None => self.warnings.push((name, 1)),
            }
        }
    }

    pub(crate) fn recordings(&self) -> u64 {
        self.recordings
    }

    pub(crate) fn missed(&self) -> &[u64] {
        &self.missed
    }

    pub(crate) fn invented(&self) -> &[u64] {
        &self.invented
    }

    pub(crate) fn wrong(&self) -> &[u64] {
        &self.wrong
    }

    /// How many balances have this quantity right as far as the bench asks.
    pub(crate) fn within_limit(&self, quantity: Quantity) -> usize {
        self.of(quantity).filter(|e| e.value.is_within_limit()).count()
    }

    /// Seeds of recordings in which this quantity is wrong and sure.
    pub(crate) fn wrong_in(&self, quantity: Quantity) -> Vec<u64> {
        self.of(quantity).filter(|e| e.value.is_wrong_and_sure()).map(|e| e.seed).collect()
    }

    /// Error and claimed standard deviation of every value claimed of this quantity.
    pub(crate) fn claims(&self, quantity: Quantity) -> impl Iterator<Item = (f64, f64)> {
        self.of(quantity).filter_map(|e| e.value.claim)
    }

    fn of(&self, quantity: Quantity) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(move |e| e.value.quantity == quantity)
    }

    pub(crate) fn coverage(&self, quantity: Quantity) -> Coverage {
        let mut coverage = Coverage::default();
        self.claims(quantity).for_each(|(error, sd)| coverage.add(error, sd));
        coverage
    }

    pub(crate) fn summary(&self, quantity: Quantity) -> ErrorSummary {
        let mut summary = ErrorSummary::default();
        self.claims(quantity).for_each(|(error, _)| summary.add(error));
        summary
    }

    /// Root mean square of the rate's error over the least possible of its recording. Every
    /// recording counts the same. Also how many there were.
    pub(crate) fn rate_over_bound(&self) -> (f64, u64) {
        let mut ratios = ErrorSummary::default();
        for entry in self.of(Quantity::Rate) {
            if let Some((error, _)) = entry.value.claim {
                ratios.add(error / entry.value.rate_bound_s_per_d);
            }
        }
        (ratios.rms(), ratios.count)
    }

    /// Absolute errors in ascending order.
    fn sorted(&self, quantity: Quantity) -> Vec<f64> {
        let mut errors: Vec<f64> = self.claims(quantity).map(|(e, _)| e.abs()).collect();
        errors.sort_by(f64::total_cmp);
        errors
    }

    /// Head of the rows of [`Tally::accuracy_rows`].
    pub(crate) fn accuracy_head() -> Table {
        Table::new([
            "",
            "quantity",
            "balances",
            "not given",
            "within 1 sd",
            "within 2 sd",
            "rms(error/sd)",
            "mean error",
            "median abs. error",
            "90 %",
            "largest",
        ])
    }

    /// One row for each quantity.
    pub(crate) fn accuracy_rows(&self, table: &mut Table, name: &str) {
        for quantity in Quantity::ALL {
            let errors = self.sorted(quantity);
            let coverage = self.coverage(quantity);
            let all = self.of(quantity).count() as u64;
            let digits = quantity.decimals();
            let at = |share: f64| match errors.len() {
                0 => "–".to_owned(),
                n => {
                    let place = ((n as f64 * share) as usize).min(n - 1);
                    format!("{:.digits$}", errors[place])
                }
            };
            table.row([
                name.to_owned(),
                format!("{}, {}", quantity.name(), quantity.unit()),
                all.to_string(),
                (all - coverage.count).to_string(),
                percent(coverage.within_one, coverage.count),
                percent(coverage.within_two, coverage.count),
                format!("{:.2}", coverage.rms_ratio()),
                format!("{:+.digits$}", self.summary(quantity).mean()),
                at(0.5),
                at(0.9),
                at(1.0),
            ]);
        }
    }

    /// The values furthest from the truth in units of what was claimed (and of a quarter of what
    /// matters, so that harmless ones do not crowd the list), worst first.
    pub(crate) fn worst(&self, quantity: Quantity, count: usize) -> Vec<String> {
        let mut entries: Vec<(f64, &Entry)> = self
            .of(quantity)
            .filter_map(|e| {
                let (error, sd) = e.value.claim?;
                Some((error.abs() / sd.max(quantity.limit() / 16.0), e))
            })
            .collect();
        entries.sort_by(|a, b| b.0.total_cmp(&a.0));
        let digits = quantity.decimals();
        entries
            .into_iter()
            .take(count)
            .filter_map(|(_, e)| {
                let (error, sd) = e.value.claim?;
                Some(format!("{} ({error:+.digits$} ± {sd:.digits$})", e.seed))
            })
            .collect()
    }

    /// The rates furthest from the truth in units of the least possible, worst first.
    pub(crate) fn worst_of_bound(&self, count: usize) -> Vec<String> {
        let mut entries: Vec<(f64, u64)> = self
            .of(Quantity::Rate)
            .filter_map(|e| Some((e.value.claim?.0 / e.value.rate_bound_s_per_d, e.seed)))
            .collect();
        entries.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
        entries.into_iter().take(count).map(|(of, seed)| format!("{seed} ({of:+.1})")).collect()
    }

    pub(crate) fn warnings_in_words(&self) -> String {
        let mut warnings = self.warnings.clone();
        warnings.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
        let words: Vec<String> = warnings.iter().map(|(n, c)| format!("`{n}` {c}")).collect();
        if words.is_empty() { "none".to_owned() } else { words.join(", ") }
    }

    /// What falls short in the claimed uncertainties: a share beyond its five points, and beyond
    /// three standard deviations of such a share, so that a small run does not fail by chance.
    pub(crate) fn coverage_shortfalls(&self) -> Vec<String> {
        let mut short = Vec::new();
        for quantity in Quantity::ALL {
            let coverage = self.coverage(quantity);
            let (one, two) = Coverage::NORMAL;
            let shares =
                [(1, coverage.share_within_one(), one), (2, coverage.share_within_two(), two)];
            for (sds, share, normal) in shares {
                let allowed = (COVERAGE_POINTS / 100.0).max(3.0 * coverage.sd_of_share(normal));
                if coverage.count > 0 && (share - normal).abs() > allowed {
                    short.push(format!(
                        "{}: {:.1} % of {} errors lie within {sds} sd; {:.0} % should",
                        quantity.name(),
                        100.0 * share,
                        coverage.count,
                        100.0 * normal
                    ));
                }
            }
        }
        short
    }
}

/// Numbers in one line, or "none".
pub(crate) fn listed(seeds: &[u64]) -> String {
    let words: Vec<String> = seeds.iter().map(u64::to_string).collect();
    if words.is_empty() { "none".to_owned() } else { words.join(" ") }
}
