// Answers of a server for the page Regulate, about an invented watch with two balances of which one
// is heavy: so that all that the page can show stands on it at once. The numbers are invented too;
// what follows from what is the server's affair, and tested there.

import type { Page } from '@playwright/test';
import type { Adjustment } from '../web/src/wire/Adjustment.ts';
import type { NewAdjustment } from '../web/src/wire/NewAdjustment.ts';
import type { Position } from '../web/src/wire/Position.ts';
import type { Regulating } from '../web/src/wire/Regulating.ts';
import type { RegulatingBalance } from '../web/src/wire/RegulatingBalance.ts';
import type { RegulatingCell } from '../web/src/wire/RegulatingCell.ts';
import { answerBench, JOB } from './bench-answers.ts';

export { JOB };

const MOVED_AT = '2026-05-05T10:00:00.000Z';

const MOVE: Adjustment = {
  id: 'm1',
  version: 1,
  job_id: JOB,
  balance: 'A',
  at: MOVED_AT,
  by: 'index',
  amount: -0.4,
  note: 'stiff',
  words: 'index 0.4 towards −',
};

function cell(wind: number, position: Position, rate: number, given: Partial<RegulatingCell> = {}): RegulatingCell {
  return {
    wind,
    position,
    reading_id: `r-${wind}-${position}`,
    taken_at: '2026-05-05T11:00:00Z',
    is_of_before: false,
    rate_s_per_d: { value: rate, sd: 0.14 },
    amplitude_deg: { value: 282 - 60 * wind, sd: 0.6 },
    beat_error_ms: { value: 0.31, sd: 0.013 },
    before_s_per_d: null,
    ...given,
  };
}

const statistic = (code: string, words: string, value: number, sd: number, note = '', unit = 's/d') => ({
  code,
  words,
  value: { value, sd },
  unit,
  is_signed: code !== 'spread',
  note,
});

