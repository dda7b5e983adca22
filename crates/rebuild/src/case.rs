//! The case: what closes it, and what holds the movement in it.

use crate::{PartState, Side, State, Step};
use std::borrow::Cow;

/// Kinds of part that hang on the outside of a case: what they hold does not close it.
const OUTSIDE_THE_CASE: [&str; 4] = ["spring-bar", "strap", "bracelet", "bow"];

/// Kinds of part that hold a movement in its case.
const HOLD_IN_THE_CASE: [&str; 3] = ["casing-ring", "case-clamp", "case-screw"];

/// The steps that came out before anything of the movement.
pub(crate) fn before_the_movement<'a, 'b>(steps: &'b [&'a Step]) -> &'b [&'a Step] {
    let first = steps.iter().position(|step| step.side.is_of_movement());
    &steps[..first.unwrap_or(steps.len())]
}

/// The kind of a part; where it has none, what it is called, written as a kind.
fn kind_or_name(part: &PartState) -> Cow<'_, str> {
    match &part.part.kind {
        Some(kind) => kind.as_str().into(),
        None => part.part.called().replace(' ', "-").into(),
    }
}

/// The step that closes the case: the first of the case to come out, before anything of the
/// movement, that is more than what hangs on its outside.
pub(crate) fn closing_step(state: &State, before: &[&Step]) -> Option<u32> {
    let is_outside = |step: &Step| {
        state.parts_of(step).all(|part| OUTSIDE_THE_CASE.contains(&&*kind_or_name(part)))
    };
    let closes = |step: &&Step| step.side == Side::Case && !is_outside(step);
    u32::try_from(before.iter().position(closes)?).ok()
}

/// The step with which the movement is held in its case: the last to come out, before anything of
/// the movement, of what does so. It is the first of it to go in.
pub(crate) fn casing_step(state: &State, before: &[&Step]) -> Option<u32> {
    let holds = |step: &&Step| {
        step.side == Side::Case
            && state.parts_of(step).any(|part| HOLD_IN_THE_CASE.contains(&&*kind_or_name(part)))
    };
    u32::try_from(before.iter().rposition(holds)?).ok()
}
