//! Fifteen daily rates for a chronometer's test.

use crate::entry::What;
use crate::read::RateFile;
use crate::rounds::rate_of;
use crate::unfit::{Unfit, Wrong};
use horology::chronometer::{DAYS, schedule};
use horology::stance::Stance;
use quantities::Measured;

impl RateFile {
    /// The rates of the fifteen days in their order, s/d, as rates or from readings of the hands of
    /// a watch that is not set between. Days and positions, where they are written, must be those
    /// of the schedule.
    ///
    /// # Errors
    /// [`Wrong::Days`], [`Wrong::Schedule`], a move or another balance among them.
    pub fn fifteen_days(&self) -> Result<[Measured; DAYS], Unfit> {
        if self.balances.len() > 1 {
            return Err(Unfit::whole(Wrong::TooMany { most: 1, what: "balance" }));
        }
        let mut ahead_s = Measured::new(0.0, 0.0);
        let mut rates = Vec::new();
        for entry in &self.entries {
            let reading = match entry.what {
                What::Read(reading) => reading,
                What::Set(to) => {
                    ahead_s = to;
                    continue;
                }
                What::Moved { .. } => {
                    let said = "a watch is not touched in the fifteen days of the test";
                    return Err(Unfit::at(entry.at, Wrong::Row(said)));
                }
            };
            let day = rates.len() + 1;
            if entry.day.is_some_and(|own| own != day) {
                let said = "the days must stand in their order, from 1 to 15";
                return Err(Unfit::at(entry.at, Wrong::Row(said)));
            }
            let wanted = schedule().get(day - 1).map(|day| Stance::from(day.position));
            if let (Some(given), Some(wanted)) = (reading.stance, wanted)
                && given != wanted
            {
                let (wanted, given) = (wanted.to_string(), given.to_string());
                return Err(Unfit::at(entry.at, Wrong::Schedule { day, wanted, given }));
            }
            rates.push(rate_of(entry.at, &reading, &mut ahead_s)?);
        }
        let given = rates.len();
        rates.try_into().map_err(|_| Unfit::whole(Wrong::Days { given, wanted: DAYS }))
    }
}
