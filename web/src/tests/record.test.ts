import { expect, test } from 'vitest';
import type { FinalTest } from '../wire/FinalTest';
import { changeOf, figureIn, figureText, recordOf } from './record';

const kept = {
  id: 't1',
  version: 3,
  kind: 'water',
  balance: '',
  way: 'air',
  standard: 'iso_22810',
  what: '',
  instrument: 'dry tester',
  conditions: '',
  done: '2026-05-04T09:00:00Z',
  figures: [
    { code: 'tested_bar', value: 2, sd: null },
    { code: 'of_a_later_version', value: 7, sd: null },
  ],
  signs: [{ code: 'fog', seen: false }],
  photos: [],
  readings: [],
  outcome: 'not_decided',
  note: '',
  sheet: {
    fields: [{ code: 'tested_bar' }, { code: 'leak_ug_per_min' }],
    signs: [{ code: 'fog' }, { code: 'bubbles' }],
  },
} as unknown as FinalTest;

test('every number and sign that the form has is a field of its own', () => {
  const record = recordOf(kept);
  expect(record['figure:tested_bar']).toEqual({ value: 2, sd: null });
  expect(record['figure:leak_ug_per_min']).toBeNull();
  expect(record['figure:of_a_later_version']).toEqual({ value: 7, sd: null });
  expect(record['sign:fog']).toBe(false);
  expect(record['sign:bubbles']).toBeNull();
});

test('only what changed is sent, and what was emptied is sent as empty', () => {
  const change = changeOf({
    version: 3,
    instrument: 'another',
    'figure:leak_ug_per_min': { value: 12, sd: 1 },
    'figure:tested_bar': null,
    'sign:fog': true,
    'sign:bubbles': null,
  });
  expect(change).toEqual({
    version: 3,
    fields: {
      instrument: 'another',
      figures: [
        { code: 'leak_ug_per_min', value: 12, sd: 1 },
        { code: 'tested_bar', value: null, sd: null },
      ],
      signs: [
        { code: 'fog', seen: true },
        { code: 'bubbles', seen: null },
      ],
    },
  });
});

test('a number is read with its uncertainty, and nonsense is not', () => {
  expect(figureIn('', true)).toBeNull();
  expect(figureIn('−4,5', true)).toEqual({ value: -4.5, sd: null });
  expect(figureIn('4.2 ± 0.3', true)).toEqual({ value: 4.2, sd: 0.3 });
  expect(figureIn('4.2+-0.3', true)).toEqual({ value: 4.2, sd: 0.3 });
  expect(figureIn('4.2 ± 0.3', false)).toBeUndefined();
  for (const text of ['four', '4 ±', '4 ± -1', '1 ± 2 ± 3']) {
    expect(figureIn(text, true), text).toBeUndefined();
  }
});

test('what is written reads as the same', () => {
  for (const figure of [
    { value: 4.2, sd: 0.3 },
    { value: -12, sd: null },
    { value: 0.125, sd: null },
  ]) {
    expect(figureIn(figureText(figure), true)).toEqual(figure);
  }
  expect(figureText({ value: 3.14159265, sd: 0.0512 })).toBe('3.142 ± 0.051');
});
