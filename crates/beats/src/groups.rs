//! Beats kept one by one while they are few, as means of neighbours when there are more than fit.

/// Groups kept of each side before neighbours are put together. A day of ten beats a second ends
/// as groups of some dozen beats, a second and a half of each side.
const MOST_GROUPS: usize = 48_000;

/// Beats of one side next to each other, averaged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Group {
    /// Mean beat number: even for ticks, odd for tocks while it is a single beat.
    pub(crate) beat: f64,
    /// Mean lateness against the track's own even beat, seconds.
    pub(crate) late_s: f64,
    /// Mean time from unlocking to drop, seconds; NaN where none was timed.
    pub(crate) span_s: f64,
    /// Beats in it.
    pub(crate) beats: u32,
    /// Of them with unlocking and drop timed.
    pub(crate) spans: u32,
    /// Run of the watch that it belongs to.
    pub(crate) run: u32,
    /// Whether it enters the fit.
    pub(crate) used: bool,
}

impl Group {
    /// A single beat.
    pub(crate) fn of(beat: i64, late_s: f64, span_s: Option<f64>, run: u32, used: bool) -> Self {
        Self {
            beat: beat as f64,
            late_s,
            span_s: span_s.unwrap_or(f64::NAN),
            beats: 1,
            spans: u32::from(span_s.is_some()),
            run,
            used,
        }
    }
}

/// All beats of one balance, ticks and tocks, in bounded room.
#[derive(Debug, Clone, Default)]
pub(crate) struct Groups {
    sides: [Vec<Group>; 2],
    /// Halvings so far: a group holds up to two to this power beats.
    halvings: u32,
}

impl Groups {
    /// Adds a beat of a side (0 tick, 1 tock) that is later than all before it.
    pub(crate) fn push(&mut self, side: usize, beat: Group) {
        let most = self.beats_a_group();
        let groups = &mut self.sides[side];
        if most == 1 {
            groups.push(beat);
        } else if beat.used {
            // A beat that is left out has no place in a mean.
            match groups.last_mut() {
                Some(last) if last.beats < most && last.run == beat.run => {
                    *last = joined(last, &beat);
                }
                _ => groups.push(beat),
            }
        }
        if groups.len() > MOST_GROUPS {
            self.halvings += 1;
            for groups in &mut self.sides {
                halve(groups);
            }
        }
    }

    /// Most beats that one group may hold.
    pub(crate) fn beats_a_group(&self) -> u32 {
        1 << self.halvings.min(30)
    }

    /// Leaves the groups of these beats (first, last) out of the fit, and their times from unlocking
    /// to drop out of the amplitude. Gives the number of beats that entered the fit before.
    pub(crate) fn leave_out(&mut self, (first, last): (f64, f64)) -> u64 {
        let mut left_out = 0;
        let groups = self.sides.iter_mut().flatten();
        for g in groups.filter(|g| (first..=last).contains(&g.beat)) {
            left_out += if g.used { u64::from(g.beats) } else { 0 };
            (g.used, g.span_s, g.spans) = (false, f64::NAN, 0);
        }
        left_out
    }

    /// Groups of a side in order of time.
    pub(crate) fn side(&self, side: usize) -> &[Group] {
        &self.sides[side]
    }

    /// All groups with their side, side after side.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (usize, &Group)> {
        self.sides.iter().enumerate().flat_map(|(s, groups)| groups.iter().map(move |g| (s, g)))
    }
}

/// Two groups as one; whatever they were, it enters the fit.
pub(crate) fn joined(a: &Group, b: &Group) -> Group {
    let mean = |x: f64, y: f64, n: u32, m: u32| {
        let share = f64::from(m) / f64::from(n + m);
        x + share * (y - x)
    };
    let span_s = match (a.spans, b.spans) {
        (0, _) => b.span_s,
        (_, 0) => a.span_s,
        (n, m) => mean(a.span_s, b.span_s, n, m),
    };
    Group {
        beat: mean(a.beat, b.beat, a.beats, b.beats),
        late_s: mean(a.late_s, b.late_s, a.beats, b.beats),
        span_s,
        beats: a.beats + b.beats,
        spans: a.spans + b.spans,
        run: a.run,
        used: true,
    }
}

/// Leaves out what does not enter the fit and joins the rest two by two within each run.
fn halve(groups: &mut Vec<Group>) {
    let mut halved: Vec<Group> = Vec::with_capacity(MOST_GROUPS + 1);
    let mut waiting: Option<Group> = None;
    for g in groups.iter().filter(|g| g.used) {
        match waiting.take() {
            Some(w) if w.run == g.run => halved.push(joined(&w, g)),
            earlier => {
                halved.extend(earlier);
                waiting = Some(*g);
            }
        }
    }
    halved.extend(waiting);
    *groups = halved;
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Means of means, each with its number of beats as weight, are the mean of all (arithmetic).
    #[test]
    fn a_day_fits_and_keeps_its_means() {
        let mut groups = Groups::default();
        let beats = 700_000i64;
        for beat in 0..beats {
            let late_s = 1e-3 * (beat as f64 / beats as f64);
            groups.push((beat % 2) as usize, Group::of(beat, late_s, Some(8e-3), 0, true));
        }
        for side in 0..2 {
            assert!(groups.side(side).len() <= MOST_GROUPS);
            let n: f64 = groups.side(side).iter().map(|g| f64::from(g.beats)).sum();
            assert_eq!(n, beats as f64 / 2.0);
            let mean =
                groups.side(side).iter().map(|g| g.late_s * f64::from(g.beats)).sum::<f64>() / n;
            let expected = 1e-3 * 0.5 * (beats - 2 + 2 * side as i64) as f64 / beats as f64;
            assert!((mean - expected).abs() < 1e-12, "{mean} {expected}");
            // A straight course stays straight however it is grouped.
            assert!(groups.side(side).iter().all(|g| {
                (g.late_s - 1e-3 * g.beat / beats as f64).abs() < 1e-12 && g.spans == g.beats
            }));
        }
    }

    #[test]
    fn runs_are_never_mixed() {
        let mut groups = Groups::default();
        for beat in 0..400_000i64 {
            let run = (beat / 999) as u32;
            groups.push(0, Group::of(2 * beat, f64::from(run), None, run, beat % 7 != 0));
        }
        assert!(groups.side(0).iter().all(|g| g.late_s == f64::from(g.run) && g.spans == 0));
        let used: u32 = groups.side(0).iter().filter(|g| g.used).map(|g| g.beats).sum();
        assert_eq!(used, 400_000 - 400_000u32.div_ceil(7));
    }
}
