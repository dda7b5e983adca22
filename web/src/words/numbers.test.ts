import { expect, test } from 'vitest';
import { clockTime, decimalsFor, duration, inLine, numberIn, numbersIn, plain, signed, written } from './numbers';

test('figures follow the uncertainty', () => {
  // The two examples of the Particle Data Group's rule (Review of Particle Physics, Introduction,
  // "Rounding"), and the one of JCGM 100:2008, 7.2.6.
  expect(inLine({ value: 0.827, sd: 0.119 }, 's/d')).toBe('0.83 ± 0.12\u00a0s/d');
  expect(inLine({ value: 0.827, sd: 0.367 }, 's/d')).toBe('0.8 ± 0.4\u00a0s/d');
  expect(inLine({ value: 10.05762, sd: 0.027 }, 'ms')).toBe('10.058 ± 0.027\u00a0ms');
});

test('the limits of the rule are those of the program', () => {
  // As in crates/quantities/src/digits.rs.
  const cases: [number, number][] = [
    [0.354, 2],
    [0.355, 1],
    [0.949, 1],
    [0.951, 1],
    [0.0951, 2],
    [0.1, 2],
    [3, 1],
    [9.6, 0],
    [96, 0],
    [1e9, 0],
    [0, 1],
    [-1, 1],
    [NaN, 1],
  ];
  for (const [sd, decimals] of cases) expect(decimalsFor(sd, 6), String(sd)).toBe(decimals);
});

test('numbers are as people write them', () => {
  expect(plain(28800, 0)).toBe('28,800');
  expect(plain(9999, 0)).toBe('9999');
  expect(plain(-1234567.5, 1)).toBe('−1,234,567.5');
  expect(plain(-0.04, 1)).toBe('0.0');
  expect(plain(Infinity, 1)).toBe('–');
  expect(signed(4.2, 1)).toBe('+4.2');
  expect(signed(0.04, 1)).toBe('0.0');
  expect(signed(-8.1, 1)).toBe('−8.1');
});

test('a cap on the decimals makes no uncertainty zero', () => {
  expect(written({ value: 4.20004, sd: 0.0001 }, { most: 2 })).toEqual({
    number: '4.20',
    uncertainty: '± <0.01',
  });
});

test('no value is no number, not a zero', () => {
  expect(written(null)).toBeNull();
  expect(written({ value: NaN, sd: 1 })).toBeNull();
  expect(inLine(null, 's/d')).toBe('–');
  expect(inLine({ value: 281, sd: 0 }, '°')).toBe('281.0°');
});

test('times', () => {
  expect(clockTime(65)).toBe('1:05');
  expect(clockTime(8049)).toBe('2:14:09');
  expect(duration(4.2)).toBe('4.2 s');
  expect(duration(840)).toBe('14 min');
  expect(duration(3 * 86400)).toBe('3 days');
});

test('lists of numbers in a field', () => {
  expect(numbersIn('52, 51.5')).toEqual([52, 51.5]);
  expect(numbersIn('')).toEqual([]);
  expect(numbersIn('52, x')).toBeNull();
  expect(numbersIn('-3')).toBeNull();
});

test('a number in a field', () => {
  expect(numberIn(' −1,5 ')).toBe(-1.5);
  expect(numberIn('0')).toBe(0);
  for (const text of ['', ' ', 'x', '1.2.3']) expect(numberIn(text), text).toBeUndefined();
});
