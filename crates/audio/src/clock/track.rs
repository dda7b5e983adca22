//! Follows a learned reference step by step and notes when each one comes.

use super::lesson::{Lesson, Voice};
use std::collections::VecDeque;

/// How far from where it is expected a step is looked for, seconds. Lost samples that shift it
/// further make a new stretch.
pub(super) const REACH_S: f64 = 0.003;
/// Steps that the expectation for the next one is taken from.
const RECENT: usize = 5;
/// Most steps of a stretch that are kept; most of a day at one a second. Beyond, pairs of them are
/// left out evenly.
const MOST_STEPS: usize = 1 << 16;

/// One step that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    /// Number in the stretch.
    pub(super) index: i64,
    /// When its onset came, working samples from the start of the recording, less what the nominal
    /// period expects: by waveform and by envelope.
    pub(super) late: [f64; 2],
    /// How like the template, 0 to 1.
    pub(super) likeness: f32,
}

/// A stretch in which the reference was followed without a break.
#[derive(Debug, Clone)]
pub(super) struct Stretch {
    /// Working samples from the start of the recording to the step of index 0, nearly.
    pub(super) base: f64,
    /// Nominal working samples from step to step.
    pub(super) period: f64,
    pub(super) steps: Vec<Step>,
    /// How much later odd steps come, seconds.
    pub(super) alternation_s: f64,
    /// Steps found, thinned ones included.
    pub(super) found: u64,
    /// One pair in so many is kept.
    stride: i64,
}

impl Stretch {
    /// Steps that there should have been from the first to the last one found.
    pub(super) fn expected(&self) -> u64 {
        match (self.steps.first(), self.steps.last()) {
            (Some(a), Some(b)) => (b.index - a.index + 1).unsigned_abs(),
            _ => 0,
        }
    }

    /// When a step that is `late` samples late comes, working samples.
    pub(super) fn time(&self, index: i64, late: f64) -> f64 {
        self.base + index as f64 * self.period + late
    }

    fn push(&mut self, step: Step) {
        self.found += 1;
        if (step.index / 2) % self.stride == 0 {
            self.steps.push(step);
        }
        if self.steps.len() >= MOST_STEPS {
            self.stride *= 2;
            let stride = self.stride;
            self.steps.retain(|s| (s.index / 2) % stride == 0);
        }
    }
}

/// Follows one reference.
pub(super) struct Tracker {
    voice: Voice,
    channel: usize,
    stretch: Stretch,
    next: i64,
    /// Samples that a step comes later than the one before, beside the nominal period.
    drift: f64,
    /// The last steps found.
    recent: VecDeque<Step>,
    missed: u64,
    /// Steps found in a row.
    regained: u64,
}

impl Tracker {
    /// From a lesson whose stretch began `from` working samples into the recording.
    pub(super) fn new(lesson: Lesson, channel: usize, from: u64, period: f64) -> Self {
        Self {
            stretch: Stretch {
                base: from as f64 + lesson.first,
                period,
                steps: Vec::new(),
                alternation_s: lesson.voice.alternation_s,
                found: 0,
                stride: 1,
            },
            voice: lesson.voice,
            channel,
            next: 0,
            drift: lesson.period - period,
            recent: VecDeque::new(),
            missed: 0,
            regained: 0,
        }
    }

    /// When the next step is expected, working samples from the start of the recording.
    pub(super) fn expected_at(&self) -> f64 {
        let mut late: Vec<f64> = self
            .recent
            .iter()
            .map(|s| s.late[0] + (self.next - s.index) as f64 * self.drift)
            .collect();
        let late =
            signal::robust::median_in_place(&mut late).unwrap_or(self.next as f64 * self.drift);
        self.stretch.time(self.next, late)
    }

    /// First sample that is still needed, from the start of the recording.
    pub(super) fn needs_from(&self) -> u64 {
        let before = self.voice.lead + self.reach() + self.voice.band.half() + 1;
        (self.expected_at() - before as f64).max(0.0) as u64
    }

    /// The channel that is listened to.
    pub(super) fn channel(&self) -> usize {
        self.channel
    }

    /// Steps missed since the last one found.
    pub(super) fn missed(&self) -> u64 {
        self.missed
    }

    /// Steps found so far.
    pub(super) fn found(&self) -> u64 {
        self.stretch.found
    }

    /// Steps found in a row.
    pub(super) fn regained(&self) -> u64 {
        self.regained
    }

    /// What was followed.
    pub(super) fn into_stretch(self) -> Stretch {
        self.stretch
    }

    fn reach(&self) -> usize {
        (REACH_S * self.voice.rate_hz) as usize
    }

    /// Looks at every step that lies wholly within `samples`, which begin `from` working samples
    /// into the recording. The last samples are used only when the recording has ended.
    pub(super) fn advance(&mut self, samples: &[f32], from: u64) {
        let after = self.voice.len() + self.reach() + self.voice.band.half() + 1;
        loop {
            let at = self.expected_at() - from as f64;
            if !(at.is_finite() && at + after as f64 <= samples.len() as f64) {
                return;
            }
            let before = (self.voice.lead + self.reach()) as f64;
            let found = (at >= before)
                .then(|| self.voice.look(samples, self.next, at, self.reach()))
                .flatten()
                .filter(|a| self.voice.is_step(self.next, a.likeness));
            match found {
                Some(arrival) => {
                    let late = |t: f64| t + from as f64 - self.stretch.time(self.next, 0.0);
                    let step = Step {
                        index: self.next,
                        late: [late(arrival.by_waveform), late(arrival.by_envelope)],
                        likeness: arrival.likeness as f32,
                    };
                    self.stretch.push(step);
                    self.recent.push_back(step);
                    if self.recent.len() > RECENT {
                        self.recent.pop_front();
                    }
                    self.missed = 0;
                    self.regained += 1;
                }
                None => {
                    self.missed += 1;
                    self.regained = 0;
                }
            }
            self.next += 1;
        }
    }
}
