import { expect, test } from 'vitest';
import { TRADE } from '../bench/movement.test-kit';
import { foundBy, nextCompartment, suggest } from './suggest';

const names = (text: string, last: string[] = []) =>
  suggest(TRADE.kinds, text, last).map(({ name }) => name);

test('a name that begins so comes first, other words for it after that', () => {
  expect(names('bal').slice(0, 2)).toEqual(['balance cock', 'balance complete']);
  expect(names('lever')).toEqual(['pallet fork']);
  expect(names('SCAPE')).toEqual(['escape wheel']);
  expect(names('wh fo')).toEqual(['fourth wheel']);
  expect(names('zzz')).toEqual([]);
});

test('accents, hyphens and case do not matter', () => {
  expect(names('Twelve hour')).toEqual(['hour wheel']);
  expect(names('bárrel')[0]).toBe('barrel');
});

test('where nothing is typed, what was used last is offered, once each', () => {
  expect(names('', ['barrel', 'third-wheel', 'barrel', ''])).toEqual(['barrel', 'third wheel']);
});

test('the word by which it was found is said where its name does not say it', () => {
  const fork = TRADE.kinds.find(({ id }) => id === 'pallet-fork')!;
  expect(foundBy(fork, 'anch')).toBe('anchor');
  expect(foundBy(fork, 'pallet')).toBe('');
});

test('the next compartment follows the last', () => {
  expect(nextCompartment(undefined)).toBe('1');
  expect(nextCompartment('9')).toBe('10');
  expect(nextCompartment('B09')).toBe('B10');
  expect(nextCompartment('lid')).toBe('');
  expect(nextCompartment('')).toBe('');
});