const A: RegulatingBalance = {
  label: 'A',
  cells: [
    cell(0, 'CH', 4.23, { before_s_per_d: { value: 11.2, sd: 0.2 } }),
    cell(0, 'FH', 5.1, { before_s_per_d: { value: 5.4, sd: 0.3 } }),
    cell(0, '12H', -2.6),
    cell(0, '3H', 8.31),
    cell(0, '6H', 12.44),
    cell(0, '9H', 1.2, { amplitude_deg: null, beat_error_ms: null }),
    cell(0, '1:30H', 3.2),
    cell(0, '4:30H', 11.9),
    cell(0, '7:30H', 7.4),
    cell(0, '10:30H', -1.1),
    cell(1, 'CH', -1.4),
    cell(1, '6H', 3.2, { is_of_before: true }),
  ],
  columns: [
    {
      wind: 0,
      statistics: [
        statistic('mean', 'mean rate', 4.78, 1.73),
        statistic('spread', 'spread', 15.04, 0.2, 'fastest 6H, slowest 12H'),
        statistic('upright_less_flat', 'upright less flat', 0.17, 0.12),
        statistic('amplitude_drop', 'amplitude, flat less upright', 31.2, 0.9, '', '°'),
      ],
    },
    { wind: 1, statistics: [statistic('mean', 'mean rate', -1.4, 1.73)] },
  ],
  classes: [
    {
      name: 'Five positions, fine (1920)',
      source: 'An invented book of rules, No. 7',
      own: false,
      verdict: 'fail',
      limits: [
        { words: 'spread of all positions at most 6', unit: 's/d', is_forecast: false, found: { value: 15.04, sd: 0.2 }, verdict: 'fail', margin: { value: -9.04, sd: 0.2 } },
        { words: 'spread of the flat positions at most 3', unit: 's/d', is_forecast: false, found: { value: 0.87, sd: 0.2 }, verdict: 'pass', margin: { value: 2.13, sd: 0.2 } },
        { words: 'change of rate within a day within ±4', unit: 's/d', is_forecast: false, found: null, verdict: 'cannot_tell', margin: null },
      ],
    },
  ],
  poise: {
    answer: 'Heavy towards 6:30 (±24° with 95 in 100), with the balance at rest.',
    doubt: '',
    size: 'Mass times radius is 0.120 ± 0.030 mg mm for every 10 mg cm² of the balance’s moment of inertia: too much towards 6:30, or too little towards 12:30.',
    details: ['From the balance’s side the dial’s hours go counter-clockwise.', 'Above 220° of amplitude the position with the heavy spot below is the slow one, under 220° the fast one.'],
    missing: 'With the balance’s moment of inertia and the radius of its rim known, that is a mass.',
    next: 'Would help most: 12H, 3H, 6H, 9H at about 150°; on the other side of 220° it tells the spring apart.',
    direction_deg: 195,
    sector_half_deg: 24,
  },
  advice: [
    {
      by: 'index',
      words: 'Turn the index 0.13 ± 0.05° towards −.',
      reasons: ['Expected after it: +2.0 ± 1.8 s/d.', 'A degree does 21 ± 3 s/d, by the last move of this balance.'],
      amount: -0.1324,
      is_guess: false,
      is_computed: false,
    },
    {
      by: 'stud',
      words: 'Turn the stud 0.69 ± 0.04°, either way.',
      reasons: ['The sound does not say on which side rest lies. Where the beat error grows, turn it back twice as far.'],
      amount: null,
      is_guess: false,
      is_computed: false,
    },
  ],
  isochronism: {
    words: ['Upright, it loses as the amplitude falls: +0.12 ± 0.03 s/d for each degree more.'],
    candidates: [
      { words: 'A heavy spot on the balance', matches: 'fits', would: 'flat nothing', test: 'read opposite positions', source: 'An invented handbook, § 7' },
    ],
    long_readings: [{ reading_id: 'r-long', words: 'dial up, full wind, 30 h 12 min' }],
  },
  findings: [
    {
      words: 'One upright position stands out',
      is_plain: true,
      evidence: ['rate, 6H, fully wound: 12.4 ± 0.1 s/d, against 6', 'rate, 12H, fully wound: −2.6 ± 0.1 s/d, against 6'],
      causes: [
        { words: 'a heavy spot on the balance', source: 'An invented book of rules, p. 12' },
        { words: 'a hairspring that is not centred', source: 'An invented handbook, § 4' },
      ],
      next_tests: [
        { words: 'read the uprights at a small motion', tells: 'a heavy spot turns its sign, a spring does not', source: 'An invented handbook, § 5' },
      ],
      disputes: [
        {
          one: { words: 'Poise the balance first.', source: 'An invented book of rules, p. 13' },
          other: { words: 'Centre the hairspring first.', source: 'An invented handbook, § 6' },
        },
      ],
    },
    {
      words: 'The motion falls much from flat to upright',
      is_plain: false,
      evidence: ['fall of the amplitude: 31.2 ± 0.9°, against 30 (within its uncertainty)'],
      causes: [{ words: 'dry or worn pivots', source: 'An invented handbook, § 9' }],
      next_tests: [],
      disputes: [],
    },
  ],
  wrist: {
    expected_s_per_d: { value: 4.6, sd: 1.7 },
    day_to_day_sd_s_per_d: 0.9,
    words: 'On the wrist about +4.6 ± 1.7 s/d, single days differ by 0.9 s/d (one standard deviation): eight hours dial up, the rest alike in the 6 positions that were read.',
  },
};

const B: RegulatingBalance = {
  label: 'B',
  cells: [cell(0, 'CH', -3.1), cell(0, 'FH', -2.8)],
  columns: [{ wind: 0, statistics: [statistic('mean', 'mean rate', -2.95, 1.73)] }],
  classes: [],
  poise: { answer: 'Read it in three upright positions at least.', doubt: '', size: '', details: [], missing: '', next: '', direction_deg: null, sector_half_deg: null },
  advice: [{ by: 'index', words: 'Read it longer before it is touched.', reasons: ['It is −4.9 ± 1.7 s/d from the target.'], amount: null, is_guess: false, is_computed: false }],
  isochronism: { words: ['No position was read in two states of wind.'], candidates: [], long_readings: [] },
  findings: [],
  wrist: { expected_s_per_d: null, day_to_day_sd_s_per_d: null, words: 'Read it dial up and in two more positions to know.' },
};

