// What changed from one reading to another, with its uncertainty. Two readings are independent of
// each other, so variances add (JCGM 100:2008, 5.1.2).

import type { Value } from '../wire/Value';

export function difference(before: Value | null, after: Value | null): Value | null {
  if (!before || !after) return null;
  return { value: after.value - before.value, sd: Math.hypot(before.sd, after.sd) };
}

/** Whether a difference stands out of its uncertainty: beyond two standard deviations. */
export function standsOut(change: Value | null): boolean {
  return change !== null && Math.abs(change.value) > 2 * change.sd;
}
