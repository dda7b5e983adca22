import { expect, test } from 'vitest';
import type { Adjustment } from '../wire/Adjustment';
import type { RegulatingBalance } from '../wire/RegulatingBalance';
import type { RegulatingCell } from '../wire/RegulatingCell';
import { onDial, sectorPath } from './dial';
import { cellAt, changes, daysWords, fullestWind, statisticRows, verdictWords } from './view';

const cell = (position: RegulatingCell['position'], wind: number, is_of_before = false): RegulatingCell => ({
  wind,
  position,
  reading_id: `${position}${wind}`,
  taken_at: '2026-05-01T08:00:00Z',
  is_of_before,
  rate_s_per_d: { value: 1, sd: 0.1 },
  amplitude_deg: null,
  beat_error_ms: null,
  before_s_per_d: null,
});
const statistic = (code: string, value: number) => ({
  code,
  words: code,
  value: { value, sd: 0.1 },
  unit: 's/d',
  is_signed: true,
  note: '',
});
const balance = (given: Partial<RegulatingBalance>): RegulatingBalance => ({
  label: 'A',
  cells: [],
  columns: [],
  classes: [],
  poise: { answer: '', doubt: '', size: '', details: [], missing: '', next: '', direction_deg: null, sector_half_deg: null },
  advice: [],
  findings: [],
  isochronism: { words: [], candidates: [], long_readings: [] },
  wrist: { expected_s_per_d: null, day_to_day_sd_s_per_d: null, words: '' },
  ...given,
});

test('a place of the sheet is found by position and wind', () => {
  const sheet = balance({ cells: [cell('CH', 0), cell('CH', 1), cell('6H', 1)] });
  expect(cellAt(sheet, 'CH', 1)?.reading_id).toBe('CH1');
  expect(cellAt(sheet, '6H', 0)).toBeUndefined();
});

test('statistics stand in rows, with a hole where one cannot be said', () => {
  const rows = statisticRows(
    balance({
      columns: [
        { wind: 0, statistics: [statistic('mean', 1), statistic('spread', 2)] },
        { wind: 2, statistics: [statistic('mean', 3)] },
      ],
    }),
    3,
  );
  expect(rows.map(({ code, each }) => [code, each.map((one) => one?.value.value)])).toEqual([
    ['mean', [1, undefined, 3]],
    ['spread', [2, undefined, undefined]],
  ]);
});

test('around the dial stands the fullest state of wind of now', () => {
  expect(fullestWind(balance({}))).toBeNull();
  expect(fullestWind(balance({ cells: [cell('CH', 1), cell('6H', 0), cell('3H', 1)] }))).toBe(1);
  expect(fullestWind(balance({ cells: [cell('CH', 1), cell('6H', 0)] }))).toBe(0);
  expect(fullestWind(balance({ cells: [cell('CH', 0, true), cell('3H', 0, true), cell('6H', 1)] }))).toBe(1);
});

test('moves and other changes stand in one list, each once, the last first', () => {
  const move = (id: string, at: string, label: string): Adjustment => ({
    id,
    version: 1,
    job_id: 'j',
    balance: label,
    at,
    by: 'index',
    amount: 1,
    note: '',
    words: 'index 1',
  });
  const [first, second, third] = ['2026-05-01T08:00:00Z', '2026-05-02T08:00:00Z', '2026-05-03T08:00:00Z'] as const;
  const all = changes(
    [
      { at: first, words: 'put together', balance: null },
      { at: second, words: 'index 1', balance: 'B' },
      { at: third, words: 'index 1', balance: null },
    ],
    [move('m1', second, 'B'), move('m2', third, '')],
  );
  expect(all.map(({ words, balance: of, move: by }) => [words, of, by?.id])).toEqual([
    ['index 1', null, 'm2'],
    ['index 1', 'B', 'm1'],
    ['put together', null, undefined],
  ]);
});

test('days and verdicts in words', () => {
  expect([1, 7, 30, 3].map(daysWords)).toEqual(['a day', 'a week', 'a month', '3 days']);
  expect((['pass', 'fail', 'cannot_tell'] as const).map((one) => verdictWords(one).words)).toEqual(['pass', 'fail', 'cannot tell']);
});

test('directions go clockwise from 12, as hours do', () => {
  for (const [hour, x, y] of [[0, 0, -10], [3, 10, 0], [6, 0, 10], [9, -10, 0]] as const) {
    const at = onDial(hour * 30, 10);
    expect(at.x, String(hour)).toBeCloseTo(x, 9);
    expect(at.y, String(hour)).toBeCloseTo(y, 9);
  }
});

test('a sector from 12 over 3 to 6 is a half ring', () => {
  expect(sectorPath(90, 90, 5, 10)).toBe('M0.00 -10.00A10 10 0 0 1 0.00 10.00L0.00 5.00A5 5 0 0 0 0.00 -5.00Z');
  // Whatever is not known is a whole ring, and still an outline that can be drawn.
  expect(sectorPath(0, 400, 5, 10)).toMatch(/^M[-\d. ]+A10 10 0 1 1 /);
});
