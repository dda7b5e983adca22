import { expect, test } from 'vitest';
import type { AveragedBeatShape } from '../wire/AveragedBeatShape';
import { lay } from './beat-picture';

const WIDTH = 320;

function shape(events: Partial<AveragedBeatShape>): AveragedBeatShape {
  return {
    tock: false,
    start_ms: -5,
    step_ms: 0.1,
    mean: Array.from({ length: 300 }, (_, n) => Math.abs(Math.sin(n / 20))),
    spread: Array.from({ length: 300 }, () => 0.05),
    unlocking_ms: 0,
    impulse_ms: 2,
    drop_ms: 8,
    amplitude_scale: Array.from({ length: 30 }, (_, n) => [12 - n * 0.25, 180 + n * 5] as [number, number]),
    ...events,
  };
}

test('names of events never lie over each other, however close the events are', () => {
  for (const impulse_ms of [0.01, 1, 2, 5, 7.9]) {
    const [lane] = lay([shape({ impulse_ms })], { width: WIDTH, height: 60 });
    const taken = (lane?.events ?? []).map(({ x, row, anchor, words }) => {
      // 5 px a letter is less than the typeface needs: a stricter test than the picture itself.
      const wide = words.length * 5;
      return { row, from: anchor === 'start' ? x : x - wide, to: anchor === 'start' ? x + wide : x };
    });
    expect(taken).toHaveLength(3);
    for (const [n, a] of taken.entries()) {
      for (const b of taken.slice(n + 1)) {
        if (a.row !== b.row) continue;
        expect(a.to <= b.from || b.to <= a.from, `impulse at ${impulse_ms}`).toBe(true);
      }
      expect(a.from).toBeGreaterThanOrEqual(0);
      expect(a.to).toBeLessThanOrEqual(WIDTH);
    }
  }
});

test('numbers of the amplitude scale keep their distance and the round ones come first', () => {
  const [lane] = lay([shape({})], { width: WIDTH, height: 60 });
  const named = (lane?.scale ?? []).filter((mark) => mark.named).sort((a, b) => a.x - b.x);
  expect(named.length).toBeGreaterThan(1);
  named.slice(1).forEach((mark, n) => expect(mark.x - (named[n]?.x ?? 0)).toBeGreaterThanOrEqual(34));
  expect(named.some((mark) => mark.degrees % 100 === 0)).toBe(true);
});

test('tick and tock share their axes', () => {
  const quiet = shape({ tock: true, mean: shape({}).mean.map((m) => m / 2) });
  const [loud, half] = lay([shape({}), quiet], { width: WIDTH, height: 60 });
  const top = (path: string) => Math.min(...[...path.matchAll(/,(-?[\d.]+)/g)].map((m) => Number(m[1])));
  expect(60 - top(half?.curve ?? '')).toBeCloseTo((60 - top(loud?.curve ?? '')) / 2, 0);
});

test('nothing heard is nothing drawn', () => {
  expect(lay([], { width: WIDTH, height: 60 })).toEqual([]);
  expect(lay([shape({ mean: [], spread: [] })], { width: WIDTH, height: 60 })).toEqual([]);
});
