// The whole road of one watch through the workshop: it comes in, is heard, taken down, put together,
// regulated, tested and handed over with its report; and is put away in an archive, from which another
// bench has all of it again.

import { expect, test, type Locator, type Page } from '@playwright/test';
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import path from 'node:path';
import type { FinalTestList } from '../web/src/wire/FinalTestList.ts';
import type { Job } from '../web/src/wire/Job.ts';
import type { LogChange } from '../web/src/wire/LogChange.ts';
import type { PhotoList } from '../web/src/wire/PhotoList.ts';
import type { PlanAction } from '../web/src/wire/PlanAction.ts';
import type { Position } from '../web/src/wire/Position.ts';
import type { ReadingList } from '../web/src/wire/ReadingList.ts';
import type { Regulating } from '../web/src/wire/Regulating.ts';
import { Asked } from './asked.ts';
import { near } from './near.ts';
import { pagesOf, wordsOf } from './pdf.ts';
import { start, type Program } from './program.ts';
import { readSent, type Goes, type Truth } from './sent-sound.ts';

test.use({ actionTimeout: 15_000 });

const OWNER = 'Solveig Amaral';
const COMPLAINT = 'Its two hands do not agree after a week.';
const WATCH = 'Wrist watch with two balances, blue dial';

/** How each of its balances goes in a position: rate s/d and amplitude. */
type Sheet = Partial<Record<Position, Record<'A' | 'B', [rate_s_per_d: number, amplitude_deg: number]>>>;

const AS_IT_CAME: Sheet = {
  CH: { A: [14, 236], B: [-11, 222] },
  '6H': { A: [17.5, 214], B: [-14, 201] },
};
const PUT_TOGETHER: Sheet = {
  CH: { A: [9, 296], B: [-8, 284] },
  FH: { A: [8, 293], B: [-9, 281] },
  '6H': { A: [10.5, 272], B: [-9.5, 262] },
};
/** What a move of the index does to a balance, s/d. */
const MOVES = { A: -5, B: 6 };
const REGULATED: Sheet = Object.fromEntries(
  Object.entries(PUT_TOGETHER).map(([position, { A, B }]) => [
    position,
    { A: [A[0] + MOVES.A, A[1]], B: [B[0] + MOVES.B, B[1]] },
  ]),
);
const BEAT_ERROR_MS = { A: 0.3, B: 0.6 };

let program: Program;
let other: Program;
test.beforeAll(async () => {
  [program, other] = await Promise.all([start('invented'), start('empty')]);
});
test.afterAll(async () => {
  await Promise.all([program?.stop(), other?.stop()]);
});

const card = (page: Page, name: string) => page.getByRole('region', { name, exact: true });

async function comesIn(page: Page): Promise<string> {
  await page.goto(`${program.address}/#/jobs/new`);
  await page.getByRole('combobox', { name: 'Watch' }).fill(WATCH);
  await page.getByRole('option', { name: /New watch/ }).click();
  await page.getByRole('combobox', { name: 'Owner' }).fill(OWNER);
  await page.getByRole('option', { name: /New owner/ }).click();
  await page.getByRole('textbox', { name: 'Complaint', exact: true }).fill(COMPLAINT);
  await page.getByRole('button', { name: 'Open the job' }).click();
  const title = page.getByRole('heading', { level: 1 });
  await expect(title).toContainText(WATCH);
  const job = page.url().split('/').at(-1) ?? '';

  const crystal = page.getByRole('radiogroup', { name: 'crystal' });
  await crystal.getByRole('radio', { name: 'worn' }).check();
  const note = page.getByRole('textbox', { name: 'Note on crystal' });
  await note.fill('scratched at four');
  await note.blur();

  await title.getByRole('link').click();
  for (const [label, text] of [['Balances', '2'], ['Lift angle, °', '52'], ['Beats per hour', '28800']] as const) {
    await page.getByLabel(label).fill(text);
    await page.getByLabel(label).blur();
  }
  const { watch } = await asked.get<Job>(`/jobs/${job}`);
  await expect.poll(() => asked.get(`/watches/${watch.id}`)).toMatchObject({ balances: 2, lift_angles_deg: [52, 52] });
  await expect.poll(async () => (await asked.get<Job>(`/jobs/${job}`)).checklist.find(({ note }) => note)).toMatchObject({
    state: 'worn',
    note: 'scratched at four',
  });
  return job;
}

