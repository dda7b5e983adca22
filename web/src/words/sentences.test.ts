import { expect, test } from 'vitest';
import { relationWords } from './sentences';

test('the balance that gains is named', () => {
  const faster = relationWords({
    state: 'independent',
    rate_difference_s_per_d: 12.34,
    next_coincidence_s: 840,
  });
  expect(faster.word).toBe('Independent.');
  expect(faster.rest).toBe('A gains 12.3\u00a0s/d on B. Their beats meet in 14 min.');
  const slower = relationWords({
    state: 'independent',
    rate_difference_s_per_d: -2,
    next_coincidence_s: null,
  });
  expect(slower.rest).toBe('B gains 2.0\u00a0s/d on A.');
});

test('what cannot be told says what would settle it', () => {
  const words = relationWords({
    state: 'unresolved',
    rate_difference_s_per_d: null,
    next_coincidence_s: null,
  });
  expect(words.rest).toContain('Listen longer');
});
