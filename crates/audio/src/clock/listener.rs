use super::failure::ClockFailure;
use super::fit::read;
use super::intake::Intake;
use super::lesson::{LEAST_STEPS, Lesson, NoLesson, learn};
use super::reading::ClockReading;
use super::reference::Reference;
use super::track::{Stretch, Tracker};
use quantities::SampleRate;

/// Samples of all channels together that are held at most while learning: 32 MiB.
const BUDGET: usize = 1 << 23;
/// Shortest stretch from which learning is tried on the way, seconds.
const FIRST_TRY_S: f64 = 30.0;
/// Steps that the first try should hold, where the period is long.
const FIRST_TRY_STEPS: f64 = 10.0;
/// Steps, and seconds, without a step after which the reference is looked for anew.
const LOST_STEPS: f64 = 12.0;
const LOST_S: f64 = 12.0;
/// Steps in a row after which it was not lost after all.
const REGAINED_STEPS: u64 = 6;
/// Share of its steps that must be found in a stretch: half would be what steps only every second
/// time, or a watch that beats in the right place only then.
const LEAST_SHARE: f64 = 0.55;
/// Most stretches kept; beyond, the one with the fewest steps goes.
const MOST_STRETCHES: usize = 32;

/// Listens to a recording of a reference, block by block, and reads the recorder's clock.
///
/// Memory does not grow with the length of the recording, but for some 32 bytes a step up to a
/// limit of a few MiB; beyond it steps are thinned evenly.
///
/// ```
/// use audio::clock::{Reference, ReferencePeriod, SteppingListener};
/// use quantities::SampleRate;
///
/// let rate = SampleRate::from_hz(48_000.0)?;
/// let reference = Reference::unchecked(ReferencePeriod::one_second());
/// let mut listener = SteppingListener::new(rate, 1, reference);
/// listener.push(&[0.0; 4_800]);
/// assert!(listener.finish().is_err()); // a tenth of a second of silence says nothing
/// # Ok::<(), quantities::OutOfRange>(())
/// ```
pub struct SteppingListener {
    reference: Reference,
    intake: Intake,
    ear: Ear,
}

impl SteppingListener {
    /// For interleaved samples of so many channels (0 counts as 1) at a nominal rate. The channel
    /// on which the reference is heard best is used; where memory does not allow to compare them
    /// (a long period, more than five channels), the first few or the mean of all.
    #[must_use]
    pub fn new(rate: SampleRate, channels: usize, reference: Reference) -> Self {
        let period_s = reference.period().s();
        let first_try_s = FIRST_TRY_S.max((LEAST_STEPS as f64 + 1.0) * period_s);
        let intake = Intake::new(rate.hz(), channels, first_try_s, BUDGET);
        let ear = Ear::new(intake.rate_hz(), intake.kept(), period_s);
        Self { reference, intake, ear }
    }

    /// Takes in the next block: interleaved samples, of any number. What is not a finite number
    /// counts as silence.
    pub fn push(&mut self, interleaved: &[f32]) {
        let ear = &mut self.ear;
        self.intake.push(interleaved, |planes| ear.hear(planes));
    }

    /// Steps found so far, for showing progress.
    #[must_use]
    pub fn steps_found(&self) -> u64 {
        self.ear.stretches.iter().map(|s| s.found).sum::<u64>()
            + self.ear.tracker.as_ref().map_or(0, Tracker::found)
    }

    /// The reading, after the last block.
    ///
    /// # Errors
    /// Nothing to be heard, too short, or something other than the reference; each with a sentence.
    pub fn finish(self) -> Result<ClockReading, ClockFailure> {
        let period_s = self.reference.period().s();
        let nominal_hz = self.intake.rate_hz();
        let heard_s = self.ear.heard as f64 / nominal_hz;
        let least_s = (LEAST_STEPS as f64 + 1.0) * period_s;
        if heard_s < least_s {
            return Err(ClockFailure::TooShort {
                heard_s,
                least_s: least_s.ceil(),
                good_s: usual_length_s(period_s),
            });
        }
        if !self.intake.sounded() {
            return Err(ClockFailure::Silent);
        }
        let delay_s = self.intake.delay_s();
        let stretches = self.ear.finish().map_err(|no| match no {
            NoLesson::Nothing => ClockFailure::NotHeard { period_s },
            NoLesson::Pulses(count) => ClockFailure::OtherPulses { period_s, count },
            NoLesson::TooFew { found, of } => {
                ClockFailure::TooFewSteps { used: found, expected: of }
            }
            NoLesson::Scattered(s) => ClockFailure::NotSteady { period_s, scatter_ms: s * 1e3 },
        })?;
        read(stretches, &self.reference, nominal_hz, delay_s)
    }
}

