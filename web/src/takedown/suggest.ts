// Finding a kind of part by its name and by other words for it, without a line.

import type { TradeKind } from '../wire/TradeKind';

const MOST = 8;

/** Without case, accents and hyphens, as people type. */
export const plainText = (text: string): string =>
  text
    .normalize('NFD')
    .replace(/\p{Diacritic}/gu, '')
    .toLowerCase()
    .replace(/[-_\s]+/g, ' ')
    .trim();

/** How well `text` fits; the lower the better, none where it does not. */
function rank(kind: TradeKind, text: string): number | null {
  const name = plainText(kind.name);
  const words = kind.words.map(plainText);
  if (name === text) return 0;
  if (name.startsWith(text)) return 1;
  if (words.includes(text)) return 2;
  if (words.some((word) => word.startsWith(text))) return 3;
  const typed = text.split(' ');
  const starts = (of: string) =>
    typed.every((part) => of.split(' ').some((word) => word.startsWith(part)));
  if (starts(name)) return 4;
  if (words.some(starts)) return 5;
  if (name.includes(text)) return 6;
  return words.some((word) => word.includes(text)) ? 7 : null;
}

/**
 * Kinds that fit what was typed, the best first; where nothing is typed, those that were used last
 * in this job.
 */
export function suggest(kinds: TradeKind[], text: string, lastUsed: string[] = []): TradeKind[] {
  const typed = plainText(text);
  if (typed === '') {
    const of = (id: string) => kinds.find((kind) => kind.id === id);
    return [...new Set(lastUsed)].map(of).filter((kind) => kind !== undefined).slice(0, MOST);
  }
  return kinds
    .flatMap((kind) => {
      const at = rank(kind, typed);
      return at === null ? [] : [{ kind, at }];
    })
    .sort((a, b) => a.at - b.at || a.kind.name.length - b.kind.name.length)
    .slice(0, MOST)
    .map(({ kind }) => kind);
}

/** Of the words, the one by which it was found, where its name does not say it. */
export function foundBy(kind: TradeKind, text: string): string {
  const typed = plainText(text);
  if (typed === '' || plainText(kind.name).includes(typed)) return '';
  return kind.words.find((word) => plainText(word).includes(typed)) ?? '';
}

/** "7" after "6", "B3" after "B2"; nothing after "lid". */
export function nextCompartment(last: string | undefined): string {
  if (last === undefined) return '1';
  const [, before = '', number] = /^(.*?)(\d+)$/.exec(last.trim()) ?? [];
  if (number === undefined) return '';
  return before + String(Number(number) + 1).padStart(number.length, '0');
}
