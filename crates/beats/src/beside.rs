//! Which shocks of a balance are heard by themselves while another balance runs.
//!
//! What is left where another balance's beat was taken away is not silence: it may be a shock of
//! this balance, or a remainder of the other's. Such places are no ground for a name.

use crate::anatomy::Anatomy;
use crate::shocks::Shock;
use crate::voice::Voice;

/// A shock is heard by itself where no other balance is loud in this share of the ticks and of the
/// tocks ...
const LEAST_SHARE: f64 = 0.25;
/// ... and in this many of each.
const LEAST_BEATS: usize = 5;
/// Unlocking takes some 5 degrees of a lift angle near 50 (H. R. Playtner, An Analysis of the
/// Lever Escapement, 1910), the play of the fork a few more: the impulse sets in between these
/// shares of the way from unlocking to drop.
const IMPULSE_SHARE: (f64, f64) = (0.14, 0.45);

/// An impulse rises at least this steeply against the unlocking; what comes after the unlocking and
/// is fainter may be its answer from the case. (Measured on simulated voices.)
const LEAST_IMPULSE: f32 = 0.3;
/// The drop rises at least this steeply against the impulse; what is fainter may come after it.
const LEAST_DROP: f32 = 0.3;
/// What is named unlocking and is fainter than this share of the impulse may be a ring before it, the
/// unlocking itself being hidden. (Measured on simulated voices.)
const FAINT_UNLOCKING: f32 = 0.4;
/// Another balance hides an unlocking where it is loud before the first named shock in this share
/// of the beats.
const HIDDEN_SHARE: f64 = 0.5;

/// How a balance is heard beside others.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Hearing {
    /// All that was found of it is heard by itself.
    Clear,
    /// Some places that may hold shocks of it always lie under another balance.
    Partly {
        /// Where they lie, steps from the beat's instant, in order.
        hidden: Vec<f64>,
    },
    /// No shock of it is ever heard by itself.
    NeverAlone,
}

/// Leaves only the shocks that are heard by themselves, if there are any. `others` is the power
/// that other balances put into the envelope.
pub(crate) fn part(shocks: &mut Vec<Shock>, voice: &Voice, others: &[f32]) -> Hearing {
    let clear: Vec<bool> = shocks.iter().map(|s| is_clear(s, voice, others)).collect();
    if !clear.contains(&true) {
        return Hearing::NeverAlone;
    }
    let hidden: Vec<f64> =
        shocks.iter().zip(&clear).filter(|(_, c)| !**c).map(|(s, _)| s.offset).collect();
    let mut keep = clear.iter();
    shocks.retain(|_| keep.next().copied().unwrap_or(false));
    if hidden.is_empty() { Hearing::Clear } else { Hearing::Partly { hidden } }
}

fn is_clear(shock: &Shock, voice: &Voice, others: &[f32]) -> bool {
    (0..2).all(|side| {
        let heard = shock.places(voice, side).count();
        let alone =
            shock.places(voice, side).filter(|at| shock.is_alone(side, *at, others)).count();
        alone >= LEAST_BEATS && alone as f64 >= LEAST_SHARE * heard as f64
    })
}

/// Whether the names stand although some places are hidden: nothing hidden comes before the drop,
/// and no unlocking can lie hidden before what would then be the impulse; or unlocking and drop
/// have an impulse between them where an impulse belongs, which no two other shocks have, nor any with
/// one that is hidden.
pub(crate) fn is_sure(
    names: &Anatomy,
    shocks: &[Shock],
    hearing: &Hearing,
    voice: &Voice,
    others: &[f32],
) -> bool {
    let place = |j: usize| shocks[j].offset;
    let hidden = match hearing {
        Hearing::Clear => &[][..],
        Hearing::Partly { hidden } => hidden,
        Hearing::NeverAlone => return as_it_belongs(names, shocks),
    };
    if as_it_belongs(names, shocks) {
        return !hidden.iter().any(|at| is_rather_the_unlocking(*at, names, shocks));
    }
    hidden.iter().all(|at| *at >= place(names.drop))
        && !unlocking_may_hide(names, shocks, voice, others)
}

/// Whether a shock that is never heard by itself would do for the unlocking as well as what was named so,
/// which is faint: it comes before it, and the impulse is in its place all the same.
fn is_rather_the_unlocking(at: f64, names: &Anatomy, shocks: &[Shock]) -> bool {
    let (unlocking, drop) = (&shocks[names.unlocking], &shocks[names.drop]);
    names.impulse.map(|j| &shocks[j]).is_some_and(|impulse| {
        at < unlocking.offset
            && unlocking.rise < FAINT_UNLOCKING * impulse.rise
            && is_in_place(at, impulse.offset, drop.offset)
    })
}

/// Whether an impulse belongs there between unlocking and drop.
fn is_in_place(unlocking: f64, impulse: f64, drop: f64) -> bool {
    (IMPULSE_SHARE.0..=IMPULSE_SHARE.1).contains(&((impulse - unlocking) / (drop - unlocking)))
}

/// Whether what is named unlocking may be the impulse, its unlocking lying where another balance
/// is mostly loud.
fn unlocking_may_hide(names: &Anatomy, shocks: &[Shock], voice: &Voice, others: &[f32]) -> bool {
    let first = &shocks[names.unlocking];
    let gap = shocks[names.drop].offset - first.offset;
    // Were the named span all that follows the impulse: so far before it would the unlocking be.
    let back = |share: f64| gap * share / (1.0 - share);
    (0..2).any(|side| {
        let (mut heard, mut covered) = (0.0, 0.0);
        for at in first.places(voice, side) {
            heard += 1.0;
            let (from, to) = (at - back(IMPULSE_SHARE.1), at - back(IMPULSE_SHARE.0));
            if from >= 0.0 && first.is_beside(side, (from as usize, to as usize), others) {
                covered += 1.0;
            }
        }
        covered > HIDDEN_SHARE * heard
    })
}

/// Whether there is an impulse between unlocking and drop, where an impulse belongs and as loud as
/// one.
pub(crate) fn as_it_belongs(names: &Anatomy, shocks: &[Shock]) -> bool {
    let place = |j: usize| shocks[j].offset;
    names.impulse.is_some_and(|j| {
        is_in_place(place(names.unlocking), place(j), place(names.drop))
            && shocks[j].rise >= LEAST_IMPULSE * shocks[names.unlocking].rise
            && shocks[names.drop].rise >= LEAST_DROP * shocks[j].rise
    })
}