/** Heard in each position of a sheet; one seed, one sound. */
async function isHeard(page: Page, job_id: string, sheet: Sheet, note: string, seed: number) {
  for (const [position, { A, B }] of Object.entries(sheet)) {
    const goes = ([rate_s_per_d, amplitude_deg]: [number, number], beat_error_ms: number): Goes => ({
      rate_s_per_d,
      amplitude_deg,
      beat_error_ms,
    });
    const truth: Truth = { A: goes(A, BEAT_ERROR_MS.A), B: goes(B, BEAT_ERROR_MS.B) };
    const wish = { job_id, position: position as Position, wind: 'full wind', note };
    const { balances } = await readSent(page, asked, wish, truth, seed++);
    expect(balances.map(({ label }) => label)).toEqual(['A', 'B']);
  }
}

/** The stage as it stands over the job, one press each. */
async function goesOnTo(page: Page, job: string, stage: string) {
  await page.goto(`${program.address}/#/jobs/${job}`);
  const steps = page.getByRole('list', { name: 'Stage of the work' });
  await steps.getByRole('button', { name: stage, exact: true }).click();
  await expect(steps.locator('[aria-current=step]')).toHaveText(stage);
}

/** A photo of the movement as it came, of those of the invented workshop. */
async function photoIsTaken(page: Page, job: string) {
  const { photos } = await asked.get<PhotoList>(`/jobs/${await asked.jobOf(/grey dial/)}/photos`);
  await page.locator('#add-photo').setInputFiles({
    name: 'movement.jpg',
    mimeType: 'image/jpeg',
    buffer: await asked.bytes(`/media/${photos[0]?.media}`),
  });
  const photo = page.getByRole('button', { name: /Photo without a caption/ });
  await photo.click();
  const large = page.getByRole('dialog');
  await large.getByLabel('Caption').fill('Train side, as it came in');
  await large.getByLabel('Caption').blur();
  await expect(large.getByText('✓ kept')).toBeVisible();
  await large.getByRole('button', { name: 'Close' }).click();
  expect((await asked.get<PhotoList>(`/jobs/${job}/photos`)).photos).toHaveLength(1);
}

/** The first steps by hand, each as the template offers it; the rest as it was kept. */
async function isTakenDown(page: Page, job: string) {
  const name = 'Two barrels, two trains, two balances';
  await asked.template(name, await asked.jobOf(/grey dial/));
  await page.goto(`${program.address}/#/jobs/${job}/take-down`);
  await page.getByText('Templates', { exact: true }).click();
  const offered = page.waitForResponse(/\/drafts$/);
  await page.getByRole('button', { name, exact: true }).click();
  const { changes } = (await (await offered).json()) as { changes: LogChange[] };
  const offer = card(page, `Next by “${name}”`);
  for (let n = 1; n <= 3; n++) {
    await offer.getByRole('button', { name: 'Took this out too…' }).click();
    const sheet = card(page, 'Took out');
    const demand = sheet.getByRole('button', { name: 'It is done' });
    while ((await demand.count()) > 0) await demand.first().click();
    await sheet.getByRole('button', { name: 'It is out' }).click();
    await expect.poll(async () => (await asked.movement(job)).steps.length).toBe(n);
  }
  const out = (await asked.movement(job)).steps.map(({ id }) => id);
  const rest = changes.filter((change) => change.kind !== 'took_out' || !out.includes(change.step));
  expect((await asked.log(job, rest)).refused).toBeNull();
}

