//! Which shock is which: unlocking first, drop last and (mostly) loudest, impulse between.

use crate::shocks::Shock;

/// Amplitudes that are thought possible, degrees.
const POSSIBLE_DEG: (f64, f64) = (100.0, 370.0);

/// A shock between impulse and drop, or after the drop, that rises at least so steeply against it
/// may be the drop itself.
const RIVAL_DROP: f32 = 0.5;
/// An impulse lies nearer to unlocking than this share of the way to the drop; a shock beyond it is
/// a drop's rival.
const IMPULSE_BEFORE: f64 = 0.5;

/// Indices into the list of shocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Anatomy {
    pub(crate) unlocking: usize,
    pub(crate) impulse: Option<usize>,
    pub(crate) drop: usize,
}

impl Anatomy {
    /// How far the span from unlocking to drop may be off because another shock may be the one or
    /// the other, in the unit of the shocks' places; zero where the beat is as simple as it should
    /// be. Two balances that beat almost together, or a case that answers, make such rivals.
    pub(crate) fn doubt_of_span(&self, shocks: &[Shock]) -> f64 {
        let (unlocking, drop) = (&shocks[self.unlocking], &shocks[self.drop]);
        let impulse_before = unlocking.offset + IMPULSE_BEFORE * (drop.offset - unlocking.offset);
        let unlockings = self.impulse.map_or(0..0, |impulse| self.unlocking + 1..impulse);
        let by_unlocking = unlockings
            .filter(|j| shocks[*j].rise >= unlocking.rise)
            .map(|j| shocks[j].offset - unlocking.offset);
        let by_drop = (self.unlocking + 1..shocks.len())
            .filter(|j| *j != self.drop && shocks[*j].offset > impulse_before)
            .filter(|j| shocks[*j].rise >= RIVAL_DROP * drop.rise)
            .map(|j| (shocks[j].offset - drop.offset).abs());
        by_unlocking.chain(by_drop).fold(0.0, f64::max)
    }
}

/// Time from unlocking to drop, in the unit of `period` (an oscillation): half the lift angle to
/// either side of the middle of a swing.
pub(crate) fn unlocking_to_drop(period: f64, lift_deg: f64, amplitude_deg: f64) -> f64 {
    (0.5 * lift_deg / amplitude_deg).min(1.0).asin() / std::f64::consts::PI * period
}

/// Names the shocks. `period` in steps; the lift angle bounds how far unlocking and drop may lie
/// apart. `None` where no two shocks lie so.
pub(crate) fn name(shocks: &[Shock], period: f64, lift_deg: f64) -> Option<Anatomy> {
    let apart = |amplitude_deg: f64| unlocking_to_drop(period, lift_deg, amplitude_deg);
    let (most, least) = (apart(POSSIBLE_DEG.0), apart(POSSIBLE_DEG.1));
    let mut best: Option<(f32, usize, usize)> = None;
    for (d, drop) in shocks.iter().enumerate() {
        // The first that lies within reach before a possible drop is its unlocking.
        let unlocking = shocks[..d].iter().enumerate().find(|(_, u)| {
            let gap = drop.offset - u.offset;
            (least..=most).contains(&gap)
        });
        let Some((u, unlocking)) = unlocking else { continue };
        // Loud shocks that would be left outside speak against the pair.
        let left_out: f32 = shocks[..u].iter().map(|s| s.rise).sum();
        let worth = drop.rise + 0.5 * unlocking.rise - left_out;
        if best.is_none_or(|(w, _, _)| worth > w) {
            best = Some((worth, u, d));
        }
    }
    let (_, unlocking, drop) = best?;
    let impulse = (unlocking + 1..drop).max_by(|a, b| shocks[*a].rise.total_cmp(&shocks[*b].rise));
    Some(Anatomy { unlocking, impulse, drop })
}
