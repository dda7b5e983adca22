// @vitest-environment jsdom

import { expect, test } from 'vitest';
import { fillWish, keepFillWish, limitsOf, PRESETS, toggled, USUAL, wishFrom } from './wish';

test('the order is kept on this device as it was chosen', () => {
  expect(fillWish().order).toEqual(['CH', 'FH', '12H', '3H', '6H', '9H']);
  keepFillWish({ ...USUAL, order: ['6H', 'CH', '9H'], aloud: false });
  expect(fillWish()).toMatchObject({ order: ['6H', 'CH', '9H'], aloud: false });
});

test('eight upright positions are kept as well, each an eighth of a turn from the last', () => {
  const eight = PRESETS.find(({ words }) => words === 'Eight upright')?.order ?? [];
  const hours = eight.map((position) => {
    const [hour, minutes] = position.replace('H', '').split(':');
    return (Number(hour) % 12) + Number(minutes ?? 0) / 60;
  });
  expect(hours).toEqual([0, 1.5, 3, 4.5, 6, 7.5, 9, 10.5]);
  keepFillWish({ ...USUAL, order: eight });
  expect(fillWish().order).toEqual(eight);
});

test('whatever is held, nonsense becomes as usual', () => {
  for (const held of [null, '', '{', 'null', '3', '[]', '{"order":7,"seconds":1,"aloud":"x"}']) {
    expect(wishFrom(held), String(held)).toEqual(USUAL);
  }
  expect(wishFrom('{"order":["3H","moon","3H","CH"]}').order).toEqual(['3H', 'CH']);
});

test('a position is put last, or taken out', () => {
  expect(toggled(['CH', '6H'], '3H')).toEqual(['CH', '6H', '3H']);
  expect(toggled(['CH', '6H', '3H'], '6H')).toEqual(['CH', '3H']);
});

test('how long', () => {
  const limits = (sd_s_per_d: string, seconds: string) => limitsOf({ ...USUAL, sd_s_per_d, seconds });
  expect(limits('0,2', '90')).toEqual({ seconds: 90, until_sd_s_per_d: 0.2 });
  expect(limits('', '40')).toEqual({ seconds: 40, until_sd_s_per_d: null });
  for (const [sd, seconds] of [['0', '60'], ['x', '60'], ['0.2', ''], ['0.2', '1'], ['0.2', '1e9']] as const) {
    expect(limits(sd, seconds), `${sd} ${seconds}`).toHaveProperty('error');
  }
});
