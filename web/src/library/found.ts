// What of the library a typed text finds: every word of it, in any order, anywhere in an entry.

import type { TradeKind } from '../wire/TradeKind';
import type { TradeRule } from '../wire/TradeRule';

export const foundRules = (rules: TradeRule[], typed: string): TradeRule[] =>
  found(rules, typed, ({ id, words, kinds, sources, own, off }) => [
    id,
    words,
    ...kinds,
    ...sources,
    own ? 'own' : '',
    off ? 'switched off' : '',
  ]);

export const foundKinds = (kinds: TradeKind[], typed: string): TradeKind[] =>
  found(kinds, typed, ({ id, name, words, family, definition }) => [id, name, ...words, family, definition]);

function found<T>(all: T[], typed: string, texts: (one: T) => string[]): T[] {
  const wanted = plain(typed).split(/\s+/).filter(Boolean);
  if (wanted.length === 0) return all;
  return all.filter((one) => {
    const text = plain(texts(one).join(' '));
    return wanted.every((word) => text.includes(word));
  });
}

/** Without case and accents. */
const plain = (text: string) => text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
