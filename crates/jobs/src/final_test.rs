use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::text::{self, limit};
use crate::wordlist::wordlist;

wordlist! {
    /// What is proven before a watch goes back.
    pub enum TestOf {
        /// Rate over positions.
        Rate = "rate", "rate over positions";
        /// How long it runs once wound.
        RunningTime = "running_time", "running time";
        /// Whether wearing winds it.
        AutomaticWinding = "automatic_winding", "automatic winding";
        /// Whether water stays out.
        WaterResistance = "water_resistance", "water resistance";
        /// What a magnetic field leaves.
        Magnetism = "magnetism", "magnetism";
        /// Hands and calendar over a day and through midnight.
        HandsAndCalendar = "hands_and_calendar", "hands and calendar";
        /// How it looks.
        Cosmetic = "cosmetic", "looks";
        /// Anything else.
        Other = "other", "other test";
    }
}

wordlist! {
    /// How a test came out, in the repairer's judgement.
    pub enum TestOutcome {
        /// As it should be.
        Passed = "passed", "passed";
        /// Not as it should be.
        Failed = "failed", "failed";
        /// It proves nothing either way, or is still going on.
        Open = "open", "not decided";
    }
}

wordlist! {
    /// By what limits a test is judged.
    pub enum TestBy {
        /// The workshop's own.
        Own = "own", "own limits";
        /// Ordinary watches that are called water-resistant.
        Iso22810 = "iso_22810", "ISO 22810";
        /// Divers' watches.
        Iso6425 = "iso_6425", "ISO 6425";
        /// Magnetic resistant watches.
        Iso764 = "iso_764", "ISO 764";
    }
}

wordlist! {
    /// Something that is measured or set in a test; its unit is part of its meaning.
    pub enum FigureOf {
        /// s/d.
        MeanRate = "mean_rate_s_per_d", "mean rate, s/d";
        /// s/d.
        RateSpread = "rate_spread_s_per_d", "spread of the positions, s/d";
        /// Hours since it was wound when it was last looked at.
        Ran = "ran_h", "ran, h";
        /// Hours that are wanted.
        RunWanted = "run_wanted_h", "running time wanted, h";
        /// Hours between looks at a watch that was found stopped.
        LookedEvery = "looked_every_h", "looked at every, h";
        /// Turns of the winder, or hours of wear.
        WindingTurns = "winding_turns", "turns of the winder";
        /// Hours of wear.
        Worn = "worn_h", "worn, h";
        /// Bar, as the watch is marked.
        MarkedBar = "marked_bar", "marked with, bar";
        /// Bar over that of the air.
        TestBar = "test_bar", "tested with, bar";
        /// Minutes under pressure, or in water.
        TestMinutes = "test_min", "for, min";
        /// Micrograms of air a minute.
        Leak = "leak_ug_per_min", "leak, µg/min";
        /// Micrometres by which the case gives under pressure.
        Gives = "gives_um", "case gives, µm";
        /// Micrometres by which it gives less at the end than at first.
        GivesBack = "gives_back_um", "of which lost again, µm";
        /// A/m.
        Field = "field_a_per_m", "field, A/m";
        /// s/d, before the field.
        RateBefore = "rate_before_s_per_d", "rate before, s/d";
        /// s/d, its standard uncertainty.
        RateBeforeSd = "rate_before_sd_s_per_d", "± of it, s/d";
        /// s/d, after the field.
        RateAfter = "rate_after_s_per_d", "rate after, s/d";
        /// s/d, its standard uncertainty.
        RateAfterSd = "rate_after_sd_s_per_d", "± of the rate after, s/d";
        /// Minutes after midnight by its own hands at which the calendar had changed.
        CalendarChanged = "calendar_changed_min", "calendar changed, min after midnight";
        /// Minutes from midnight within which it may change.
        CalendarWithin = "calendar_within_min", "may change within, min";
    }
}

