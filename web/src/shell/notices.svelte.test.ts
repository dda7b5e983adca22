// @vitest-environment jsdom

import { flushSync } from 'svelte';
import { expect, test, vi } from 'vitest';
import { notices } from './notices.svelte';

test('an effect may tell something without waking itself', () => {
  vi.useFakeTimers();
  let runs = 0;
  const stop = $effect.root(() => {
    $effect(() => {
      runs++;
      notices.tell('kept');
    });
  });
  flushSync();
  notices.tell('something else');
  flushSync();
  stop();
  expect(runs).toBe(1);
});

test('undo stays longer than a plain note, and three are enough', () => {
  vi.useFakeTimers();
  vi.advanceTimersByTime(60_000);
  notices.list = [];
  notices.tell('in the bin', async () => undefined);
  notices.tell('kept');
  vi.advanceTimersByTime(7000);
  expect(notices.list.map((notice) => notice.text)).toEqual(['in the bin']);
  for (const text of ['a', 'b', 'c', 'd']) notices.tell(text);
  expect(notices.list).toHaveLength(3);
  vi.advanceTimersByTime(60_000);
  expect(notices.list).toEqual([]);
});