/** What is entered where all goes as it is planned. */
function done(action: PlanAction): LogChange {
  if (action.action === 'turn') return { kind: 'turned', up: action.up as 'dial' | 'train' };
  if (action.action === 'place') return { kind: 'placed', step: action.step };
  const { kind, work } = action.work;
  if (kind === 'check') return { kind: 'check_made', work, outcome: 'good', value: null, note: '' };
  return { kind: 'work_done', work, bottle: null, note: '' };
}

/** So many entries of a log are taken at once. */
const MOST_AT_ONCE = 200;

/** The first presses in the page; the rest as the plan says. (whole-rebuild presses all.) */
async function isPutTogether(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}/rebuild`);
  const figures = page.locator('.tray .figures');
  for (let n = 0; n < 3; n++) {
    const was = await figures.innerText();
    await page.locator('button.act.big').click();
    await expect(figures).not.toHaveText(was, { useInnerText: true });
    // The page takes no press so soon after another.
    await page.waitForTimeout(700);
  }
  const { plan } = await asked.movement(job);
  for (let from = 0; from < plan.length; from += MOST_AT_ONCE) {
    const { refused } = await asked.log(job, plan.slice(from, from + MOST_AT_ONCE).map(done));
    expect(refused).toBeNull();
  }
  await expect(page.getByRole('heading', { name: 'Everything is in', exact: true })).toBeVisible();
  const { progress, missed } = await asked.movement(job);
  expect(progress).toMatchObject({ complete: true, parts_in_tray: 0, screws_in_tray: 0, skipped_work: 0 });
  expect(missed).toEqual([]);
}

/** The sheets of both balances against what was put in; `moved` is how far the rates went since. */
async function sheetsAreTrue(page: Page, job: string, sheet: Sheet, moved: Partial<typeof MOVES>) {
  const { balances } = await asked.get<Regulating>(`/jobs/${job}/regulate`);
  expect(balances.map(({ label }) => label)).toEqual(['A', 'B']);
  for (const { label, cells } of balances as (Regulating['balances'][number] & { label: 'A' | 'B' })[]) {
    for (const [position, goes] of Object.entries(sheet)) {
      const cell = cells.find((cell) => cell.position === position && !cell.is_of_before);
      const what = `${label} in ${position}`;
      expect(cell?.rate_s_per_d && cell.amplitude_deg && cell.beat_error_ms, what).toBeTruthy();
      const { rate_s_per_d, amplitude_deg, beat_error_ms, before_s_per_d } = cell!;
      near(rate_s_per_d!, goes[label][0], 0.5, `rate of ${what}`);
      near(amplitude_deg!, goes[label][1], 5, `amplitude of ${what}`);
      near(beat_error_ms!, BEAT_ERROR_MS[label], 0.1, `beat error of ${what}`);
      const by = moved[label];
      if (by === undefined) continue;
      near(before_s_per_d!, goes[label][0] - by, 0.5, `rate of ${what} before it was moved`);
    }
    // And they stand on the page.
    const rows = card(page, `Rate sheet of balance ${label}`).getByRole('row');
    for (const position of Object.keys(sheet)) {
      await expect(rows.filter({ hasText: new RegExp(`^${position}`) })).toContainText('s/d');
    }
  }
}

async function isRegulated(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}/regulate`);
  await sheetsAreTrue(page, job, PUT_TOGETHER, {});
  const next = card(page, 'Next move');
  for (const [n, [label, by]] of Object.entries(MOVES).entries()) {
    await next.getByRole('button', { name: 'Another move…' }).click();
    const choose = (group: string, name: string) =>
      next.getByRole('group', { name: group }).getByText(name, { exact: true }).click();
    await choose('Balance', label);
    await next.getByLabel(/How far/).fill('0.5');
    await choose('Which way', by > 0 ? 'towards +, faster' : 'towards −, slower');
    await next.getByRole('button', { name: 'Enter the move', exact: true }).click();
    await expect(card(page, 'Moves so far').getByRole('button', { name: /^Undo index 0.5/ })).toHaveCount(n + 1);
  }
  await isHeard(page, job, REGULATED, 'after regulating', 30);
  await page.reload();
  await sheetsAreTrue(page, job, REGULATED, MOVES);
}

