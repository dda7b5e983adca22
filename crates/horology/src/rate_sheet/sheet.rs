use super::bounds::checked;
use super::column::Column;
use super::error::SheetError;
use crate::stance::Stance;
use quantities::Measured;
use std::fmt;

/// How far the mainspring has run down, in minutes since it was fully wound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Wind {
    /// Minutes; none: fully wound.
    pub minutes_since_wound: u32,
}

impl Wind {
    /// Fully wound.
    pub const FULL: Self = Self { minutes_since_wound: 0 };

    /// So many whole hours after full winding.
    #[must_use]
    pub fn after_hours(hours: u16) -> Self {
        Self { minutes_since_wound: 60 * u32::from(hours) }
    }

    /// Hours since it was fully wound.
    #[must_use]
    pub fn hours(self) -> f64 {
        f64::from(self.minutes_since_wound) / 60.0
    }
}

impl fmt::Display for Wind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hours, minutes) = (self.minutes_since_wound / 60, self.minutes_since_wound % 60);
        match (hours, minutes) {
            (0, 0) => write!(f, "fully wound"),
            (hours, 0) => write!(f, "{hours} h after winding"),
            (hours, minutes) => write!(f, "{hours} h {minutes} min after winding"),
        }
    }
}

/// How well a position repeats itself beyond what its reading says, s/d, where nobody knows better:
/// settling, shake of the pivots, oil (common practice, no published source). What is read off
/// several positions or states of wind is no better than this, however long each was read.
pub const REPEAT_SD_S_PER_D: f64 = 0.5;

/// One reading on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Which balance, from 0.
    pub balance: usize,
    /// State of wind.
    pub wind: Wind,
    /// Position.
    pub stance: Stance,
    /// Rate, s/d, gaining positive, with the uncertainty of this reading alone.
    pub rate_s_per_d: Measured,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Beat error, ms, half the difference.
    pub beat_error_ms: Option<Measured>,
}

/// All readings of a watch: positions by states of wind by balances.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RateSheet {
    cells: Vec<Cell>,
    clock_sd_s_per_d: f64,
}

impl RateSheet {
    /// An empty sheet, for a recorder's clock that is uncertain by so much, s/d. That uncertainty
    /// is common to all readings: it joins in where a rate stands alone or in a mean, and cancels
    /// where two are compared.
    ///
    /// # Errors
    /// [`SheetError::NotANumber`].
    pub fn new(clock_sd_s_per_d: f64) -> Result<Self, SheetError> {
        let clock = checked("clock's uncertainty", Measured::new(0.0, clock_sd_s_per_d))?;
        Ok(Self { cells: Vec::new(), clock_sd_s_per_d: clock.sd })
    }

    /// Puts a reading in.
    ///
    /// # Errors
    /// [`SheetError::NotANumber`]; [`SheetError::Twice`] where the cell is taken.
    pub fn put(&mut self, cell: Cell) -> Result<(), SheetError> {
        checked("rate", cell.rate_s_per_d)?;
        for (what, number) in
            [("amplitude", cell.amplitude_deg), ("beat error", cell.beat_error_ms)]
        {
            number.map(|number| checked(what, number)).transpose()?;
        }
        let Cell { balance, wind, stance, .. } = cell;
        if self.cell(balance, wind, stance).is_some() {
            return Err(SheetError::Twice { balance, wind, stance });
        }
        self.cells.push(cell);
        Ok(())
    }

    /// One reading.
    #[must_use]
    pub fn cell(&self, balance: usize, wind: Wind, stance: Stance) -> Option<&Cell> {
        self.cells.iter().find(|c| c.balance == balance && c.wind == wind && c.stance == stance)
    }

    /// A sheet with those readings alone that are wanted.
    #[must_use]
    pub fn only(&self, wanted: impl Fn(&Cell) -> bool) -> Self {
        let cells = self.cells.iter().filter(|cell| wanted(cell)).copied().collect();
        Self { cells, clock_sd_s_per_d: self.clock_sd_s_per_d }
    }

    /// All readings, in the order in which they were put in.
    #[must_use]
    pub fn cells(&self) -> &[Cell] {
        &self.cells
    }

    /// Uncertainty of the recorder's clock, s/d.
    #[must_use]
    pub fn clock_sd_s_per_d(&self) -> f64 {
        self.clock_sd_s_per_d
    }

    /// The balances that were read, ascending.
    #[must_use]
    pub fn balances(&self) -> Vec<usize> {
        sorted(self.cells.iter().map(|c| c.balance))
    }

    /// The states of wind in which a balance was read, from full wind on.
    #[must_use]
    pub fn winds(&self, balance: usize) -> Vec<Wind> {
        sorted(self.cells.iter().filter(|c| c.balance == balance).map(|c| c.wind))
    }

    /// One balance in one state of wind, positions in their usual order (flat first).
    ///
    /// # Errors
    /// [`SheetError::NotRead`].
    pub fn column(&self, balance: usize, wind: Wind) -> Result<Column, SheetError> {
        let mut cells: Vec<Cell> =
            self.cells.iter().filter(|c| c.balance == balance && c.wind == wind).copied().collect();
        cells.sort_by_key(|c| c.stance);
        if cells.is_empty() {
            return Err(SheetError::NotRead { balance, wind });
        }
        Ok(Column::new(cells, self.clock_sd_s_per_d))
    }
}

fn sorted<T: Ord>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::Position;

    fn cell(balance: usize, wind: Wind, position: Position, rate: f64) -> Cell {
        Cell {
            balance,
            wind,
            stance: position.into(),
            rate_s_per_d: Measured::new(rate, 0.5),
            amplitude_deg: None,
            beat_error_ms: None,
        }
    }

    #[test]
    fn one_reading_to_a_cell() {
        let mut sheet = RateSheet::new(1.7).unwrap();
        sheet.put(cell(1, Wind::after_hours(24), Position::H6, 3.0)).unwrap();
        sheet.put(cell(0, Wind::FULL, Position::H6, 3.0)).unwrap();
        sheet.put(cell(0, Wind::FULL, Position::CH, 4.0)).unwrap();
        let again = sheet.put(cell(1, Wind::after_hours(24), Position::H6, 5.0));
        assert_eq!(
            again.unwrap_err().to_string(),
            "balance 2, 24 h after winding, has two readings in 6H; keep one of them, or join \
             them first"
        );
        assert!(sheet.put(cell(0, Wind::FULL, Position::H9, f64::NAN)).is_err());
        assert_eq!(sheet.balances(), [0, 1]);
        assert_eq!(sheet.winds(1), [Wind::after_hours(24)]);
        let column = sheet.column(0, Wind::FULL).unwrap();
        assert_eq!(column.cells().len(), 2);
        assert_eq!(column.cells()[0].stance, Stance::DialUp);
        assert_eq!(
            sheet.column(1, Wind::FULL).unwrap_err().to_string(),
            "balance 2 was not read in the state of wind asked for (fully wound)"
        );
        assert_eq!(Wind { minutes_since_wound: 90 }.to_string(), "1 h 30 min after winding");
    }
}
