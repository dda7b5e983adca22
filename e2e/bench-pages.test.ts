// Taking down and putting together in a real browser, with answers that a test can cut off or
// refuse: what is entered reaches the server once and in order, and nothing is covered in silence.

import { expect, test, type Page } from '@playwright/test';
import { answerBench, JOB, MOVEMENT, type Answers } from './bench-answers.ts';
import { looksRightInBoth } from './look.ts';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  // The page alone is wanted of the program; one that is served already may stand in.
  const served = process.env.ENDSHAKE_PAGE;
  program = served ? { address: served, folder: '', stop: async () => undefined } : await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

const NOTHING = {
  ...MOVEMENT,
  steps: [],
  groups: [],
  plan: [],
  twins: [],
  missed: [],
  settled: [],
  progress: { ...MOVEMENT.progress, parts_in: 0, parts_in_tray: 0, screws_in: 0, screws_in_tray: 0 },
};

async function open(page: Page, what: 'take-down' | 'rebuild') {
  await page.goto(`${program.address}/#/jobs/${JOB}/${what}`);
  await page.reload();
  const name = what === 'rebuild' ? 'Rebuild' : 'Take down';
  await expect(page.getByRole('heading', { level: 1, name })).toBeVisible();
}

/** Enters a step as one does with one hand: photo, what it is, done. */
async function takeOut(page: Page, name: string) {
  // The first of the two on a phone opens the camera.
  await page.getByRole('button', { name: /^Took out/ }).last().click();
  const sheet = page.getByRole('region', { name: 'Took out' });
  const photo = { name: `${name}.png`, mimeType: 'image/png', buffer: Buffer.from(name) };
  await sheet.locator('input[type=file]').setInputFiles(photo);
  await expect(sheet.getByRole('button', { name: /Photo 1/ })).toBeVisible();
  await sheet.getByRole('combobox').fill(name);
  await page.getByRole('option', { name: `Own name: ${name}` }).click();
  await sheet.getByRole('button', { name: 'It is out' }).click();
  await expect(sheet).toHaveCount(0);
}

const named = ({ entries }: Answers) =>
  entries.map(({ change }) => (change.kind === 'took_out' ? change.parts[0]?.name : change.kind));
const kinds = ({ entries }: Answers) => entries.map(({ change }) => change.kind);

test('steps that were entered without a line arrive once and in order, through a closed page', async ({
  page,
  context,
}) => {
  const answers = await answerBench(page, NOTHING);
  await open(page, 'take-down');
  answers.cut = true;
  const names = ['bolt one', 'bolt two', 'bolt three'];
  for (const name of names) await takeOut(page, name);
  await expect(page.getByText('3 steps and 3 photos wait for the line.')).toBeVisible();
  await expect(page.getByRole('listitem').filter({ hasText: 'waits for the line' })).toHaveCount(3);

  // The page is lost; another is opened, and beside it a second one of the same browser.
  await page.close();
  const again = await context.newPage();
  const there = await answerBench(again, NOTHING);
  const beside = await context.newPage();
  await answerBench(beside, NOTHING).then((other) => Object.assign(other, { kept: there.kept, entries: there.entries }));
  there.cut = true;
  await open(again, 'take-down');
  await expect(again.getByText('3 steps and 3 photos wait for the line.')).toBeVisible();
  there.cut = false;
  await open(beside, 'take-down');
  await again.getByRole('button', { name: 'Try now' }).or(again.getByRole('heading', { level: 1 })).first().click();
  await expect.poll(() => named(there)).toEqual(names);
  await expect(again.getByText('wait for the line')).toHaveCount(0);
  expect(new Set(there.kept).size).toBe(there.kept.length);
  expect(there.kept).toHaveLength(6);
  for (const { id, change } of there.entries) {
    if (change.kind !== 'took_out') throw new Error(`a ${change.kind} that nobody entered`);
    expect(change.photos).toHaveLength(1);
    const photo = there.kept.indexOf(change.photos[0] ?? '');
    expect(photo, 'its photo went before it').toBeGreaterThanOrEqual(0);
    expect(photo).toBeLessThan(there.kept.indexOf(id));
  }
});