const verdict = (page: Page) => card(page, 'What it comes to').getByRole('status').first();

async function begins(page: Page, test: string) {
  await card(page, 'For this watch').getByRole('button', { name: new RegExp(`^(Begin|Again)\\W+${test}`) }).click();
  await expect(verdict(page)).toContainText('cannot tell');
}

async function enter(page: Page, label: string, text: string) {
  await page.getByLabel(label, { exact: true }).fill(text);
  await page.keyboard.press('Tab');
}

async function isTested(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}/tests`);
  // Each balance by its sheet.
  for (const label of ['A', 'B']) {
    await begins(page, 'rate');
    await card(page, 'From readings of this job').getByRole('button', { name: new RegExp(`^Take from ${label}:`) }).click();
    await expect(verdict(page)).toContainText('pass');
  }
  // A gasket was dry.
  for (const [leaked, comes] of [['60', 'fail'], ['12 ± 1', 'pass']] as const) {
    await begins(page, 'water resistance');
    await page.getByLabel('Which way').selectOption({ value: 'air' });
    await enter(page, 'Pressure of the test, bar', '2');
    await enter(page, 'Time under test, min', '2');
    await enter(page, 'Air leaked, µg/min', leaked);
    await expect(verdict(page)).toContainText(comes);
  }
  await enter(page, 'Instrument', 'dry tester');
  const { tests } = await asked.get<FinalTestList>(`/jobs/${job}/tests`);
  expect(tests.map(({ sheet }) => sheet.verdict)).toEqual(['pass', 'pass', 'fail', 'pass']);
  await expect.poll(async () => (await asked.get<FinalTestList>(`/jobs/${job}/tests`)).tests.at(-1)?.instrument).not.toBe('');
}

async function isHandedOver(page: Page, job: string) {
  await goesOnTo(page, job, 'Hand over');
  await page.goto(`${program.address}/#/jobs/${job}/papers`);
  const toWatch = page.getByLabel('What to watch for');
  await toWatch.fill('It may gain a little while it is new.');
  await toWatch.blur();
  await page.getByLabel('Next service').fill('2031-06');
  await page.getByLabel('Next service').blur();
  const report = card(page, 'Service report');
  await expect(report.getByText('Nothing is said of the next service.')).toHaveCount(0);
  await report.getByRole('button', { name: /^Make the service report/ }).click();
  await expect(report.getByText(/^Made:/)).toBeVisible({ timeout: 60_000 });
  const link = (await report.getByRole('link', { name: 'Open to print' }).getAttribute('href')) ?? '';
  const pdf = await asked.bytes(link.replace('/api/v1', ''));
  saysAll(wordsOf(pdf));
  looksAsItDid(pdf);

  await page.goto(`${program.address}/#/jobs/${job}`);
  await page.getByRole('button', { name: 'It is back with its owner' }).click();
  await expect(page.getByText(/back with its owner since/)).toBeVisible();
}

/** What the report says, word for word where it was entered, within the tolerance where it was heard. */
function saysAll(words: string) {
  for (const said of [
    OWNER,
    WATCH,
    COMPLAINT,
    'crystal worn scratched at four',
    'Train side, as it came in',
    'Regulated, in 2 moves.',
    'leak 12.0 ± 1.0 µg/min, at most 50',
    'dry tester',
    'It may gain a little while it is new.',
    'Please bring it in again in June 2031.',
    'For the colleague who opens it next',
  ]) {
    expect(words).toContain(said);
  }
  const NUMBER = '([+−]\\d+\\.\\d+) ± (\\d+\\.\\d+) s/d';
  const numbers = (found: string[]) => ({ value: Number(found[0]?.replace('−', '-')), sd: Number(found[1]) });
  for (const label of ['A', 'B'] as const) {
    const table = words.split(`Balance ${label}: rates before and after`)[1] ?? '';
    for (const [position, { [label]: [rate] }] of Object.entries(REGULATED)) {
      const came = AS_IT_CAME[position as Position]?.[label][0];
      const row = new RegExp(`\\(${position}\\) full wind (?:${NUMBER}|–) ${NUMBER}`).exec(table);
      expect(row, `${label} in ${position}: ${table.slice(0, 400)}`).not.toBeNull();
      near(numbers(row!.slice(3)), rate, 0.5, `rate of ${label} in ${position} in the report`);
      if (came !== undefined) near(numbers(row!.slice(1)), came, 0.5, `rate of ${label} in ${position} as it came`);
    }
    // Tested by the mean of its sheet.
    const mean = meanOf(label);
    const tested = new RegExp(`Rate over positions, balance ${label} .*? passed mean rate ${NUMBER}`).exec(words);
    near(numbers(tested?.slice(1) ?? []), mean, 0.5, `mean rate of ${label} in its test`);
  }
}

