import { expect, test } from 'vitest';
import type { TrialDay } from '../wire/TrialDay';
import type { TrialRate } from '../wire/TrialRate';
import { dayState, localTime, momentIn, offers } from './days';
import { changeOf, rateIn, rateText, recordOf, type TrialRecord } from './record';

const rate = (rate_s_per_d: number, readings = 0, sd_s_per_d: number | null = null): TrialRate => ({
  rate_s_per_d,
  sd_s_per_d,
  clock_sd_s_per_d: 0,
  readings,
});

const day = (n: number, given: Partial<TrialDay> = {}): TrialDay => ({
  day: n,
  from: `2026-05-${String(3 + n).padStart(2, '0')}T09:00:00.000Z`,
  until: `2026-05-${String(4 + n).padStart(2, '0')}T09:00:00.000Z`,
  position: '6H',
  position_words: '6 up',
  temperature_deg_c: 23,
  chronograph_runs: false,
  rate: null,
  from_words: '',
  offered: null,
  ...given,
});

test('a day is over when its 24 hours are, and not before', () => {
  const first = day(1);
  expect(dayState(first, new Date('2026-05-04T08:59:59Z'))).toBe('to come');
  expect(dayState(first, new Date('2026-05-04T09:00:00Z'))).toBe('now');
  expect(dayState(first, new Date('2026-05-05T08:59:59Z'))).toBe('now');
  expect(dayState(first, new Date('2026-05-05T09:00:00Z'))).toBe('over');
});

test('a rate is read as it is typed, and stands as it was entered', () => {
  expect(rateIn('')).toBeNull();
  expect(rateIn('fast')).toBeUndefined();
  for (const [typed, value] of [['-1,5', -1.5], ['−1.5', -1.5], ['+2.50', 2.5], ['0', 0]] as const) {
    expect(rateIn(typed)?.rate_s_per_d, typed).toBe(value);
  }
  expect(rateText(rate(2.5))).toBe('+2.5');
  expect(rateText(rate(-0.25))).toBe('−0.25');
  expect(rateText(rate(0))).toBe('0');
  expect(rateText(null)).toBe('');
  // A mean is no sharper than its uncertainty: two figures of 0.21.
  expect(rateText(rate(-7.0999999, 2, 0.2121))).toBe('−7.10');
});

test('what stands in a field means the same when it is typed again', () => {
  for (const value of [2.5, -0.25, 0, 12.345, -1e-7]) {
    expect(rateIn(rateText(rate(value)))?.rate_s_per_d).toBe(value);
  }
});

test('only the days that changed are sent', () => {
  const fields: Partial<TrialRecord> & { version: number } = { version: 4, day3: rate(1), day12: null, note: 'warm' };
  expect(changeOf(fields)).toEqual({
    version: 4,
    note: 'warm',
    days: [
      { day: 3, rate: rate(1) },
      { day: 12, rate: null },
    ],
  });
  expect(changeOf({ version: 1, size: 'small' })).toEqual({ version: 1, size: 'small' });
});

test('a record has every day as a field', () => {
  const record = recordOf({
    id: 't',
    version: 2,
    job_id: 'j',
    balance: '',
    size: 'large',
    begun: '',
    rate_sd_s_per_d: 0,
    note: '',
    days: [day(1, { rate: rate(3) }), day(2)],
    criteria: [],
    words: '',
  });
  expect([record.day1, record.day2]).toEqual([rate(3), null]);
});

test('readings are offered to days that are empty, or that rest on fewer of them', () => {
  const offered = { rate: rate(2, 3, 0.2), words: 'mean of 3 readings' };
  const days = [
    day(1),
    day(2, { offered }),
    day(3, { offered, rate: rate(5) }),
    day(4, { offered, rate: rate(2.1, 2, 0.3) }),
    day(5, { offered, rate: offered.rate }),
  ];
  expect(offers(days).map(({ day }) => day)).toEqual([2, 4]);
});

test('a time of this place comes back as the same instant', () => {
  const at = new Date(2026, 4, 4, 9, 5);
  expect(localTime(at)).toBe('2026-05-04T09:05');
  expect(momentIn(localTime(at))).toBe(at.toISOString());
  expect(momentIn('')).toBeUndefined();
  expect(momentIn('soon')).toBeUndefined();
});
