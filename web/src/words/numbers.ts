import type { Value } from '../wire/Value';

// Numbers as people read them, by the rule that the rest of the program follows
// (crates/quantities/src/digits.rs): no more figures than the uncertainty allows.

/**
 * Decimals that a standard uncertainty allows, by the rule of the Particle Data Group (Review of
 * Particle Physics, Introduction, "Rounding"): two figures of it where its first three are 100 to
 * 354, one where they are 355 to 949, and 950 to 999 count as 1000.
 */
export function decimalsFor(sd: number, most = 4): number {
  if (!(Number.isFinite(sd) && sd > 0)) return Math.min(1, most);
  const [mantissa = '1', exponent = '0'] = sd.toExponential(2).split('e');
  const decimals = (mantissa <= '3.54' ? 1 : 0) - Number(exponent);
  return Math.min(Math.max(decimals, 0), most);
}

const readsAsZero = (written: string) => !/[1-9]/.test(written);

/** A proper minus, commas from 10,000 on, a dash for what is no number. */
export function plain(value: number, decimals: number): string {
  if (!Number.isFinite(value)) return '–';
  const [whole = '', fraction] = Math.abs(value).toFixed(decimals).split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, ',') : whole;
  const written = fraction === undefined ? grouped : `${grouped}.${fraction}`;
  return value < 0 && !readsAsZero(written) ? `−${written}` : written;
}

/** As `plain`, with a plus above zero. */
export function signed(value: number, decimals: number): string {
  const written = plain(value, decimals);
  return value > 0 && !readsAsZero(written) ? `+${written}` : written;
}

/**
 * Decimals beyond which nobody regulates: seconds per day, degrees, milliseconds. As the program
 * settles live numbers.
 */
export const MOST_DECIMALS = { rate: 2, amplitude: 1, beat_error: 2 } as const;

export interface Written {
  number: string;
  /** "± 0.1", or nothing where the uncertainty is not known. */
  uncertainty: string;
}

/**
 * A value with the figures that its uncertainty allows, at most so many decimals; nothing where
 * there is no value.
 */
export function written(
  value: Value | null,
  options: { signed?: boolean; most?: number } = {},
): Written | null {
  if (value === null || !Number.isFinite(value.value)) return null;
  const known = Number.isFinite(value.sd) && value.sd > 0;
  const decimals = decimalsFor(value.sd, options.most);
  const number = options.signed ? signed(value.value, decimals) : plain(value.value, decimals);
  const sd = plain(value.sd, decimals);
  if (!known) return { number, uncertainty: '' };
  // Where no more decimals are wanted than this, a smaller uncertainty is still none of zero.
  const least = plain(10 ** -decimals, decimals);
  return { number, uncertainty: readsAsZero(sd) ? `± <${least}` : `± ${sd}` };
}

/** "+4.2 ± 0.1 s/d" */
export function inLine(
  value: Value | null,
  unit: string,
  options: { signed?: boolean; most?: number } = {},
): string {
  const text = written(value, options);
  if (!text) return '–';
  const space = unit === '°' ? '' : '\u00a0';
  return `${[text.number, text.uncertainty].filter((part) => part !== '').join(' ')}${space}${unit}`;
}

/** "1:05", "2:14:09" */
export function clockTime(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  const two = (n: number) => String(n).padStart(2, '0');
  const [h, m, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  return h > 0 ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

/** "40 s", "14 min", "3 h", "2 days": for a sentence. */
export function duration(seconds: number): string {
  if (seconds < 100) return `${plain(seconds, seconds < 10 ? 1 : 0)} s`;
  if (seconds < 100 * 60) return `${plain(seconds / 60, 0)} min`;
  if (seconds < 48 * 3600) return `${plain(seconds / 3600, 0)} h`;
  return `${plain(seconds / 86400, 0)} days`;
}

/** "-1,5" or "−1.5" to a number; undefined where it is none. */
export function numberIn(text: string): number | undefined {
  const bare = text.trim().replace(',', '.').replace('−', '-');
  const value = Number(bare);
  return bare !== '' && Number.isFinite(value) ? value : undefined;
}

/** "52, 51.5" to numbers; null where a word is none. */
export function numbersIn(text: string): number[] | null {
  const words = text.split(/[\s,;]+/).filter((word) => word !== '');
  const numbers = words.map(Number);
  return numbers.every((n) => Number.isFinite(n) && n > 0) ? numbers : null;
}