function meanOf(label: 'A' | 'B'): number {
  const rates = Object.values(REGULATED).map((goes) => goes[label][0]);
  return rates.reduce((sum, rate) => sum + rate, 0) / rates.length;
}

/**
 * Pages are compared as one sees them from across the room: what stands where. So small, a letter is
 * three dots. What may differ is the day, which is that of the test and stands in captions and feet,
 * the last figure of a number, and how another Poppler smooths what it draws; fonts may not, since the
 * paper brings its own. A day of another length changed at most 79 of a page's 155,000 dots, a drawing
 * that is gone 1,900 to 5,000, photos that are gone 22,000 (measured). The words are compared above.
 */
const FROM_AFAR_DPI = 40;
const TOLERANCE = { threshold: 0.2, maxDiffPixelRatio: 0.005 };
/** The owner's, and the colleague's from the third on. */
const PAGES = 7;

function looksAsItDid(pdf: Buffer) {
  const pages = pagesOf(pdf, FROM_AFAR_DPI);
  expect.soft(pages.length).toBe(PAGES);
  for (const [n, page] of pages.entries()) {
    expect.soft(page).toMatchSnapshot(['e2e', 'report', `page-${n + 1}.png`], TOLERANCE);
  }
}

/** All that a program tells of what it holds, by address. */
async function toldBy(of: Asked, job: string): Promise<{ answers: Record<string, unknown>; media: Record<string, Buffer> }> {
  const answers: Record<string, unknown> = {};
  const ask = async <T>(path: string): Promise<T> => {
    const answer = await of.get<T>(path);
    answers[path] = answer;
    return answer;
  };
  const media: Record<string, Buffer> = {};
  for (const list of ['owners', 'watches', 'templates', 'bottles', 'clocks', 'settings', 'bin']) await ask(`/${list}`);
  const { jobs } = await ask<{ jobs: { id: string }[] }>('/jobs');
  for (const { id } of jobs) {
    const at = `/jobs/${id}`;
    for (const part of ['', '/adjustments', '/tests', '/trials', '/parts', '/log', '/history']) await ask(`${at}${part}`);
    // What is worked out from all that: for the others it is as long in coming and says no more.
    if (id === job) for (const part of ['/movement', '/regulate']) await ask(`${at}${part}`);
    const { photos } = await ask<PhotoList>(`${at}/photos`);
    const { readings } = await ask<ReadingList>(`${at}/readings`);
    for (const { media: hash } of photos) media[hash] = await of.bytes(`/media/${hash}`);
    for (const { id } of readings) media[`sound of ${id}`] = await of.bytes(`/readings/${id}/sound`);
  }
  return { answers, media };
}

async function isSaved(page: Page, link: Locator, name: string): Promise<string> {
  const saving = page.waitForEvent('download');
  await link.click();
  const file = path.join(test.info().outputDir, name);
  await (await saving).saveAs(file);
  return file;
}

/** Read in at an empty bench, through its page. */
async function isReadIn(page: Page, file: string) {
  await page.goto(`${other.address}/#/settings`);
  const archive = card(page, 'Archive');
  await archive.getByLabel('Read an archive in').setInputFiles(file);
  await expect(archive.getByText(/would add: .*10 jobs/)).toBeVisible();
  await archive.getByRole('button', { name: 'Add it' }).click();
  // Sounds and photos of ten jobs are written: on a busy machine that takes long.
  await expect(page.getByText(/^Added: /)).toBeVisible({ timeout: 90_000 });
}

