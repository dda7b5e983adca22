import { expect, test } from 'vitest';
import { settingsOf, toldOf, toldWords } from './told';

test('what is told is read, or the field named that cannot be', () => {
  expect(settingsOf({ lift: '52; 51,5', balances: '2', beats: '' })).toMatchObject({
    lift_angles_deg: [52, 51, 5],
  });
  expect(settingsOf({ lift: '', balances: '', beats: '28800' })).toEqual({
    lift_angles_deg: [],
    beats_per_hour: [28800],
    balances: null,
  });
  expect(settingsOf({ lift: 'wide', balances: '', beats: '' })).toMatchObject({ field: 'lift' });
  expect(settingsOf({ lift: '', balances: '0', beats: '' })).toMatchObject({ field: 'balances' });
  expect(settingsOf({ lift: '', balances: '', beats: '4 Hz' })).toMatchObject({ field: 'beats' });
});

test('what is the same for all balances is said once', () => {
  expect(toldWords({ lift_angles_deg: [52, 52], beats_per_hour: [], balances: 2 })).toBe(
    'lift angle 52° · 2 balances · beat heard',
  );
});

test('fields and settings turn into each other', () => {
  const settings = { lift_angles_deg: [52, 51.5], beats_per_hour: [28800], balances: 2 };
  expect(settingsOf(toldOf(settings))).toEqual(settings);
  expect(toldWords(settings)).toBe('lift angle 52°, 51.5° · 2 balances · 28,800 beats/h');
});
