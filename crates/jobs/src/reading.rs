use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::media::MediaHash;
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::repeats::Repeats;
use crate::text::{self, limit};
use crate::wordlist::wordlist;
use quantities::{Measured, Position};

/// A reading that was kept with its sound, with what read it, so that any number of it can be
/// derived again.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// In which job.
    pub job: JobId,
    /// Position of the watch, where it was said.
    pub position: Option<Position>,
    /// How far it was wound.
    pub wind: String,
    /// When the recording began.
    pub taken: Moment,
    /// How long it is, seconds.
    pub duration_s: f64,
    /// What recorded it.
    pub device: String,
    /// What it was read with.
    pub settings: ReadingSettings,
    /// Version of the program that read it.
    pub program: String,
    /// The sound.
    pub sound: Option<MediaHash>,
    /// Each balance that was heard.
    pub balances: Vec<BalanceReading>,
    /// How two balances stand to each other, where there are two.
    pub relation: Option<Relation>,
    /// Samples that were lost while it was taken, and stand in it as silence.
    pub lost_samples: u64,
    /// The warnings that came with it.
    pub warnings: Vec<ReadingWarning>,
    /// Free note.
    pub note: String,
}

/// Something to know about a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingWarning {
    /// Stable, for programs.
    pub code: String,
    /// For people.
    pub message: String,
}

/// What a reading was made with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingSettings {
    /// Lift angle of each balance, or one for all, degrees.
    pub lift_angles_deg: Vec<f64>,
    /// Beats per hour, where they were told: one for all balances, or one each.
    pub beats_per_hour: Vec<f64>,
    /// Number of balances, where it was told.
    pub balances: Option<u32>,
    /// Error of the recorder's clock that was taken out, and its uncertainty, parts per million.
    pub clock_error_ppm: Option<Measured>,
}

/// What was read of one balance. What could not be told is nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BalanceReading {
    /// Its letter.
    pub label: String,
    /// Beats per hour that it is made for.
    pub beats_per_hour: Option<f64>,
    /// Beats per hour as they were measured.
    pub measured_beats_per_hour: Option<f64>,
    /// Rate, seconds per day, against the recorder's clock.
    pub rate_s_per_d: Option<Measured>,
    /// Standard uncertainty of the rate with that of the clock, seconds per day.
    pub rate_sd_with_clock_s_per_d: Option<f64>,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Lift angle that the amplitude rests on, degrees.
    pub lift_angle_deg: Option<f64>,
    /// Beat error, milliseconds, half the difference of the two intervals.
    pub beat_error_ms: Option<Measured>,
    /// Beats that were used.
    pub beats_used: u64,
    /// Beats that there should have been.
    pub beats_expected: u64,
    /// Signal to noise, decibels.
    pub signal_to_noise_db: Option<f64>,
    /// What repeats in each series that could be searched; nothing where nobody looked yet, as in
    /// readings that were kept before this was.
    pub repeats: Option<Vec<Repeats>>,
}

wordlist! {
    /// How two balances stand to each other.
    pub enum RelationState {
        /// Their rates differ beyond doubt.
        Independent = "independent", "independent";
        /// One rate, one phase.
        Locked = "locked", "locked";
        /// Cannot be told from this recording.
        Unresolved = "unresolved", "unresolved";
    }
}

/// How two balances stand to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relation {
    /// How.
    pub state: RelationState,
    /// Difference of their rates, seconds per day.
    pub rate_difference_s_per_d: Option<f64>,
    /// When their beats coincide next, seconds from the start.
    pub next_coincidence_s: Option<f64>,
}

/// Longest recording: ten days, beyond any power reserve in use; our own choice.
const DURATION_S: f64 = 864_000.0;

impl Reading {
    fn numbers(&self) -> Vec<f64> {
        let mut numbers = vec![self.duration_s];
        numbers.extend(&self.settings.lift_angles_deg);
        numbers.extend(&self.settings.beats_per_hour);
        let measured = |m: Option<Measured>| m.map(|m| [m.value, m.sd]).into_iter().flatten();
        numbers.extend(measured(self.settings.clock_error_ppm));
        for balance in &self.balances {
            numbers.extend(balance.beats_per_hour);
            numbers.extend(balance.measured_beats_per_hour);
            numbers.extend(measured(balance.rate_s_per_d));
            numbers.extend(balance.rate_sd_with_clock_s_per_d);
            numbers.extend(measured(balance.amplitude_deg));
            numbers.extend(balance.lift_angle_deg);
            numbers.extend(measured(balance.beat_error_ms));
            numbers.extend(balance.signal_to_noise_db);
            numbers.extend(balance.repeats.iter().flatten().flat_map(Repeats::numbers));
        }
        if let Some(relation) = &self.relation {
            numbers.extend(relation.rate_difference_s_per_d);
            numbers.extend(relation.next_coincidence_s);
        }
        numbers
    }
}

impl Record for Reading {
    const KIND: Kind = Kind::Reading;

