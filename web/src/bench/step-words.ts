// Words for steps and screws that the server has not seen yet. It says the same (crate `rebuild`).

import type { TradeKind } from '../wire/TradeKind';
import type { Screws } from '../wire/Screws';
import type { Side } from '../wire/Side';
import type { ThreadHand } from '../wire/ThreadHand';
import type { Verdict } from '../wire/Verdict';

export const SIDE_WORDS: Record<Side, string> = {
  dial: 'dial side',
  train: 'train side',
  case: 'case',
  hand: 'in hand',
};

export const THREAD_WORDS: Record<ThreadHand, string> = {
  right: 'right-handed',
  left: 'left-handed',
  unknown: 'not known',
};

export const VERDICT_WORDS: Record<Verdict, string> = {
  keep: 'keep',
  clean: 'clean',
  repair: 'repair',
  replace: 'replace',
};

export const partName = (name: string, kind: TradeKind | undefined): string =>
  name !== '' ? name : (kind?.name ?? 'part');

/** "fork and fork cock left" */
export function stepName(parts: { name: string }[], groups: string[]): string {
  const names = parts.map(({ name }) => name);
  const last = names.pop() ?? 'nothing';
  const all = names.length > 0 ? `${names.join(', ')} and ${last}` : last;
  return [all, ...groups].join(' ');
}

/** "2 screws, flat head, 1.2 mm, left-handed, near the centre" */
export function screwsWords(set: Omit<Screws, 'id'>): string {
  return [
    set.count === 1 ? '1 screw' : `${set.count} screws`,
    set.look,
    set.length_mm === null ? '' : `${set.length_mm}\u00a0mm`,
    set.thread === 'left' ? 'left-handed' : '',
    set.place,
  ]
    .filter((words) => words !== '')
    .join(', ');
}