/// Recording that gives 0.3 ppm with steps that scatter by 100 µs, seconds: slope of a line through
/// evenly spaced points with white jitter, `sd² = 12 jitter² / (period² N (N² - 1))` (bib:kay1993).
fn usual_length_s(period_s: f64) -> f64 {
    const JITTER_S: f64 = 100e-6;
    let relative = JITTER_S / (super::GOOD_SD_PPM * 1e-6 * period_s);
    let steps = (12.0 * relative * relative).cbrt().max(LEAST_STEPS as f64);
    (steps * period_s / 10.0).ceil() * 10.0
}

/// Holds what was heard last and knows what is being followed.
struct Ear {
    rate_hz: f64,
    period_s: f64,
    /// The last samples of each kept channel, beginning `from` samples into the recording.
    buffer: Vec<Vec<f32>>,
    from: u64,
    heard: u64,
    tracker: Option<Tracker>,
    /// Where learning begins when the reference is not being followed, or was lost.
    learn_from: Option<u64>,
    /// Number of samples at which learning is tried next.
    next_try: usize,
    stretches: Vec<Stretch>,
    failure: Option<NoLesson>,
}

impl Ear {
    fn new(rate_hz: f64, channels: usize, period_s: f64) -> Self {
        let mut ear = Self {
            rate_hz,
            period_s,
            buffer: vec![Vec::new(); channels],
            from: 0,
            heard: 0,
            tracker: None,
            learn_from: Some(0),
            next_try: 0,
            stretches: Vec::new(),
            failure: None,
        };
        ear.next_try = ear.first_try();
        ear
    }

    fn first_try(&self) -> usize {
        let seconds = FIRST_TRY_S.max(FIRST_TRY_STEPS * self.period_s);
        ((seconds * self.rate_hz) as usize).min(self.most())
    }

    /// Samples of one channel that are held at most.
    fn most(&self) -> usize {
        BUDGET / self.buffer.len().max(1)
    }

    /// Something else than the reference pulses here: that settles it.
    fn refused(&self) -> bool {
        matches!(self.failure, Some(NoLesson::Pulses(_)))
    }

    fn hear(&mut self, planes: &[Vec<f32>]) {
        self.heard += planes.first().map_or(0, Vec::len) as u64;
        if self.refused() {
            return;
        }
        for (held, plane) in self.buffer.iter_mut().zip(planes) {
            held.extend_from_slice(plane);
        }
        self.follow();
        self.learn_if_due(false);
        self.forget();
    }

    fn follow(&mut self) {
        let Some(tracker) = &mut self.tracker else { return };
        let Some(samples) = self.buffer.get(tracker.channel()) else { return };
        tracker.advance(samples, self.from);
        let lost = LOST_STEPS.max(LOST_S / self.period_s).min(60.0);
        if tracker.missed() as f64 >= lost && self.learn_from.is_none() {
            self.learn_from = Some(tracker.needs_from());
            self.next_try = self.first_try();
        } else if tracker.regained() >= REGAINED_STEPS {
            self.learn_from = None;
        }
    }

