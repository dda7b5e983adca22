// A class of tolerance as it is typed: empty fields have no limit.

import type { OwnClass } from '../wire/OwnClass';
import { numberIn } from '../words/numbers';

type LimitField = Exclude<keyof OwnClass, 'name' | 'positions'>;

export const LIMITS: { field: LimitField; words: string }[] = [
  { field: 'mean_from_s_per_d', words: 'Mean rate from' },
  { field: 'mean_to_s_per_d', words: 'to' },
  { field: 'every_from_s_per_d', words: 'Every position from' },
  { field: 'every_to_s_per_d', words: 'to' },
  { field: 'spread_s_per_d', words: 'Spread at most' },
  { field: 'flat_spread_s_per_d', words: 'Dial up against dial down at most' },
  { field: 'departure_s_per_d', words: 'Farthest from the mean at most' },
];

export interface ClassDraft {
  name: string;
  positions: number;
  limits: Record<LimitField, string>;
}

export function draftOf(own: OwnClass | null): ClassDraft {
  const text = (value: number | null | undefined) => (value == null ? '' : String(value));
  const limits = Object.fromEntries(LIMITS.map(({ field }) => [field, text(own?.[field])]));
  return { name: own?.name ?? '', positions: own?.positions ?? 5, limits: limits as ClassDraft['limits'] };
}

/** The class, or a sentence about the first field that is no number. */
export function classOf({ name, positions, limits }: ClassDraft): OwnClass | string {
  const own: Partial<OwnClass> = { name: name.trim(), positions };
  for (const { field, words } of LIMITS) {
    const typed = limits[field].trim();
    const value = typed === '' ? null : numberIn(typed);
    if (value === undefined) return `“${typed}” is no number (${words}).`;
    own[field] = value;
  }
  return own as OwnClass;
}

/** "spread at most 6 s/d, mean rate -4 to 6 s/d" */
export function classWords(own: OwnClass): string {
  const between = (words: string, from: number | null, to: number | null) => {
    if (from === null && to === null) return '';
    if (from === null) return `${words} up to ${to}`;
    return to === null ? `${words} from ${from}` : `${words} ${from} to ${to}`;
  };
  const most = (words: string, most: number | null) => (most === null ? '' : `${words} at most ${most}`);
  const parts = [
    between('mean rate', own.mean_from_s_per_d, own.mean_to_s_per_d),
    between('every position', own.every_from_s_per_d, own.every_to_s_per_d),
    most('spread', own.spread_s_per_d),
    most('dial up against dial down', own.flat_spread_s_per_d),
    most('farthest from the mean', own.departure_s_per_d),
  ].filter((words) => words !== '');
  return `${parts.join(', ')} s/d; ${own.positions} positions`;
}
