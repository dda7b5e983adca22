use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::text;
use crate::wordlist::wordlist;

wordlist! {
    /// Size of the movement, as ISO 3159 tells two apart.
    pub enum TrialSize {
        /// Over 20 mm in diameter.
        Over20Mm = "large", "movement over 20 mm";
        /// 20 mm in diameter or less.
        UpTo20Mm = "small", "movement up to 20 mm";
    }
}

/// Fifteen days of daily rates by the programme of ISO 3159: where the watch lies and how warm it
/// is on each day stands in the programme, not here.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// In which job.
    pub job: JobId,
    /// The letter of the balance; empty: the watch.
    pub balance: String,
    /// Whose limits count.
    pub size: TrialSize,
    /// When the first day began: the watch was wound, its state taken. Each day is 24 hours from
    /// there on.
    pub begun: Moment,
    /// How well a rate that was entered is known, s/d, one standard deviation; nought: it counts as
    /// exact.
    pub rate_sd_s_per_d: f64,
    /// The rates, day by day; none where it is not entered yet.
    pub days: [Option<TrialRate>; Trial::DAYS],
    /// Free note.
    pub note: String,
}

/// The rate of one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialRate {
    /// s/d, gaining positive.
    pub rate_s_per_d: f64,
    /// Its own standard uncertainty, s/d, without that of a clock; none: as the trial says.
    pub sd_s_per_d: Option<f64>,
    /// Uncertainty of the recorder's clock, s/d; nought where the rate came from no recording.
    pub clock_sd_s_per_d: f64,
    /// The mean of how many readings of minutes stands for the day; nought where it was entered.
    pub readings: u32,
}

impl TrialRate {
    /// As it is entered by hand.
    #[must_use]
    pub const fn entered(rate_s_per_d: f64) -> Self {
        Self { rate_s_per_d, sd_s_per_d: None, clock_sd_s_per_d: 0.0, readings: 0 }
    }
}

/// A watch that goes wrong by more than this is no candidate; a rate beyond is a slip of the
/// keyboard. Our own choice.
const RATE_S_PER_D: f64 = 1000.0;

const DAY_MS: i64 = 86_400_000;

impl Trial {
    /// How many days it has.
    pub const DAYS: usize = 15;

    /// When a day begins, counted from 1: 24 hours after the one before it. Day 16 is the end.
    #[must_use]
    pub fn day_begins(&self, day: usize) -> Moment {
        let days = i64::try_from(day).unwrap_or(i64::MAX).saturating_sub(1);
        Moment::from_ms(self.begun.ms().saturating_add(days.saturating_mul(DAY_MS)))
    }

    /// How many days have a rate.
    #[must_use]
    pub fn entered(&self) -> usize {
        self.days.iter().flatten().count()
    }
}

impl Record for Trial {
    const KIND: Kind = Kind::Trial;

    fn check(&self) -> Result<(), Invalid> {
        text::line("balance", &self.balance)?;
        text::notes("note", &self.note)?;
        let last = self.day_begins(Self::DAYS + 1).ms();
        if self.begun.ms() < 0 || jiff::Timestamp::from_millisecond(last).is_err() {
            let problem = "fifteen days from there are no days of a calendar in use; please check \
                           the date.";
            return Err(Invalid::new("first day", Problem::Contradiction(problem)));
        }
        text::within("uncertainty of a rate", self.rate_sd_s_per_d, 0.0, RATE_S_PER_D)?;
        for (day, rate) in (1..).zip(&self.days) {
            let Some(rate) = rate else { continue };
            let name = |what: &str| format!("{what} of day {day}");
            text::within(&name("rate"), rate.rate_s_per_d, -RATE_S_PER_D, RATE_S_PER_D)?;
            let sds = [rate.sd_s_per_d.unwrap_or(0.0), rate.clock_sd_s_per_d];
            for sd in sds {
                text::within(&name("uncertainty"), sd, 0.0, RATE_S_PER_D)?;
            }
        }
        Ok(())
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, balance, size, begun, rate_sd_s_per_d, days, note } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.text("balance", balance);
        fields.put("size", size.words());
        fields.put("first day began", begun);
        fields.number("uncertainty of a rate in s/d", Some(*rate_sd_s_per_d));
        for (day, rate) in (1..).zip(days) {
            let Some(TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings }) = rate
            else {
                continue;
            };
            let name = |what: &str| format!("day {day}, {what}");
            fields.number(&name("rate in s/d"), Some(*rate_s_per_d));
            fields.number(&name("uncertainty in s/d"), *sd_s_per_d);
            if *clock_sd_s_per_d != 0.0 {
                fields.number(&name("uncertainty of the clock in s/d"), Some(*clock_sd_s_per_d));
            }
            if *readings > 0 {
                fields.put(name("readings"), readings);
            }
        }
        fields.text("note", note);
        fields.into_list()
    }

    fn title(&self) -> String {
        let whose =
            if self.balance.is_empty() { String::new() } else { format!(" {}", self.balance) };
        format!("trial of {} days{whose}, {}", Self::DAYS, self.size.words())
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.note.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}
