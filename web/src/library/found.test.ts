import { expect, test } from 'vitest';
import type { TradeRule } from '../wire/TradeRule';
import { foundKinds, foundRules } from './found';
import { TRADE } from '../bench/movement.test-kit';

const rule = (id: string, words: string, more: Partial<TradeRule> = {}): TradeRule => ({
  id,
  own: false,
  off: false,
  kinds: [],
  words,
  sources: [],
  otherwise: [],
  ...more,
});
const RULES = [
  rule('oil-cap', 'Oil the middle of the cap jewel', { kinds: ['cap jewel'], sources: ['Lévy, A Handbook, p. 9'] }),
  rule('peg', 'Peg every hole', { own: true }),
];
const ids = (typed: string) => foundRules(RULES, typed).map(({ id }) => id);

test('nothing typed shows all', () => {
  expect(ids('  ')).toEqual(['oil-cap', 'peg']);
});

test('all words count, in any order, in words, parts and sources, without case and accents', () => {
  expect(ids('JEWEL oil')).toEqual(['oil-cap']);
  expect(ids('levy')).toEqual(['oil-cap']);
  expect(ids('own')).toEqual(['peg']);
  expect(ids('oil hole')).toEqual([]);
});

test('a part is found by its other names', () => {
  expect(foundKinds(TRADE.kinds, 'anchor').map(({ id }) => id)).toContain('pallet-fork');
});
