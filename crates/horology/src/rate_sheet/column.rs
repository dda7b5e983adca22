use super::bounds::{Bounded, greatest_of, mean};
use super::sheet::Cell;
use super::spread::{Spread, spread};
use crate::stance::{Stance, Upright};
use quantities::Measured;

/// One balance in one state of wind.
///
/// Its statistics are of the six positions of ISO 3158, whatever else was read: classes of tolerance
/// name these, a spread over more positions is larger by itself, and a mean over eight upright
/// positions and two flat ones is another number than that over four and two. A half-way position,
/// read for the sake of poise, so changes no number that is held against a limit or an earlier sheet.
///
/// Differences between positions do not carry the clock's uncertainty; means and single rates do.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    cells: Vec<Cell>,
    clock_sd_s_per_d: f64,
}

impl Column {
    /// Of cells that are not empty and in the usual order.
    pub(super) fn new(cells: Vec<Cell>, clock_sd_s_per_d: f64) -> Self {
        Self { cells, clock_sd_s_per_d }
    }

    /// Its readings, flat positions first.
    #[must_use]
    pub fn cells(&self) -> &[Cell] {
        &self.cells
    }

    /// Rate in a position, s/d, with the clock's uncertainty.
    #[must_use]
    pub fn rate_s_per_d(&self, stance: Stance) -> Option<Measured> {
        self.own_rate(stance).map(|rate| rate.with_added_sd(self.clock_sd_s_per_d))
    }

    /// Those of the six positions of the standard, which the statistics are of.
    pub fn standard(&self) -> impl Iterator<Item = &Cell> {
        self.cells.iter().filter(|cell| cell.stance.is_of_the_standard())
    }

    /// Mean rate over all positions of the standard that were read, s/d, each counting alike, with the
    /// clock's uncertainty.
    #[must_use]
    pub fn mean_rate_s_per_d(&self) -> Option<Measured> {
        mean(self.standard().map(|c| c.rate_s_per_d))
            .map(|m| m.with_added_sd(self.clock_sd_s_per_d))
    }

    /// Fastest less slowest of the positions of the standard.
    #[must_use]
    pub fn spread(&self) -> Option<Spread> {
        self.spread_of(Stance::is_of_the_standard)
    }

    /// Fastest less slowest of the positions chosen.
    #[must_use]
    pub fn spread_of(&self, chosen: impl Fn(Stance) -> bool) -> Option<Spread> {
        let rates: Vec<(Stance, Measured)> = self
            .cells
            .iter()
            .filter(|c| chosen(c.stance))
            .map(|c| (c.stance, c.rate_s_per_d))
            .collect();
        spread(&rates)
    }

    /// Mean of the upright positions less mean of the flat ones, s/d: the order that
    /// bib:observatoire-process has for its D (6H less CH).
    #[must_use]
    pub fn upright_less_flat_s_per_d(&self) -> Option<Measured> {
        let of = |flat| {
            mean(
                self.standard().filter(move |c| c.stance.is_flat() == flat).map(|c| c.rate_s_per_d),
            )
        };
        Some(of(false)?.minus(of(true)?))
    }

    /// Dial up less dial down, s/d.
    #[must_use]
    pub fn dial_up_less_dial_down_s_per_d(&self) -> Option<Measured> {
        Some(self.own_rate(Stance::DialUp)?.minus(self.own_rate(Stance::DialDown)?))
    }

    /// Dial up less dial down, degrees of amplitude.
    #[must_use]
    pub fn dial_up_less_dial_down_deg(&self) -> Option<Measured> {
        Some(self.amplitude(Stance::DialUp)?.minus(self.amplitude(Stance::DialDown)?))
    }

    /// Mean amplitude lying flat less mean amplitude upright, degrees; about 45 in a sound watch
    /// (bib:kleinlein1920, Nos. 51 and 55), 30 by others (bib:horopedia, "amplitude").
    #[must_use]
    pub fn amplitude_drop_deg(&self) -> Option<Measured> {
        let of = |flat: bool| {
            mean(
                self.standard()
                    .filter(move |c| c.stance.is_flat() == flat)
                    .filter_map(|c| c.amplitude_deg),
            )
        };
        Some(of(true)?.minus(of(false)?))
    }

    /// The position that is farthest from the mean of all, and how far, s/d, whichever way.
    #[must_use]
    pub fn greatest_departure_s_per_d(&self) -> Option<(Stance, Bounded)> {
        let (index, bounded) = greatest_of(&self.departures())?;
        Some((self.standard().nth(index)?.stance, bounded))
    }

    /// Each position of the standard less the mean of all of these, s/d, in the order of the cells.
    /// The mean holds the position itself, so `1 - 1/n` of its own scatter is left (GUM, bib:jcgm100).
    fn departures(&self) -> Vec<Measured> {
        let count = self.standard().count() as f64;
        let sum: f64 = self.standard().map(|c| c.rate_s_per_d.value).sum();
        let square: f64 = self.standard().map(|c| c.rate_s_per_d.sd.powi(2)).sum();
        let departure = |cell: &Cell| {
            let own = cell.rate_s_per_d.sd.powi(2);
            let rest = (square - own) / (count * count);
            let variance = own * (1.0 - 1.0 / count).powi(2) + rest.max(0.0);
            Measured::new(cell.rate_s_per_d.value - sum / count, variance.sqrt())
        };
        self.standard().map(departure).collect()
    }

    /// What changed from this state of wind to a later one of the same balance, position by
    /// position.
    #[must_use]
    pub fn change_to(&self, later: &Self) -> Vec<AcrossWind> {
        self.cells
            .iter()
            .filter_map(|early| {
                let late = later.cells.iter().find(|late| late.stance == early.stance)?;
                let amplitude = |c: &Cell| c.amplitude_deg;
                Some(AcrossWind {
                    stance: early.stance,
                    rate_s_per_d: late.rate_s_per_d.minus(early.rate_s_per_d),
                    amplitude_deg: amplitude(late)
                        .zip(amplitude(early))
                        .map(|(late, early)| late.minus(early)),
                })
            })
            .collect()
    }

    /// Without the clock's uncertainty, for differences.
    fn own_rate(&self, stance: Stance) -> Option<Measured> {
        self.cell(stance).map(|cell| cell.rate_s_per_d)
    }

    fn amplitude(&self, stance: Stance) -> Option<Measured> {
        self.cell(stance)?.amplitude_deg
    }

    fn cell(&self, stance: Stance) -> Option<&Cell> {
        self.cells.iter().find(|cell| cell.stance == stance)
    }

    /// Whether this upright position was read.
    #[must_use]
    pub fn has(&self, upright: Upright) -> bool {
        self.own_rate(Stance::Upright(upright)).is_some()
    }
}

/// From one state of wind to a later one, in one position; the clock cancels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AcrossWind {
    /// Position.
    pub stance: Stance,
    /// Later less earlier, s/d; negative: loses as it runs down.
    pub rate_s_per_d: Measured,
    /// Later less earlier, degrees.
    pub amplitude_deg: Option<Measured>,
}
