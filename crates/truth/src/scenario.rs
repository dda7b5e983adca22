use crate::balance::Balance;
use crate::error::ScenarioError;
use crate::laid_down::Truth;
use crate::noise::Noise;
use crate::reference::{SteppingReference, Steps};
use crate::room::Room;
use crate::swing::{LaidBeats, Swing};

/// All that makes up a recording. The same scenario gives the same bytes.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Nominal sample rate, Hz, 8,000 to 384,000. Default 48,000.
    pub sample_rate_hz: u32,
    /// Length in seconds of the recorder's nominal clock, above 0 and up to ten million.
    /// Default 30.
    pub duration_s: f64,
    /// Number of channels, 1 to 64. Default 1.
    pub channels: usize,
    /// Seed of everything random, except the voices, which have their own.
    pub seed: u64,
    /// The balances that run.
    pub balances: Vec<Balance>,
    /// Once-a-second references, e.g. a stepping quartz movement.
    pub references: Vec<SteppingReference>,
    /// What else is heard. Each draws its own random stream by its place in this list.
    pub noises: Vec<Noise>,
    /// A room that rings after all sounds but the recorder's own white noise and hum.
    pub room: Option<Room>,
    /// Error of the recorder's clock, ppm: true sample rate = nominal (1 + ppm/1e6).
    pub clock_error_ppm: f64,
    /// The recorder cuts everything beyond ± this; `None`: it never clips.
    pub clipping_level: Option<f64>,
}

impl Default for Scenario {
    fn default() -> Self {
        Self {
            sample_rate_hz: 48_000,
            duration_s: 30.0,
            channels: 1,
            seed: 0,
            balances: Vec::new(),
            references: Vec::new(),
            noises: Vec::new(),
            room: None,
            clock_error_ppm: 0.0,
            clipping_level: Some(1.0),
        }
    }
}

impl Scenario {
    /// Thirty seconds of silence, 48 kHz, one channel.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { seed, ..Self::default() }
    }

    /// With another balance.
    #[must_use]
    pub fn with_balance(mut self, balance: Balance) -> Self {
        self.balances.push(balance);
        self
    }

    /// With another noise.
    #[must_use]
    pub fn with_noise(mut self, noise: Noise) -> Self {
        self.noises.push(noise);
        self
    }

    /// With another once-a-second reference.
    #[must_use]
    pub fn with_reference(mut self, reference: SteppingReference) -> Self {
        self.references.push(reference);
        self
    }

    /// In a room that rings.
    #[must_use]
    pub fn with_room(mut self, room: Room) -> Self {
        self.room = Some(room);
        self
    }

    /// With this length, seconds.
    #[must_use]
    pub fn with_duration_s(mut self, duration_s: f64) -> Self {
        self.duration_s = duration_s;
        self
    }

    /// With this nominal sample rate, Hz.
    #[must_use]
    pub fn with_sample_rate_hz(mut self, sample_rate_hz: u32) -> Self {
        self.sample_rate_hz = sample_rate_hz;
        self
    }

    /// With this many channels.
    #[must_use]
    pub fn with_channels(mut self, channels: usize) -> Self {
        self.channels = channels;
        self
    }

    /// With this clock error of the recorder, ppm.
    #[must_use]
    pub fn with_clock_error_ppm(mut self, clock_error_ppm: f64) -> Self {
        self.clock_error_ppm = clock_error_ppm;
        self
    }

    /// Clipping at ± this; `None`: never.
    #[must_use]
    pub fn with_clipping_level(mut self, clipping_level: Option<f64>) -> Self {
        self.clipping_level = clipping_level;
        self
    }

    /// Whether all of it can be laid down.
    ///
    /// # Errors
    /// The first thing that is wrong, with the place where it stands.
    pub fn check(&self) -> Result<(), ScenarioError> {
        crate::check::check(self)
    }

    /// Number of frames (one sample for each channel), for a scenario that is sound.
    #[must_use]
    pub fn frames(&self) -> u64 {
        (self.duration_s * f64::from(self.sample_rate_hz)).round() as u64
    }

    /// Samples taken in a true second.
    #[must_use]
    pub fn true_sample_rate_hz(&self) -> f64 {
        f64::from(self.sample_rate_hz) * (1.0 + self.clock_error_ppm / 1e6)
    }

    /// Length in true seconds.
    #[must_use]
    pub fn true_duration_s(&self) -> f64 {
        self.frames() as f64 / self.true_sample_rate_hz()
    }

    /// What the recorder's nominal clock shows at a true time.
    #[must_use]
    pub fn recorder_time_s(&self, true_time_s: f64) -> f64 {
        true_time_s * (1.0 + self.clock_error_ppm / 1e6)
    }

    /// The beats that the balance with this index lays down, one after the other; `None` where
    /// there is no such balance.
    ///
    /// # Errors
    /// As [`Scenario::check`].
    pub fn beats(&self, balance: usize) -> Result<Option<LaidBeats>, ScenarioError> {
        self.check()?;
        Ok(self
            .balances
            .get(balance)
            .map(|b| LaidBeats::new(Swing::new(b, self.seed, balance), b, self.true_duration_s())))
    }

    /// When the steps of the reference with this index set in, true seconds, one after the
    /// other; `None` where there is no such reference.
    ///
    /// # Errors
    /// As [`Scenario::check`].
    pub fn step_times_s(
        &self,
        reference: usize,
    ) -> Result<Option<impl Iterator<Item = f64> + use<>>, ScenarioError> {
        self.check()?;
        let end_s = self.true_duration_s();
        Ok(self.references.get(reference).map(|r| {
            let steps = Steps::new(r, self.seed, reference);
            let (first, end) = (steps.first_index_from(0.0), steps.first_index_from(end_s));
            (first..end).map(move |index| steps.step(index).0)
        }))
    }

    /// What is laid down, worked out without making the sound.
    ///
    /// # Errors
    /// As [`Scenario::check`].
    pub fn truth(&self) -> Result<Truth, ScenarioError> {
        self.check()?;
        Ok(Truth::of(self))
    }
}
