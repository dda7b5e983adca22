// Amounts of money: whole smallest units in records, decimals for people.

/** How many decimals a currency has, as ISO 4217 says; two where the browser does not know it. */
function decimalsOf(currency: string): number {
  try {
    const format = new Intl.NumberFormat('en', { style: 'currency', currency });
    return format.resolvedOptions().maximumFractionDigits ?? 2;
  } catch {
    return 2;
  }
}

/** 12345 to "123.45" */
export function amountText(minor: number | null, currency: string): string {
  if (minor === null) return '';
  const decimals = decimalsOf(currency);
  return (minor / 10 ** decimals).toFixed(decimals);
}

/** 12345 to "123.45 EUR" */
export const amountWords = (minor: number, currency: string): string =>
  `${amountText(minor, currency)}\u00a0${currency}`;

/** "123,4" to 12340; null for nothing, undefined for what is no amount. */
export function readAmount(text: string, currency: string): number | null | undefined {
  const bare = text.trim().replace(/\s/g, '').replace(',', '.');
  if (bare === '') return null;
  const decimals = decimalsOf(currency);
  const [, whole, fraction = ''] = /^(\d{1,12})(?:\.(\d*))?$/.exec(bare) ?? [];
  if (whole === undefined || fraction.length > decimals) return undefined;
  return Number(whole) * 10 ** decimals + Number(fraction.padEnd(decimals, '0') || '0');
}