    /// Tries to learn when enough has been heard, or at the end with what there is.
    fn learn_if_due(&mut self, at_end: bool) {
        let Some(learn_from) = self.learn_from else { return };
        let skip = learn_from.saturating_sub(self.from) as usize;
        let held = self.buffer.first().map_or(0, Vec::len).saturating_sub(skip);
        if held < self.next_try && !at_end {
            return;
        }
        match self.best_lesson(skip) {
            Ok((channel, lesson)) => {
                let nominal = self.period_s * self.rate_hz;
                let mut tracker = Tracker::new(lesson, channel, self.from + skip as u64, nominal);
                if let Some(samples) = self.buffer.get(channel) {
                    tracker.advance(samples, self.from);
                }
                if let Some(before) = self.tracker.replace(tracker) {
                    self.keep(before.into_stretch());
                }
                self.learn_from = None;
            }
            Err(no) => {
                let graver = |no: &NoLesson| match no {
                    NoLesson::Nothing => 0,
                    NoLesson::TooFew { .. } => 1,
                    NoLesson::Scattered(_) => 2,
                    NoLesson::Pulses(_) => 3,
                };
                // What comes after a reference that was heard speaks against nothing.
                let heard = self.tracker.is_some() || !self.stretches.is_empty();
                if !heard && self.failure.is_none_or(|f| graver(&no) >= graver(&f)) {
                    self.failure = Some(no);
                }
                if 2 * held > self.most() {
                    // Full: the older half goes, and again when as much has come.
                    self.learn_from = Some(learn_from + (held / 2) as u64);
                    self.next_try = held.min(self.most());
                } else {
                    self.next_try = (2 * held).min(self.most());
                }
            }
        }
    }

    /// The lesson of the channel on which the line stands highest.
    fn best_lesson(&self, skip: usize) -> Result<(usize, Lesson), NoLesson> {
        let mut best: Result<(usize, Lesson), NoLesson> = Err(NoLesson::Nothing);
        for (channel, samples) in self.buffer.iter().enumerate() {
            let samples = samples.get(skip..).unwrap_or(&[]);
            match (learn(samples, self.rate_hz, self.period_s), &best) {
                (Ok(lesson), Ok((_, other))) if lesson.height <= other.height => {}
                (Ok(lesson), _) => best = Ok((channel, lesson)),
                // A watch on any channel is a watch.
                (Err(no @ NoLesson::Pulses(_)), _) => return Err(no),
                (Err(no), Err(NoLesson::Nothing)) => best = Err(no),
                (Err(_), _) => {}
            }
        }
        best
    }

    /// Lets go of samples that nobody needs any more.
    fn forget(&mut self) {
        let end = self.from + self.buffer.first().map_or(0, Vec::len) as u64;
        let needed = [self.tracker.as_ref().map(Tracker::needs_from), self.learn_from];
        let needed = needed.into_iter().flatten().min().unwrap_or(end).min(end);
        let idle = needed.saturating_sub(self.from) as usize;
        // In large pieces, so that moving the rest costs little.
        if idle >= 1 << 15 && 2 * idle >= (end - self.from) as usize || idle >= 1 << 20 {
            for held in &mut self.buffer {
                held.drain(..idle.min(held.len()));
            }
            self.from = needed;
        }
    }

    fn keep(&mut self, stretch: Stretch) {
        let (found, of) = (stretch.found, stretch.expected());
        if (found as f64) < LEAST_SHARE * of as f64 {
            self.failure.get_or_insert(NoLesson::TooFew { found, of });
            return;
        }
        self.stretches.push(stretch);
        if self.stretches.len() > MOST_STRETCHES {
            let fewest = (0..self.stretches.len()).min_by_key(|&i| self.stretches[i].found);
            if let Some(fewest) = fewest {
                self.stretches.remove(fewest);
            }
        }
    }

    fn finish(mut self) -> Result<Vec<Stretch>, NoLesson> {
        if self.refused() {
            return Err(self.failure.unwrap_or(NoLesson::Nothing));
        }
        self.learn_if_due(true);
        if self.refused() {
            return Err(self.failure.unwrap_or(NoLesson::Nothing));
        }
        if let Some(tracker) = self.tracker.take() {
            self.keep(tracker.into_stretch());
        }
        if self.stretches.is_empty() {
            return Err(self.failure.unwrap_or(NoLesson::Nothing));
        }
        Ok(self.stretches)
    }
}
