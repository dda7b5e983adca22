import { expect, test } from 'vitest';
import type { Reading } from '../wire/Reading';
import { asked, beatIn, beatsOf } from './measured';

const heard = (label: string, rate: number) => ({
  label,
  beats_per_hour: 18000,
  rate_s_per_d: { value: rate, sd: 0.1 },
  rate_sd_with_clock_s_per_d: 0.48,
});
const reading = { balances: [heard('A', 10), heard('B', -20)] } as unknown as Reading;

test('the beat is the nominal one and what it gains of a day', () => {
  // 18,000 x 10 / 86,400 = 2.0833; 0.48 s of a day are 0.1 of 18,000 beats (by hand).
  const { A, B } = beatsOf(reading, [{ name: 'B' }, { name: 'A' }]);
  expect(A?.text).toBe('18002.083');
  expect(A?.sd).toBeCloseTo(0.1, 9);
  expect(B?.text).toBe('17995.833');
});

test('balances of other names are taken in their order', () => {
  const beats = beatsOf(reading, [{ name: 'left' }, { name: 'right' }, { name: 'third' }]);
  expect(Object.keys(beats)).toEqual(['left', 'right']);
  expect(beats.left?.text).toBe('18002.083');
});

test('a beat as people type it', () => {
  for (const [text, value] of [
    ['28,800', 28800],
    ['28 800.5', 28800.5],
    ['17999,5', 17999.5],
    ['', undefined],
    ['fast', undefined],
    ['-1', undefined],
  ] as const) {
    expect(beatIn(text), text).toBe(value);
  }
  const typed = { text: '?', sd: 0, of_reading: false };
  expect(asked({ A: typed, B: { ...typed, text: '18000' } })).toEqual([
    { balance: 'B', beats_per_hour: 18000, sd_beats_per_hour: 0 },
  ]);
});
