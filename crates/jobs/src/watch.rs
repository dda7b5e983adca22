use crate::fields::{Field, Fields};
use crate::id::OwnerId;
use crate::invalid::{Invalid, Problem};
use crate::record::{AnyId, Kind, Record};
use crate::text::{self, limit};
use quantities::{BeatFrequency, LiftAngle};

/// A watch, across all its visits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Watch {
    /// Whose it is, where that is known.
    pub owner: Option<OwnerId>,
    /// What it is, in words.
    pub description: String,
    /// The calibre of its movement, as it is written.
    pub calibre: String,
    /// Numbers on case, movement and elsewhere, as they are written.
    pub serial_numbers: Vec<String>,
    /// What is known of each balance, in the order of their letters.
    pub balances: Vec<WatchBalance>,
    /// The rate that is aimed at, s/d, where it is not the middle of the workshop's tolerance.
    pub target_s_per_d: Option<f64>,
    /// Its trains, springs and balances in their written form. What it means is not known here.
    pub movement: String,
    /// Free notes.
    pub notes: String,
}

/// What is known of one balance of a watch.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WatchBalance {
    /// Lift angle, degrees.
    pub lift_angle_deg: Option<f64>,
    /// Beats per hour.
    pub beats_per_hour: Option<f64>,
}

impl WatchBalance {
    fn check(self, n: usize) -> Result<(), Invalid> {
        let refused = |what: &str, is: f64, range: quantities::OutOfRange| {
            let (from, to) = (range.least.to_string(), range.most.to_string());
            let problem = Problem::OutOfRange { is: is.to_string(), from, to };
            Err(Invalid::new(format!("{what} of balance {n}"), problem))
        };
        if let Some(deg) = self.lift_angle_deg
            && let Err(range) = LiftAngle::from_deg(deg)
        {
            return refused("lift angle", deg, range);
        }
        if let Some(per_hour) = self.beats_per_hour
            && let Err(range) = BeatFrequency::from_per_hour(per_hour)
        {
            return refused("beats per hour", per_hour, range);
        }
        Ok(())
    }
}

/// Nobody regulates a watch farther off than this, s/d; our own choice.
const TARGET_S_PER_D: f64 = 100.0;

impl Record for Watch {
    const KIND: Kind = Kind::Watch;

    fn check(&self) -> Result<(), Invalid> {
        text::filled_line("description", &self.description)?;
        text::line("calibre", &self.calibre)?;
        text::few_enough("serial numbers", &self.serial_numbers, limit::ENTRIES)?;
        self.serial_numbers.iter().try_for_each(|number| text::line("serial number", number))?;
        text::few_enough("balances", &self.balances, limit::ENTRIES)?;
        (1..).zip(&self.balances).try_for_each(|(n, balance)| balance.check(n))?;
        if let Some(target) = self.target_s_per_d {
            text::within("target rate", target, -TARGET_S_PER_D, TARGET_S_PER_D)?;
        }
        text::notes("movement", &self.movement)?;
        text::notes("notes", &self.notes)
    }

    fn fields(&self) -> Vec<Field> {
        let Self {
            owner,
            description,
            calibre,
            serial_numbers,
            balances,
            target_s_per_d,
            movement,
            notes,
        } = self;
        let mut fields = Fields::default();
        fields.maybe("owner", *owner);
        fields.text("description", description);
        fields.text("calibre", calibre);
        fields.texts("serial number", serial_numbers);
        fields.put("number of balances", balances.len());
        for (n, balance) in (1..).zip(balances) {
            let WatchBalance { lift_angle_deg, beats_per_hour } = *balance;
            fields.number(&format!("balance {n}, lift angle in degrees"), lift_angle_deg);
            fields.number(&format!("balance {n}, beats per hour"), beats_per_hour);
        }
        fields.number("target rate in s/d", *target_s_per_d);
        fields.text("movement", movement);
        fields.text("notes", notes);
        fields.into_list()
    }

    fn title(&self) -> String {
        if self.calibre.is_empty() {
            self.description.clone()
        } else {
            format!("{}, {}", self.description, self.calibre)
        }
    }

    fn found_by(&self) -> Vec<String> {
        let mut texts = vec![self.description.clone(), self.calibre.clone(), self.notes.clone()];
        texts.extend(self.serial_numbers.iter().cloned());
        texts
    }

    fn belongs_to(&self) -> Option<AnyId> {
        self.owner.map(|id| AnyId { kind: Kind::Owner, uuid: id.uuid() })
    }
}
