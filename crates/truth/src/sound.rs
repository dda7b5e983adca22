use crate::balance::{Balance, Path};
use crate::burst::ReadyBurst;
use crate::draws::Draws;
use crate::error::ScenarioError;
use crate::laid_down::Truth;
use crate::mix::{CHUNK, Mix, Source};
use crate::noise;
use crate::reference::StepSource;
use crate::room::RoomTail;
use crate::scenario::Scenario;
use crate::swing::{LaidBeat, Swing};

/// A recording in the making: fetch it block by block. What it holds in memory does not grow
/// with the length of the recording.
pub struct Sound {
    scenario: Scenario,
    mix: Mix,
    in_the_room: Vec<Box<dyn Source>>,
    room: Option<RoomTail>,
    at_the_recorder: Vec<Box<dyn Source>>,
    chunk: Vec<f32>,
    fetched: usize,
    frames_left: u64,
}

impl std::fmt::Debug for Sound {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Sound")
            .field("scenario", &self.scenario)
            .field("frames_left", &self.frames_left)
            .finish_non_exhaustive()
    }
}

impl Sound {
    /// Sound of this scenario, at its beginning.
    ///
    /// # Errors
    /// As [`Scenario::check`].
    pub fn new(scenario: &Scenario) -> Result<Self, ScenarioError> {
        scenario.check()?;
        let rate = scenario.true_sample_rate_hz();
        let mut in_the_room: Vec<Box<dyn Source>> = Vec::new();
        for (place, balance) in scenario.balances.iter().enumerate() {
            in_the_room.push(Box::new(BalanceSource::new(balance, scenario.seed, place, rate)));
        }
        for (place, reference) in scenario.references.iter().enumerate() {
            in_the_room.push(Box::new(StepSource::new(reference, scenario.seed, place, rate)));
        }
        let mut at_the_recorder = Vec::new();
        for (place, noise) in scenario.noises.iter().enumerate() {
            let source = noise::source(noise, scenario, place as u64);
            if noise.sounds_in_the_room() {
                in_the_room.push(source);
            } else {
                at_the_recorder.push(source);
            }
        }
        Ok(Self {
            mix: Mix::new(scenario.channels, rate),
            in_the_room,
            room: scenario
                .room
                .as_ref()
                .map(|room| RoomTail::new(room, scenario.seed, scenario.channels, rate)),
            at_the_recorder,
            chunk: Vec::new(),
            fetched: 0,
            frames_left: scenario.frames(),
            scenario: scenario.clone(),
        })
    }

    /// Number of channels.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.scenario.channels
    }

    /// What the sound was made from.
    #[must_use]
    pub fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// What is laid down in the whole recording; takes a moment for a long one, since every
    /// beat is worked out.
    #[must_use]
    pub fn truth(&self) -> Truth {
        Truth::of(&self.scenario)
    }

    /// Fills a block with the next samples, channels interleaved, and says how many samples
    /// (not frames) it got: fewer than asked only at the end, then 0. A block may end within a
    /// frame; the next one goes on from there.
    pub fn fill(&mut self, block: &mut [f32]) -> usize {
        let mut filled = 0;
        while filled < block.len() {
            if self.fetched == self.chunk.len() && !self.make_chunk() {
                break;
            }
            let ready = &self.chunk[self.fetched..];
            let take = ready.len().min(block.len() - filled);
            block[filled..filled + take].copy_from_slice(&ready[..take]);
            self.fetched += take;
            filled += take;
        }
        filled
    }

    /// All that is left, channels interleaved. For short recordings: this does hold everything
    /// in memory.
    #[must_use]
    pub fn rest(mut self) -> Vec<f32> {
        let left = self.chunk.len() - self.fetched
            + (self.frames_left as usize).saturating_mul(self.channels());
        let mut all = vec![0.0; left];
        let filled = self.fill(&mut all);
        all.truncate(filled);
        all
    }

    /// Makes the next chunk; false at the end.
    fn make_chunk(&mut self) -> bool {
        let frames = self.frames_left.min(CHUNK as u64) as usize;
        if frames == 0 {
            return false;
        }
        for source in &mut self.in_the_room {
            source.lay(&mut self.mix);
        }
        if let Some(room) = &mut self.room {
            room.ring(&mut self.mix);
        }
        for source in &mut self.at_the_recorder {
            source.lay(&mut self.mix);
        }
        let channels = self.scenario.channels;
        let limit = self.scenario.clipping_level.unwrap_or(f64::INFINITY);
        self.chunk.resize(frames * channels, 0.0);
        for channel in 0..channels {
            let values = &self.mix.chunk_mut(channel)[..frames];
            let places = self.chunk[channel..].iter_mut().step_by(channels);
            for (sample, value) in places.zip(values) {
                *sample = value.clamp(-limit, limit) as f32;
            }
        }
        self.mix.advance();
        self.frames_left -= frames as u64;
        self.fetched = 0;
        true
    }
}

/// Lays one balance's beats into the mix.
struct BalanceSource {
    swing: Swing,
    next: i64,
    coming: (LaidBeat, Draws),
    from_s: f64,
    until_s: f64,
    bursts: [[ReadyBurst; 5]; 2],
    burst_sd: f64,
    phase_sd: f64,
    loudness: f64,
    paths: Vec<Path>,
}

impl BalanceSource {
    fn new(balance: &Balance, seed: u64, place: usize, sample_rate_hz: f64) -> Self {
        let swing = Swing::new(balance, seed, place);
        let timbre = balance.voice.timbre();
        let next = swing.first_index_from(0.0);
        Self {
            coming: swing.beat(next),
            next,
            swing,
            from_s: balance.starts_at_s.unwrap_or(f64::NEG_INFINITY),
            until_s: balance.stops_at_s.unwrap_or(f64::INFINITY),
            bursts: timbre.bursts.map(|side| side.map(|b| ReadyBurst::new(&b, sample_rate_hz))),
            burst_sd: timbre.burst_sd,
            phase_sd: timbre.phase_sd,
            loudness: balance.loudness,
            paths: balance.paths.clone(),
        }
    }
}

impl Source for BalanceSource {
    fn lay(&mut self, mix: &mut Mix) {
        while self.coming.0.unlocking_s < mix.chunk_end_s() {
            let (beat, draws) = &mut self.coming;
            if beat.steady_time_s >= self.from_s && beat.steady_time_s < self.until_s {
                let bursts = &self.bursts[beat.side as usize];
                for (onset_s, burst) in beat.shocks_s().into_iter().zip(bursts) {
                    let varied = 1.0 + self.burst_sd * draws.normal();
                    let gain = self.loudness * beat.loudness * varied;
                    let unsteady = Some((&*draws, self.phase_sd));
                    mix.strike(onset_s, burst, gain, &self.paths, unsteady);
                }
            }
            self.next += 1;
            self.coming = self.swing.beat(self.next);
        }
    }
}