export const REGULATING: Regulating = {
  job_id: JOB,
  watch_id: 'w',
  target_s_per_d: 2,
  target_is_own: true,
  near_s_per_d: 2,
  clock_sd_s_per_d: 1.73,
  boundaries: [
    { at: '2026-05-04T08:00:00.000Z', words: 'put together', balance: null },
    { at: MOVED_AT, words: MOVE.words, balance: 'A' },
  ],
  winds: [
    { words: 'full wind', hours: 0 },
    { words: 'after 24 h', hours: 24 },
  ],
  balances: [A, B],
  hands_apart: {
    balances: ['A', 'B'],
    hands: [["seconds"], ["minute", "hour"]],
    wind: 'full wind',
    after: [
      { days: 1, ahead_s: { value: 7.4, sd: 1.8 } },
      { days: 7, ahead_s: { value: 52, sd: 4.7 } },
      { days: 30, ahead_s: { value: 222, sd: 10 } },
    ],
    words: ['A is +2.8 ± 1.7 s/d from the target: cannot tell.', 'A less B is +7.7 ± 0.2 s/d: fail.', 'Move B first: it is the farther from the target.'],
  },
};

export const NOTHING_READ: Regulating = { ...REGULATING, boundaries: [], winds: [], balances: [], hands_apart: null };

export interface Regulated {
  moves: Adjustment[];
  /** What was entered, as it was sent. */
  entered: NewAdjustment[];
  /** What was asked of the sheet. */
  asked: URLSearchParams[];
  /** The sentence with which everything that is sent is refused; null where it is kept. */
  refuses: string | null;
}

export async function answerRegulating(page: Page, regulating: Regulating = REGULATING): Promise<Regulated> {
  await answerBench(page);
  const held: Regulated = {
    moves: regulating.balances.length > 0 ? [MOVE] : [],
    entered: [],
    asked: [],
    refuses: null,
  };
  await page.route('**/api/v1/watches/w', (route) =>
    route.fulfill({ json: { id: 'w', version: 3, owner_id: null, owner_name: null, description: 'Twin-balance school piece', calibre: '', serial_numbers: '', notes: '', lift_angles_deg: [], beats_per_hour: [], balances: 2, target_s_per_d: 2, movement: '' } }),
  );
  await page.route('**/api/v1/readings/r-long/over-wind?balance=A', (route) =>
    route.fulfill({ json: { words: ['In 30.0 h its amplitude went from 287.5 ± 0.4° to 232.5 ± 0.4°.'], has_picture: true } }),
  );
  await page.route('**/api/v1/readings/r-long/course.svg?*', (route) =>
    route.fulfill({ contentType: 'image/svg+xml', body: '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 1"><path d="M0 0L4 1" stroke="gray" stroke-width=".02"/></svg>' }),
  );
  await page.route(/\/api\/v1\/jobs\/[^/]+\/regulate/, (route) => {
    held.asked.push(new URL(route.request().url()).searchParams);
    return route.fulfill({ json: regulating });
  });
  await page.route(/\/api\/v1\/(jobs\/[^/]+\/)?adjustments|\/api\/v1\/bin\/adjustment/, (route) => {
    const request = route.request();
    if (request.method() === 'GET') return route.fulfill({ json: { adjustments: held.moves } });
    if (held.refuses !== null) {
      return route.fulfill({ status: 422, json: { error: { code: 'invalid', message: held.refuses } } });
    }
    if (request.method() === 'DELETE') {
      held.moves = held.moves.filter(({ id }) => !request.url().endsWith(id));
      return route.fulfill({ status: 204 });
    }
    if (request.url().endsWith('/restore')) {
      held.moves = [...held.moves, MOVE];
      return route.fulfill({ status: 204 });
    }
    const sent = request.postDataJSON() as NewAdjustment;
    held.entered.push(sent);
    const { by, balance, amount, note } = sent;
    const move: Adjustment = { ...MOVE, id: 'm2', at: '2026-05-06T10:00:00.000Z', by, balance: balance ?? '', amount: amount ?? null, note: note ?? '', words: 'as entered' };
    held.moves = [...held.moves, move];
    return route.fulfill({ status: 201, json: move });
  });
  return held;
}
