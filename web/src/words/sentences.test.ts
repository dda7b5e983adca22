import { expect, test } from 'vitest';
import { relationWords } from './sentences';

test('the balance that gains is named', () => {
  const faster = relationWords({
    state: 'independent',
    rate_difference_s_per_d: { value: 12.34, sd: 0.1 },
    next_coincidence_s: 840,
  });
  expect(faster.word).toBe('Independent.');
  expect(faster.rest).toBe('A gains 12.34 ± 0.10\u00a0s/d on B. Their beats meet in 14 min.');
  const slower = relationWords({
    state: 'independent',
    rate_difference_s_per_d: { value: -2, sd: 0.5 },
    next_coincidence_s: null,
  });
  expect(slower.rest).toBe('B gains 2.0 ± 0.5\u00a0s/d on A.');
});

test('what cannot be told says what would settle it', () => {
  const words = relationWords({
    state: 'unresolved',
    rate_difference_s_per_d: null,
    next_coincidence_s: null,
  });
  expect(words.rest).toContain('Listen longer');
});
