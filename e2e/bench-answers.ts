// Answers of a server for the pages of taking down and putting together, about an invented movement
// with two balances: so that a cut line, a refusal, a contradiction can be had when a test wants it.

import type { Page, Route } from '@playwright/test';
import type { LogEntry } from '../web/src/wire/LogEntry.ts';
import { JOB, MOVEMENT, TRADE } from '../web/src/bench/movement.test-kit.ts';
import { overlaid } from '../web/src/bench/overlay.ts';
import type { Movement } from '../web/src/wire/Movement.ts';

export { JOB, MOVEMENT };

export interface Answers {
  /** What the movement was before anything was entered. */
  movement: Movement;
  /** Ids of entries and photos in the order in which they were kept. */
  kept: string[];
  entries: LogEntry[];
  /** While true nobody answers what is sent. */
  cut: boolean;
  /** The sentence with which an entry is refused; none where it is kept. */
  refuses: (change: { kind: string }) => string | null;
}

const DRAWN = (hue: number) =>
  `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300"><rect width="400" height="300" fill="hsl(${hue} 12% 46%)"/>` +
  `<circle cx="200" cy="150" r="105" fill="hsl(${hue} 18% 62%)"/><circle cx="170" cy="130" r="42" fill="hsl(${hue + 60} 30% 50%)"/>` +
  `<circle cx="238" cy="176" r="26" fill="hsl(${hue + 120} 25% 40%)"/></svg>`;

const watch = {
  id: 'w',
  version: 1,
  owner_id: null,
  owner_name: 'Marta Lindqvist',
  description: 'Twin-balance school piece',
  calibre: '',
  serial_numbers: '',
  notes: '',
  lift_angles_deg: [],
  beats_per_hour: [],
  balances: 2,
};
const job = {
  id: JOB,
  version: 1,
  number: 12,
  watch,
  owner: null,
  stage: 'rebuild',
  stages: [],
  complaint: 'Stops at night.',
  checklist: [],
  notes: '',
  due_date: null,
  handed_over_at: null,
  estimate: null,
  created_at: '2026-05-01T08:00:00Z',
  changed_at: '2026-05-04T08:00:00Z',
};
const settings = {
  tolerance_from_s_per_d: -4,
  tolerance_to_s_per_d: 6,
  lift_angle_deg: 52,
  currency: 'EUR',
  reading_s: 40,
};
const own = {
  version: 3,
  text:
    '[[kind]]\nid = "beetle-hand-pin"\nname = "beetle hand pin"\n\n# What we do beyond the library.\n[[rule]]\nid = "photo-of-the-click"\nkinds = ["clik-spring"]\ncaution = { at = "taking-out", text = "Photograph how the click spring lies before it is touched." }\n',
  problems: [{ line: 8, words: 'There is no kind “clik-spring”; perhaps “click-spring”.' }],
};
const bottles = [
  { id: 'b1', version: 1, class: 'thin-oil', class_words: 'thin oil', is_old: true, name: 'bottle 3', opened: '2024-04-02', expires: '2026-04-01', used_up: false, note: '' },
  { id: 'b2', version: 1, class: 'heavy-oil', class_words: 'heavy oil', is_old: false, name: 'bottle 7', opened: '2025-11-20', expires: null, used_up: false, note: 'kept dark' },
  { id: 'b3', version: 2, class: 'braking-grease', class_words: 'braking grease', is_old: false, name: 'tin 1', opened: '2023-01-10', expires: null, used_up: true, note: '' },
];
const templates = [
  { id: 't1', name: 'Two-balance school movement', note: 'as in job 4', steps: 15 },
  { id: 't2', name: 'Plain lever, centre seconds', note: '', steps: 22 },
];

export async function answerBench(page: Page, movement: Movement = MOVEMENT): Promise<Answers> {
  const answers: Answers = { movement, kept: [], entries: [], cut: false, refuses: () => null };
  // A stream of events that is open and says nothing.
  await page.addInitScript(() => {
    class Silent extends EventTarget {
      static CLOSED = 2;
      readyState = 1;
      onopen: (() => void) | null = null;
      close() {}
      constructor() {
        super();
        setTimeout(() => this.onopen?.(), 0);
      }
    }
    Object.assign(window, { EventSource: Silent });
  });
  await page.route('**/api/v1/**', (route) => answer(route, answers));
  return answers;
}

async function answer(route: Route, answers: Answers) {
  const request = route.request();
  const path = new URL(request.url()).pathname.replace('/api/v1', '');
  const json = (body: unknown, status = 200) => route.fulfill({ status, json: body });
  if (request.method() !== 'GET') {
    if (answers.cut) return route.abort('connectionfailed');
    return await taken(route, path, answers);
  }
  if (path.startsWith('/media/')) {
    const hue = [...path].reduce((sum, letter) => sum + letter.charCodeAt(0) * 7, 0) % 360;
    return route.fulfill({ contentType: 'image/svg+xml', body: DRAWN(hue) });
  }
  if (path.endsWith('/movement')) return json(movementNow(answers));
  if (path.endsWith('/photos')) {
    const { steps } = answers.movement;
    const ids = [...steps.flatMap((step) => step.photos), ...answers.kept];
    return json({ total: ids.length, photos: ids.map((id) => ({ id, media: id, version: 1, job_id: JOB, caption: '', width: 400, height: 300, taken_at: '2026-05-04T09:00:00Z' })) });
  }
  const held: Record<string, unknown> = {
    '/session': { version: '0.1.0', device: { id: 'd', name: 'bench', role: 'bench' }, local: true, demo: false },
    [`/jobs/${JOB}`]: job,
    [`/jobs/${JOB}/readings`]: { readings: [] },
    [`/jobs/${JOB}/parts`]: { parts: [] },
    [`/jobs/${JOB}/history`]: { entries: [], total: 0 },
    '/watches/w/jobs': { jobs: [], total: 0 },
    '/trade': TRADE,
    '/trade/own': own,
    '/bottles': { bottles },
    '/templates': { templates },
    '/settings': settings,
    '/clocks': { clocks: [] },
    '/currencies': { currencies: [] },
    '/sound-devices': { devices: [] },
    '/devices': { devices: [] },
  };
  if (path in held) return json(held[path]);
  return json({ error: { code: 'not_found', message: `nothing at ${path}` } }, 404);
}

/** As far as it follows plainly from the entries; an order is not planned here. */
function movementNow({ movement, entries }: Answers): Movement {
  const kindOf = (id: string | null) => TRADE.kinds.find((kind) => kind.id === id);
  return overlaid(movement, entries.map((entry) => ({ entry, sent: true })), kindOf);
}

async function taken(route: Route, path: string, answers: Answers) {
  const request = route.request();
  if (request.method() === 'PUT' && path.includes('/photos/')) {
    const id = path.split('/').at(-1) ?? '';
    if (!answers.kept.includes(id)) answers.kept.push(id);
    return route.fulfill({ json: { id, media: id, version: 1 } });
  }
  if (path.endsWith('/log')) {
    const { entries } = request.postDataJSON() as { entries: LogEntry[] };
    const said = { kept: [] as string[], there_already: [] as string[], refused: null as unknown };
    for (const entry of entries) {
      const { id, change } = entry;
      if (answers.kept.includes(id)) {
        said.there_already.push(id);
        continue;
      }
      const words = answers.refuses(change);
      if (words !== null) {
        said.refused = { id, words };
        break;
      }
      answers.kept.push(id);
      answers.entries.push(entry);
      said.kept.push(id);
    }
    return route.fulfill({ json: said });
  }
  return route.fulfill({ json: {} });
}
