// Only one window of a browser sends at a time.

import type { Shelf } from './outbox-shelf';

export type Turn = <T>(work: (renew: () => Promise<boolean>) => Promise<T>) => Promise<T | undefined>;

const NAME = 'endshake.outbox';
/** Longer than the longest request may take, so that a lease does not end under one. */
const LEASE_MS = 100_000;

/**
 * Calls `work` while no other window does. `renew` is asked before each request, and says whether
 * the turn still holds. Locks are missing where a phone is joined without TLS: there a lease in the
 * browser's database stands in, and gives nothing back where another window holds it.
 */
export function turnOf(shelf: Shelf): Turn {
  return async (work) => {
    const locks = (globalThis.navigator as Partial<Navigator>).locks;
    if (locks) return await locks.request(NAME, () => work(async () => true));
    const renew = () => shelf.lease(NAME, shelf.window, LEASE_MS);
    if (!(await renew())) return undefined;
    try {
      return await work(renew);
    } finally {
      await shelf.lease(NAME, shelf.window, 0);
    }
  };
}
