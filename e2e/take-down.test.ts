// A small movement is taken down with a phone's camera and put together again: what was taken out
// last goes in first, and what is in the tray is counted until it is empty.

import { expect, test, type Page } from '@playwright/test';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

async function newJob(page: Page): Promise<string> {
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: 'Plain school piece' } } },
    headers: { origin: program.address },
  });
  expect(made.ok(), await made.text()).toBe(true);
  return (await made.json()).id;
}

/** Notes that offer to undo lie over buttons until they go or are closed. */
const closeNotes = (page: Page) =>
  page
    .getByRole('button', { name: 'Close this note' })
    .evaluateAll((all) => all.forEach((one) => (one as HTMLElement).click()));

async function takeOut(page: Page, name: string, picture: Buffer | null = null) {
  await closeNotes(page);
  await page.getByRole('button', { name: /^Took out/ }).last().click();
  const sheet = page.getByRole('region', { name: 'Took out' });
  if (picture) {
    const photo = { name: `${name}.png`, mimeType: 'image/png', buffer: picture };
    await sheet.locator('input[type=file]').setInputFiles(photo);
    await expect(sheet.getByRole('button', { name: /Photo 1/ })).toBeVisible();
  }
  await sheet.getByRole('combobox').fill(name);
  await page.getByRole('option', { name, exact: true }).or(page.getByRole('option', { name: `Own name: ${name}` })).first().click();
  await sheet.getByText('train side', { exact: true }).click();
  await sheet.getByRole('button', { name: '1', exact: true }).click();
  const demand = sheet.getByRole('button', { name: 'It is done' });
  while ((await demand.count()) > 0) await demand.first().click();
  await sheet.getByRole('button', { name: 'It is out' }).click();
  await expect(sheet).toHaveCount(0);
}

interface Step {
  name: string;
  photos: string[];
  placed_at: string | null;
}

test('what came out goes in again, in the order that works', async ({ page }) => {
  const job = await newJob(page);
  const movement = async () =>
    (await page.request.get(`${program.address}/api/v1/jobs/${job}/movement`)).json();
  await page.goto(`${program.address}/#/jobs/${job}/take-down`);
  await expect(page.getByText('Nothing came out yet.')).toBeVisible();
  const picture = await page.screenshot();
  await takeOut(page, 'bolt of the lid', picture);
  await takeOut(page, 'lid');
  await takeOut(page, 'wheel under the lid');
  const names = async () => (await movement()).steps.map((step: Step) => step.name);
  await expect.poll(names).toEqual(['bolt of the lid', 'lid', 'wheel under the lid']);
  expect((await movement()).steps[0].photos).toHaveLength(1);
  expect((await movement()).progress).toMatchObject({ parts_in_tray: 3, screws_in_tray: 3 });

  // A slip is put right, and another taken back.
  await page.getByRole('button', { name: /^2 lid/i }).click();
  await page.getByRole('button', { name: 'Mend' }).click();
  await page.getByLabel('Which way up it sat').fill('marked side up');
  await page.getByRole('button', { name: 'Keep it so' }).click();
  await expect.poll(async () => (await movement()).steps[1].way_up).toBe('marked side up');

  await page.goto(`${program.address}/#/jobs/${job}/rebuild`);
  await expect(page.getByText('marked side up')).toHaveCount(0);
  for (const name of ['wheel under the lid', 'lid', 'bolt of the lid']) {
    const card = page.getByRole('region', { name, exact: true });
    await expect(card.getByRole('heading', { level: 2 })).toContainText(name, { ignoreCase: true });
    if (name === 'lid') await expect(card).toContainText('marked side up');
    await closeNotes(page);
    await page.getByRole('button', { name: /^It is in/ }).click();
    const isIn = async () => (await movement()).steps.find((step: Step) => step.name === name).placed_at;
    await expect.poll(isIn).not.toBeNull();
    // The page takes no press so soon after another: it was meant for what stood there before.
    await page.waitForTimeout(650);
  }
  await expect(page.getByRole('heading', { name: 'Everything is in' })).toBeVisible();
  expect((await movement()).progress).toMatchObject({ parts_in: 3, screws_in: 3, complete: true });
});

/** A small generator with a seed, so that a failure can be had again (Park and Miller, 1988). */
function chance(seed: number): () => number {
  let state = seed;
  return () => (state = (state * 48271) % 2147483647) / 2147483647;
}

test('thirty steps with photos over a line that is cut at random arrive once and in order', async ({
  page,
  context,
  isMobile,
}) => {
  test.skip(!isMobile, 'a phone loses its line');
  const job = await newJob(page);
  const next = chance(30);
  // An answer that is lost on its way: the server has what the phone must send again.
  const lost = { photos: 0, entries: 0 };
  await context.route(/\/api\/v1\/jobs\/[^/]+\/(log|photos\/[^/]+)$/, async (route) => {
    if (route.request().method() === 'GET' || next() > 0.3) return route.continue();
    lost[route.request().method() === 'PUT' ? 'photos' : 'entries']++;
    await route.fetch().catch(() => undefined);
    await route.abort('connectionreset').catch(() => undefined);
  });
  await page.goto(`${program.address}/#/jobs/${job}/take-down`);
  await expect(page.getByText('Nothing came out yet.')).toBeVisible();
  const picture = await page.screenshot({ clip: { x: 0, y: 0, width: 120, height: 90 } });
  const names = Array.from({ length: 30 }, (_, n) => `piece ${n + 1}`);
  let cuts = 0;
  for (const name of names) {
    const cut = next() < 0.6;
    if (cut) cuts++;
    await context.setOffline(cut);
    await takeOut(page, name, picture);
  }
  await context.setOffline(false);

  const movement = async () =>
    (await page.request.get(`${program.address}/api/v1/jobs/${job}/movement`)).json();
  const arrived = async () => (await movement()).steps.map((step: Step) => step.name);
  await expect.poll(arrived, { timeout: 60_000 }).toEqual(names);
  const { steps, progress } = await movement();
  expect(steps.map((step: Step) => step.photos.length)).toEqual(names.map(() => 1));
  expect(progress).toMatchObject({ parts_in_tray: 30, screws_in_tray: 30 });
  const { total } = await (await page.request.get(`${program.address}/api/v1/jobs/${job}/photos`)).json();
  expect(total, 'each photo once').toBe(30);
  // Otherwise nothing was tried.
  expect(cuts).toBeGreaterThan(10);
  expect(lost.photos).toBeGreaterThan(3);
  expect(lost.entries).toBeGreaterThan(3);
});