    fn check(&self) -> Result<(), Invalid> {
        text::line("state of wind", &self.wind)?;
        text::within("duration", self.duration_s, 0.0, DURATION_S)?;
        text::line("device", &self.device)?;
        text::line("program", &self.program)?;
        text::few_enough("lift angles", &self.settings.lift_angles_deg, limit::ENTRIES)?;
        text::few_enough("balances", &self.balances, limit::ENTRIES)?;
        for balance in &self.balances {
            text::filled_line("label", &balance.label)?;
            let repeats = balance.repeats.as_deref().unwrap_or_default();
            text::few_enough("series", repeats, limit::ENTRIES)?;
            repeats.iter().try_for_each(Repeats::check)?;
        }
        text::few_enough("warnings", &self.warnings, limit::ENTRIES)?;
        text::few_enough("beats per hour", &self.settings.beats_per_hour, limit::ENTRIES)?;
        for warning in &self.warnings {
            text::filled_line("warning", &warning.code)?;
            text::notes("warning", &warning.message)?;
        }
        text::notes("note", &self.note)?;
        if self.numbers().iter().all(|number| number.is_finite()) {
            Ok(())
        } else {
            Err(Invalid::new("reading", Problem::NotANumber))
        }
    }

    fn fields(&self) -> Vec<Field> {
        let Self {
            job,
            position,
            wind,
            taken,
            duration_s,
            device,
            settings,
            program,
            sound,
            balances,
            relation,
            lost_samples,
            warnings,
            note,
        } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.maybe("position", position.map(Position::symbol));
        fields.text("state of wind", wind);
        fields.put("taken", taken);
        fields.number("duration in seconds", Some(*duration_s));
        fields.text("device", device);
        put_settings(settings, &mut fields);
        fields.text("program", program);
        fields.maybe("sound", *sound);
        for (n, balance) in (1..).zip(balances) {
            put_balance(n, balance, &mut fields);
        }
        if let Some(Relation { state, rate_difference_s_per_d, next_coincidence_s }) = relation {
            fields.put("relation", state.words());
            fields.number("difference of rates in s/d", *rate_difference_s_per_d);
            fields.number("next coincidence in s", *next_coincidence_s);
        }
        if *lost_samples > 0 {
            fields.put("lost samples", lost_samples);
        }
        for (n, ReadingWarning { code, message }) in (1..).zip(warnings) {
            fields.put(format!("warning {n}, code"), code);
            fields.put(format!("warning {n}"), message);
        }
        fields.text("note", note);
        fields.into_list()
    }

    fn title(&self) -> String {
        let position = self.position.map_or("position not said", Position::words);
        let rates = self.balances.iter().filter_map(|balance| {
            balance.rate_s_per_d.map(|rate| format!("{} {:+.1} s/d", balance.label, rate.value))
        });
        std::iter::once(position.to_owned()).chain(rates).collect::<Vec<_>>().join(", ")
    }

    fn found_by(&self) -> Vec<String> {
        let mut texts = vec![self.note.clone(), self.wind.clone(), self.device.clone()];
        texts.extend(self.position.map(|position| position.symbol().to_owned()));
        texts
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}

fn put_measured(name: &str, unit: &str, value: Option<Measured>, fields: &mut Fields) {
    fields.number(&format!("{name} in {unit}"), value.map(|measured| measured.value));
    fields.number(&format!("uncertainty of {name} in {unit}"), value.map(|measured| measured.sd));
}

fn put_settings(settings: &ReadingSettings, fields: &mut Fields) {
    let ReadingSettings { lift_angles_deg, beats_per_hour, balances, clock_error_ppm } = settings;
    for (n, deg) in (1..).zip(lift_angles_deg) {
        fields.number(&format!("lift angle {n} in degrees"), Some(*deg));
    }
    for (n, beats) in (1..).zip(beats_per_hour) {
        fields.number(&format!("told beats per hour {n}"), Some(*beats));
    }
    fields.maybe("told number of balances", *balances);
    put_measured("the clock's error", "ppm", *clock_error_ppm, fields);
}

fn put_balance(n: usize, balance: &BalanceReading, fields: &mut Fields) {
    let BalanceReading {
        label,
        beats_per_hour,
        measured_beats_per_hour,
        rate_s_per_d,
        rate_sd_with_clock_s_per_d,
        amplitude_deg,
        lift_angle_deg,
        beat_error_ms,
        beats_used,
        beats_expected,
        signal_to_noise_db,
        repeats,
    } = balance;
    let name = |what: &str| format!("balance {n}, {what}");
    fields.put(name("label"), label);
    fields.number(&name("beats per hour"), *beats_per_hour);
    fields.number(&name("measured beats per hour"), *measured_beats_per_hour);
    put_measured(&name("rate"), "s/d", *rate_s_per_d, fields);
    fields.number(&name("uncertainty of rate with the clock's"), *rate_sd_with_clock_s_per_d);
    put_measured(&name("amplitude"), "degrees", *amplitude_deg, fields);
    fields.number(&name("lift angle in degrees"), *lift_angle_deg);
    put_measured(&name("beat error"), "ms", *beat_error_ms, fields);
    fields.put(name("beats used"), beats_used);
    fields.put(name("beats expected"), beats_expected);
    fields.number(&name("signal to noise in dB"), *signal_to_noise_db);
    fields.maybe(&name("series searched"), repeats.as_ref().map(Vec::len));
    for (n, one) in (1..).zip(repeats.iter().flatten()) {
        one.put(&name(&format!("series {n}")), fields);
    }
}
