// Amounts of money: whole smallest units in records, decimals for people. How many decimals a
// currency has is told by the server; a browser's own list differs from the standard.

import type { CurrencyList } from '../wire/CurrencyList';

const decimalsOf = (currency: string, { others, usual_minor_digits }: CurrencyList): number =>
  others.find((other) => other.code === currency)?.minor_digits ?? usual_minor_digits;

/** 12345 to "123.45" */
export function amountText(minor: number | null, currency: string, list: CurrencyList): string {
  if (minor === null) return '';
  const decimals = decimalsOf(currency, list);
  return (minor / 10 ** decimals).toFixed(decimals);
}

/** 12345 to "123.45 EUR" */
export const amountWords = (minor: number, currency: string, list: CurrencyList): string =>
  `${amountText(minor, currency, list)}\u00a0${currency}`;

/** "123,4" to 12340; null for nothing, undefined for what is no amount. */
export function readAmount(
  text: string,
  currency: string,
  list: CurrencyList,
): number | null | undefined {
  const bare = text.trim().replace(/\s/g, '').replace(',', '.');
  if (bare === '') return null;
  const decimals = decimalsOf(currency, list);
  const [, whole, fraction = ''] = /^(\d{1,12})(?:\.(\d*))?$/.exec(bare) ?? [];
  if (whole === undefined || fraction.length > decimals) return undefined;
  return Number(whole) * 10 ** decimals + Number(fraction.padEnd(decimals, '0') || '0');
}
