import { expect, test } from 'vitest';
import { classOf, classWords, draftOf } from './own-class';

test('what is typed becomes a class, and a class what was typed', () => {
  const draft = { ...draftOf(null), name: ' House ' };
  draft.limits.spread_s_per_d = '6';
  draft.limits.mean_from_s_per_d = '−4';
  const own = classOf(draft);
  expect(own).toMatchObject({ name: 'House', positions: 5, spread_s_per_d: 6, mean_from_s_per_d: -4, mean_to_s_per_d: null });
  if (typeof own === 'string') throw new Error(own);
  expect(classOf(draftOf(own))).toEqual(own);
  expect(classWords(own)).toBe('mean rate from -4, spread at most 6 s/d; 5 positions');
});

test('what is no number is named', () => {
  const draft = draftOf(null);
  draft.limits.departure_s_per_d = 'few';
  expect(classOf(draft)).toBe('“few” is no number (Farthest from the mean at most).');
});
