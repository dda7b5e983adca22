//! Which shock is which: unlocking first, drop last and (mostly) loudest, impulse between.

use crate::shocks::Shock;

/// Amplitudes that are thought possible, degrees.
const POSSIBLE_DEG: (f64, f64) = (100.0, 370.0);

/// Indices into the list of shocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Anatomy {
    pub(crate) unlocking: usize,
    pub(crate) impulse: Option<usize>,
    pub(crate) drop: usize,
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
