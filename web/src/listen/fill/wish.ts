// How this device wants a sheet to be filled; it stays so until it is told otherwise.

import type { Position } from '../../wire/Position';
import { numberIn } from '../../words/numbers';
import { POSITIONS, STANDARD } from '../../words/positions';

export interface FillWish {
  /** Which positions, in which order. */
  order: Position[];
  /** A reading ends when the rate is known so well, s/d ... */
  sd_s_per_d: string;
  /** ... or after so many seconds. */
  seconds: string;
  /** Whether places are called aloud. */
  aloud: boolean;
}

const NAME = 'endshake.fill';

/** Orders that are offered; the eight go round the dial by an eighth of a turn each. */
export const PRESETS: { words: string; order: Position[] }[] = [
  { words: 'The six', order: STANDARD.map(({ position }) => position) },
  { words: 'Four upright', order: ['12H', '3H', '6H', '9H'] },
  {
    words: 'Eight upright',
    order: ['12H', '1:30H', '3H', '4:30H', '6H', '7:30H', '9H', '10:30H'],
  },
];

export const USUAL: FillWish = {
  order: STANDARD.map(({ position }) => position),
  sd_s_per_d: '0.2',
  seconds: '60',
  aloud: true,
};

/** Whatever is held, as a wish; what of it makes no sense is as usual. */
export function wishFrom(held: string | null): FillWish {
  let found: Partial<Record<keyof FillWish, unknown>>;
  try {
    found = (JSON.parse(held ?? '{}') as typeof found | null) ?? {};
  } catch {
    return USUAL;
  }
  const text = (value: unknown, usual: string) => (typeof value === 'string' ? value : usual);
  const listed: unknown[] = Array.isArray(found.order) ? found.order : USUAL.order;
  const known = POSITIONS.map(({ position }) => position);
  const order = known.filter((position) => listed.includes(position));
  return {
    order: order.sort((a, b) => listed.indexOf(a) - listed.indexOf(b)),
    sd_s_per_d: text(found.sd_s_per_d, USUAL.sd_s_per_d),
    seconds: text(found.seconds, USUAL.seconds),
    aloud: typeof found.aloud === 'boolean' ? found.aloud : USUAL.aloud,
  };
}

export function fillWish(): FillWish {
  try {
    return wishFrom(localStorage.getItem(NAME));
  } catch {
    return USUAL;
  }
}

export function keepFillWish(wish: FillWish) {
  try {
    localStorage.setItem(NAME, JSON.stringify(wish));
  } catch {
    // Then it holds until the page is closed.
  }
}

/** A position to the end of the order, or out of it. */
export const toggled = (order: readonly Position[], position: Position): Position[] =>
  order.includes(position) ? order.filter((one) => one !== position) : [...order, position];

export interface Limits {
  seconds: number;
  until_sd_s_per_d: number | null;
}

/** When a reading ends, or a sentence about what cannot be read. */
export function limitsOf({ sd_s_per_d, seconds }: FillWish): Limits | { error: string } {
  const most = numberIn(seconds);
  if (most === undefined || most < 2 || most > 86400) return { error: 'From 2 seconds to a day.' };
  if (sd_s_per_d.trim() === '') return { seconds: most, until_sd_s_per_d: null };
  const sd = numberIn(sd_s_per_d);
  // As the server takes it.
  if (sd === undefined || sd < 1e-4 || sd > 100) {
    return { error: 'An uncertainty above zero, such as 0.2; empty to read for the whole time.' };
  }
  return { seconds: most, until_sd_s_per_d: sd };
}