async function isElsewhereToo(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}`);
  const one = await isSaved(page, page.getByRole('link', { name: /^Archive/ }), 'job.zip');
  await page.goto(`${program.address}/#/settings`);
  const all = await isSaved(page, card(page, 'Archive').getByRole('button', { name: 'Everything out' }), 'all.zip');

  await isReadIn(page, all);
  const there = new Asked(page.request, other);
  const [here, elsewhere] = [await toldBy(asked, job), await toldBy(there, job)];
  expect(elsewhere.answers).toEqual(here.answers);
  expect(Object.keys(here.media).length).toBeGreaterThan(8);
  for (const [name, bytes] of Object.entries(here.media)) {
    expect(elsewhere.media[name]?.equals(bytes), name).toBe(true);
  }
  // What was put away of the job alone is there now, and nothing else.
  const archive = card(page, 'Archive');
  await archive.getByLabel('Read an archive in').setInputFiles(one);
  await expect(archive.getByText(/would add: nothing/)).toBeVisible();
  await expect(archive.getByText(/Here already: 1 owner, 1 watch, 1 job, 1 photo, 8 readings/)).toBeVisible();
  await archive.getByRole('button', { name: 'Leave it' }).click();

  // Put away again from there it is the same, but for when (docs/design/archive-format.md).
  const again = await isSaved(page, archive.getByRole('button', { name: 'Everything out' }), 'again.zip');
  expect(withoutWhen(again)).toEqual(withoutWhen(all));
}

/** Every file of a zip by its sum, as Info-ZIP's unzip reads it; of the manifest all but when it was made. */
function withoutWhen(zip: string): Record<string, string> {
  const unzip = (...what: string[]) => execFileSync('unzip', what, { maxBuffer: 1 << 28 });
  const names = unzip('-Z1', zip).toString().trim().split('\n');
  const sum = (bytes: Buffer | string) => createHash('sha256').update(bytes).digest('hex');
  const files = names.map((name) => {
    const bytes = unzip('-p', zip, name);
    if (name !== 'manifest.json') return [name, sum(bytes)];
    const { made, ...all } = JSON.parse(bytes.toString());
    expect(made).toMatch(/^\d{4}-\d\d-\d\dT/);
    return [name, JSON.stringify(all)];
  });
  return Object.fromEntries(files);
}

let asked: Asked;
test('a watch with two balances goes the whole road', async ({ page }) => {
  asked = new Asked(page.request, program);
  const job = await test.step('it comes in', () => comesIn(page));
  await test.step('it is looked at and heard as it came', async () => {
    // As it was found against a reference (clock chapters of the guide): what was laid down has none.
    await asked.post('/clocks', { device: 'pickup (bench)', error_ppm: 0, sd_ppm: 0.5, found_by: 'laid down' });
    await page.goto(`${program.address}/#/jobs/${job}`);
    await photoIsTaken(page, job);
    await isHeard(page, job, AS_IT_CAME, 'as it came', 10);
  });
  await test.step('it is taken down', async () => {
    await goesOnTo(page, job, 'Take down');
    await isTakenDown(page, job);
  });
  await test.step('it is put together', async () => {
    await goesOnTo(page, job, 'Rebuild');
    await isPutTogether(page, job);
  });
  await test.step('both balances are regulated', async () => {
    await goesOnTo(page, job, 'Regulate');
    await isHeard(page, job, PUT_TOGETHER, 'put together', 20);
    await isRegulated(page, job);
  });
  await test.step('it is tested', async () => {
    await goesOnTo(page, job, 'Final tests');
    await isTested(page, job);
  });
  await test.step('it is handed over with its report', () => isHandedOver(page, job));
  await test.step('another bench has all of it from an archive', () => isElsewhereToo(page, job));
});
