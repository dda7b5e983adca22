// What was measured, held against what was put in.

import { expect } from '@playwright/test';

/** Within so much of the truth, or within three of its own uncertainties where those are wider. */
export function near(found: { value: number; sd: number }, truth: number, within: number, what: string) {
  // A number that knows nothing of itself would be near anything.
  expect(found.sd, `${what}: its uncertainty`).toBeGreaterThan(0);
  // (A mean holds that of the recorder's clock, 1.7 s/d where nobody has compared it.)
  expect(found.sd, `${what}: its uncertainty`).toBeLessThanOrEqual(4 * within);
  const most = Math.max(within, 3 * found.sd);
  expect(Math.abs(found.value - truth), `${what}: ${found.value} ± ${found.sd}, true ${truth}`).toBeLessThanOrEqual(most);
}