wordlist! {
    /// Something that is seen or not.
    pub enum SignOf {
        /// Air pressed on it or drawn from it.
        DryTest = "dry_test", "tested dry, with air";
        /// Water under pressure.
        WetTest = "wet_test", "tested under water";
        /// A drop of cool water on the warmed glass.
        CondensationTest = "condensation_test", "tested with a cool drop on the warm glass";
        /// On the inside of the glass.
        Fog = "fog", "fog inside the glass";
        /// From the case under water, or water in it.
        WaterOrBubbles = "water_or_bubbles", "bubbles, or water inside";
        /// When it was last looked at.
        StillRan = "still_ran", "still ran";
        /// In the field.
        StoppedInField = "stopped_in_field", "stopped in the field";
        /// Day, date, moon after midnight.
        CalendarRight = "calendar_right", "calendar shows right";
        /// Of each other, the dial and the glass.
        HandsClear = "hands_clear", "hands clear all round";
        /// The minute hand is upright on the hour.
        HandsAgree = "hands_agree", "hands agree";
        /// No scratches, dust or fingerprints that were not there.
        LooksRight = "looks_right", "nothing scratched, no dust under the glass";
    }
}

/// A test that a watch went through before it goes back.
#[derive(Debug, Clone, PartialEq)]
pub struct FinalTest {
    /// In which job.
    pub job: JobId,
    /// Of what.
    pub of: TestOf,
    /// When it was made, or ended.
    pub at: Moment,
    /// By what limits.
    pub by: TestBy,
    /// With which instrument.
    pub instrument: String,
    /// Under which conditions: temperature, state of wind, position.
    pub conditions: String,
    /// What was measured and set, each once.
    pub figures: Vec<(FigureOf, f64)>,
    /// What was looked for and whether it was there, each once; what nobody looked for is not in it.
    pub signs: Vec<(SignOf, bool)>,
    /// How it came out.
    pub outcome: TestOutcome,
    /// Free note.
    pub note: String,
}

/// Larger than any figure of a test: a field in A/m before all; our own choice.
const FIGURE: f64 = 1e7;

impl Record for FinalTest {
    const KIND: Kind = Kind::FinalTest;

    fn check(&self) -> Result<(), Invalid> {
        text::line("instrument", &self.instrument)?;
        text::line("conditions", &self.conditions)?;
        text::notes("note", &self.note)?;
        text::few_enough("figures", &self.figures, limit::ENTRIES)?;
        for (n, (what, value)) in self.figures.iter().enumerate() {
            once(what.words(), self.figures[..n].iter().any(|(earlier, _)| earlier == what))?;
            text::within(what.words(), *value, -FIGURE, FIGURE)?;
        }
        for (n, (what, _)) in self.signs.iter().enumerate() {
            once(what.words(), self.signs[..n].iter().any(|(earlier, _)| earlier == what))?;
        }
        Ok(())
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, of, at, by, instrument, conditions, figures, signs, outcome, note } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.put("test of", of.words());
        fields.put("at", at);
        fields.put("by", by.words());
        fields.text("instrument", instrument);
        fields.text("conditions", conditions);
        // Numbered, because the order in which they were entered is kept as well.
        for (n, (what, value)) in (1..).zip(figures) {
            fields.number(&format!("figure {n}, {}", what.words()), Some(*value));
        }
        for (n, (what, seen)) in (1..).zip(signs) {
            fields.put(format!("sign {n}, {}", what.words()), if *seen { "yes" } else { "no" });
        }
        fields.put("outcome", outcome.words());
        fields.text("note", note);
        fields.into_list()
    }

    fn title(&self) -> String {
        format!("{}, {}", self.of.words(), self.outcome.words())
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.instrument.clone(), self.conditions.clone(), self.note.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}

fn once(what: &str, is_twice: bool) -> Result<(), Invalid> {
    if is_twice {
        return Err(Invalid::new("test", Problem::Twice { what: what.to_owned() }));
    }
    Ok(())
}
