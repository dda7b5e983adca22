// @vitest-environment jsdom

// How often the movement is worked out anew for one press: once for what waits, once where it is
// acknowledged, once where the server's own answer comes. More would be felt at the bench.

import 'fake-indexeddb/auto';
import { flushSync } from 'svelte';
import { afterEach, expect, test, vi } from 'vitest';
import * as changes from '../server/changes.svelte';
import type { ChangeEvent } from '../wire/ChangeEvent';
import type { LogEntry } from '../wire/LogEntry';
import { JOB, MOVEMENT } from './movement.test-kit';
import { movementOf } from './movement.svelte';
import { bench } from './outbox.svelte';
import type { Overlaid } from './overlay';

afterEach(() => vi.unstubAllGlobals());

test('one press is drawn three times at most', async () => {
  const listeners: ((change: ChangeEvent | 'all') => void)[] = [];
  vi.spyOn(changes, 'onChange').mockImplementation((listener) => {
    listeners.push(listener);
    return () => undefined;
  });
  let fetches = 0;
  const answer = (body: unknown) => new Response(JSON.stringify(body), { headers: { 'content-type': 'application/json' } });
  vi.stubGlobal('fetch', async (address: string, { body }: RequestInit = {}) => {
    if (!address.includes('/log')) {
      fetches++;
      return answer(MOVEMENT);
    }
    const { entries } = JSON.parse(String(body)) as { entries: LogEntry[] };
    setTimeout(() => {
      for (const listener of listeners) listener({ kind: 'log_entry', job_id: JOB } as ChangeEvent);
    }, 5);
    return answer({ kept: entries.map(({ id }) => id), there_already: [], refused: null });
  });

  const seen: (Overlaid | undefined)[] = [];
  const stop = $effect.root(() => {
    const view = movementOf(
      () => JOB,
      () => 'as-taken-down',
    );
    $effect(() => {
      seen.push(view.value);
    });
  });
  flushSync();
  await vi.waitFor(() => expect(seen.at(-1)).toBeDefined());
  const before = seen.length;

  await bench.enter(JOB, [{ kind: 'turned', up: MOVEMENT.facing === 'dial' ? 'train' : 'dial' }]);
  await vi.waitFor(() => expect(fetches).toBe(2), { timeout: 3000 });
  await vi.waitFor(() => expect(bench.settling).toEqual([]));
  await new Promise((resolve) => setTimeout(resolve, 700));
  expect(fetches, 'the event alone asks anew').toBe(2);
  expect(seen.length - before).toBeLessThanOrEqual(3);
  stop();
});
