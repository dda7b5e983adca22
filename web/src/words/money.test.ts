import { expect, test } from 'vitest';
import { amountText, readAmount } from './money';

test('amounts are read and shown without a rounding', () => {
  expect(readAmount('89.50', 'EUR')).toBe(8950);
  expect(readAmount('89,5', 'EUR')).toBe(8950);
  expect(readAmount(' 1 200 ', 'EUR')).toBe(120000);
  // As a float 1.15 * 100 is less than 115.
  expect(readAmount('1.15', 'EUR')).toBe(115);
  expect(amountText(115, 'EUR')).toBe('1.15');
  expect(amountText(null, 'EUR')).toBe('');
});

test('what is no amount is not guessed at', () => {
  expect(readAmount('', 'EUR')).toBeNull();
  for (const text of ['x', '1.2.3', '1.234', '-5', '1e3']) {
    expect(readAmount(text, 'EUR'), text).toBeUndefined();
  }
});

test('a currency without a smaller unit has none', () => {
  // ISO 4217: JPY has no minor unit.
  expect(readAmount('1200', 'JPY')).toBe(1200);
  expect(readAmount('12.5', 'JPY')).toBeUndefined();
  expect(amountText(1200, 'JPY')).toBe('1200');
});
