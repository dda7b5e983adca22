import { expect, test } from 'vitest';
import { amountText, amountWords, readAmount } from './money';

// ISO 4217:2015, list one, "Minor unit": none for JPY, three for IQD, two for most, HUF among them.
const LIST = {
  usual_minor_digits: 2,
  others: [
    { code: 'IQD', minor_digits: 3 },
    { code: 'JPY', minor_digits: 0 },
  ],
};

test('amounts are read and shown without a rounding', () => {
  expect(readAmount('89.50', 'EUR', LIST)).toBe(8950);
  expect(readAmount('89,5', 'EUR', LIST)).toBe(8950);
  expect(readAmount(' 1 200 ', 'EUR', LIST)).toBe(120000);
  // As a float 1.15 * 100 is less than 115.
  expect(readAmount('1.15', 'EUR', LIST)).toBe(115);
  expect(amountText(115, 'EUR', LIST)).toBe('1.15');
  expect(amountText(null, 'EUR', LIST)).toBe('');
});

test('what is no amount is not guessed at', () => {
  expect(readAmount('', 'EUR', LIST)).toBeNull();
  for (const text of ['x', '1.2.3', '1.234', '-5', '1e3']) {
    expect(readAmount(text, 'EUR', LIST), text).toBeUndefined();
  }
});

test('a currency has the decimals of the standard, whatever the browser shows of it', () => {
  expect(readAmount('1200', 'JPY', LIST)).toBe(1200);
  expect(readAmount('12.5', 'JPY', LIST)).toBeUndefined();
  expect(amountText(1200, 'JPY', LIST)).toBe('1200');
  expect(readAmount('1.25', 'IQD', LIST)).toBe(1250);
  // Browsers write forint without decimals; the records have hundredths.
  expect(readAmount('12000', 'HUF', LIST)).toBe(1200000);
  expect(amountWords(1200000, 'HUF', LIST)).toBe('12000.00\u00a0HUF');
});