test('a sheet half filled in outlives the page, and does not come up again once it is entered', async ({
  page,
}) => {
  const answers = await answerBench(page, NOTHING);
  await open(page, 'take-down');
  await page.getByRole('button', { name: /^Took out/ }).last().click();
  const sheet = page.getByRole('region', { name: 'Took out' });
  await sheet.getByRole('combobox').fill('bolt');
  await page.getByRole('option', { name: 'Own name: bolt' }).click();
  await sheet.getByLabel('Which way up it sat').fill('marked side up');
  await page.reload();
  await expect(sheet.getByLabel('Which way up it sat')).toHaveValue('marked side up');
  await sheet.getByRole('button', { name: 'It is out' }).click();
  await expect.poll(() => named(answers)).toEqual(['bolt']);
  await expect(sheet).toHaveCount(0);
  await page.reload();
  await expect(page.getByRole('listitem').filter({ hasText: 'bolt' })).toHaveCount(1);
  await expect(sheet).toHaveCount(0);
});

test('what has to be done before a part comes out is asked for, and entered with it', async ({ page }) => {
  const answers = await answerBench(page);
  await open(page, 'take-down');
  await page.getByRole('button', { name: /^Took out/ }).last().click();
  const sheet = page.getByRole('region', { name: 'Took out' });
  await sheet.getByRole('combobox').fill('lever');
  await page.getByRole('option', { name: 'pallet fork' }).click();
  await expect(sheet.getByText('Let the mainspring down')).toBeVisible();
  const out = sheet.getByRole('button', { name: 'It is out' });
  await expect(out).toBeDisabled();
  await sheet.getByRole('button', { name: 'It is done' }).click();
  await sheet.getByRole('button', { name: '2', exact: true }).click();
  await sheet.getByText('left-handed', { exact: true }).click();
  await expect(sheet.getByText('turn clockwise to loosen')).toBeVisible();
  await out.click();
  await expect.poll(() => kinds(answers)).toEqual(['work_done', 'took_out']);
  expect(answers.entries[1]?.change).toMatchObject({ screws: [{ count: 2, thread: 'left' }], groups: [] });
});

test('a step cannot go in before the work that it would cover is settled', async ({ page, isMobile }) => {
  const answers = await answerBench(page);
  await open(page, 'rebuild');
  const card = page.getByRole('region', { name: /train bridge/i });
  await expect(card.getByText('Left-handed screw.')).toBeVisible();
  await expect(card.getByText(/Thin oil on the lower pivot/)).toBeVisible();
  await expect(page.getByRole('button', { name: /^It is in/ })).toHaveCount(0);
  await card.getByRole('button', { name: /^Skip/ }).click();
  await card.getByLabel('Why it is skipped').fill('a dry bearing, by the maker');
  await card.getByRole('button', { name: 'Skip it' }).click();
  const done = page.getByRole('button', { name: /^It is in/ });
  if (isMobile) await done.click();
  else {
    await expect(done).toBeVisible();
    await page.keyboard.press('Enter');
  }
  await expect.poll(() => kinds(answers)).toEqual(['skipped', 'placed']);
});

test('what the server refuses is shown with its sentence, and can be tried again', async ({ page }) => {
  const answers = await answerBench(page);
  answers.refuses = () => 'The wheel under it is not in yet.';
  await open(page, 'rebuild');
  await page.getByRole('button', { name: /^Done: Thin oil/ }).click();
  const note = page.getByRole('region', { name: 'What waits for the line' });
  await expect(note.getByRole('alert')).toContainText('The wheel under it is not in yet.');
  // What was refused does not hold: the work is still asked for.
  await expect(page.getByRole('button', { name: /^Done: Thin oil/ })).toBeVisible();
  answers.refuses = () => null;
  await note.getByRole('button', { name: 'Try again' }).click();
  await expect(note).toHaveCount(0);
  await expect.poll(() => kinds(answers)).toEqual(['work_done']);
});

test('taking down, rebuilding and their settings, in light and dark', async ({ page }) => {
  await answerBench(page);
  const look = (what: string) => looksRightInBoth(page, what, 'any');
  await open(page, 'rebuild');
  await expect(page.getByRole('region', { name: 'Layers' })).toBeVisible();
  await look('rebuild');
  await open(page, 'take-down');
  await page.getByRole('button', { name: /Train bridge/i }).last().click();
  await expect(page.getByRole('button', { name: 'Mend' })).toBeVisible();
  await look('take down');
  await page.getByRole('button', { name: 'Mend' }).click();
  await expect(page.getByRole('region', { name: /^Mend/ })).toBeVisible();
  await look('mending a step');
  await page.goto(`${program.address}/#/settings`);
  await expect(page.getByRole('region', { name: 'Own words and rules' })).toBeVisible();
  await expect(page.getByText('Line 8:')).toBeVisible();
  await look('settings');
});
