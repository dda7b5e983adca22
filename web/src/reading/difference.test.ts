import { expect, test } from 'vitest';
import { difference, standsOut } from './difference';

test('uncertainties of independent readings add as squares', () => {
  // JCGM 100:2008, 5.1.2, equation (10) for y = b - a; 3, 4, 5.
  const change = difference({ value: 14.8, sd: 3 }, { value: 4.2, sd: 4 });
  expect(change?.value).toBeCloseTo(-10.6, 12);
  expect(change?.sd).toBe(5);
  expect(standsOut(change)).toBe(true);
  expect(standsOut({ value: -10, sd: 5 })).toBe(false);
});

test('without one of the two there is no difference', () => {
  expect(difference(null, { value: 1, sd: 1 })).toBeNull();
  expect(standsOut(null)).toBe(false);
});
