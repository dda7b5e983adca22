// Archives over the page: everything out, and in again at another bench; sent once, looked at before
// anything is written, refused with a sentence, stopped where somebody stops it.

import { expect, test, type Page, type Request } from '@playwright/test';
import { readFile } from 'node:fs/promises';
import { Asked } from './asked.ts';
import { looksRightInBoth } from './look.ts';
import { start, type Program } from './program.ts';

let program: Program;
let other: Program;
let archive: Buffer;
test.beforeAll(async ({ playwright }) => {
  [program, other] = await Promise.all([start('invented'), start('empty')]);
  const ask = await playwright.request.newContext();
  archive = await new Asked(ask, program).bytes('/archive');
  await ask.dispose();
});
test.afterAll(async () => {
  await Promise.all([program?.stop(), other?.stop()]);
});

const card = (page: Page) => page.getByRole('region', { name: 'Archive', exact: true });

async function open(page: Page, of: Program) {
  await page.goto(`${of.address}/#/settings`);
  await expect(card(page)).toBeVisible();
}

const choose = (page: Page, name: string, buffer: Buffer) =>
  card(page).getByLabel('Read an archive in').setInputFiles({ name, mimeType: 'application/zip', buffer });

const jobs = async (page: Page, of: Program) => (await new Asked(page.request, of).get<{ total: number }>('/jobs')).total;

test('everything is written, tells how far it is, and is fetched', async ({ page }) => {
  await open(page, program);
  // A large workshop takes minutes; here, how far it is is slow to be told.
  await page.route(/\/archive\/made\//, async (route) => {
    if (route.request().method() === 'PUT') await new Promise((go) => setTimeout(go, 1_500));
    await route.continue();
  });
  await page.route(/\/archive\/hand\//, (route) =>
    route.request().method() === 'GET' ? route.fulfill({ json: { words: 'writing it', share: 0.25 } }) : route.continue(),
  );
  const saving = page.waitForEvent('download');
  await card(page).getByRole('button', { name: 'Everything out' }).click();
  await expect(card(page).getByRole('progressbar')).toHaveAttribute('value', '0.25');
  await looksRightInBoth(page, 'an archive being written', 'any');
  const saved = await saving;
  expect(saved.suggestedFilename()).toMatch(/^endshake-workshop-\d{4}-\d\d-\d\d\.zip$/);
  const bytes = await readFile(await saved.path());
  // The same content gives the same bytes, but for when it was made.
  expect(bytes.subarray(0, 4).toString('latin1')).toBe('PK\u0003\u0004');
  expect(Math.abs(bytes.length - archive.length)).toBeLessThan(100);
  await expect(card(page).getByRole('link', { name: saved.suggestedFilename() })).toBeVisible();

  await card(page).getByRole('button', { name: 'Everything out' }).click();
  await card(page).getByRole('button', { name: 'Stop' }).click();
  await expect(card(page).getByRole('progressbar')).toHaveCount(0);
  await expect(card(page).getByRole('button', { name: 'Everything out' })).toBeEnabled();
  await expect(card(page).getByRole('link')).toHaveCount(0);
});

test('what comes in is sent once, looked at, stopped, and then added', async ({ page }) => {
  await open(page, other);
  const sent: Request[] = [];
  page.on('request', (request) => {
    if (request.method() === 'PUT') sent.push(request);
  });
  await choose(page, 'half.zip', archive.subarray(0, archive.length / 2));
  await expect(card(page).getByText(/half\.zip: This archive is cut short or damaged/)).toBeVisible();
  await choose(page, 'book.zip', Buffer.from('owner,watch,in'));
  await expect(card(page).getByText('This is no archive: it is not a zip file.')).toBeVisible();
  await card(page).getByRole('button', { name: 'Leave it' }).click();
  await expect(card(page).getByRole('button', { name: 'Leave it' })).toHaveCount(0);
  expect(await jobs(page, other)).toBe(0);

  await choose(page, 'workshop.zip', archive);
  await expect(card(page).getByText(/workshop\.zip would add: \d+ owners, \d+ watches, \d+ jobs/)).toBeVisible();
  await looksRightInBoth(page, 'what an archive would add', 'any');
  expect(await jobs(page, other), 'nothing was added yet').toBe(0);

  // Stopped before it could begin: nothing of it is there, nor in hand any more.
  let go = () => {};
  const held = new Promise<void>((resolve) => (go = resolve));
  await page.route(/\/archive\/sent\/.*\/add/, async (route) => {
    await held;
    await route.continue();
  });
  await card(page).getByRole('button', { name: 'Add it' }).click();
  await expect(card(page).getByText('workshop.zip: adding it…')).toBeVisible();
  await card(page).getByRole('button', { name: 'Stop' }).click();
  await expect(card(page).getByText('workshop.zip: stopping…')).toBeVisible();
  go();
  await expect(card(page).getByText('Stopped. Nothing was added.')).toBeVisible();
  expect(await jobs(page, other)).toBe(0);

  await choose(page, 'workshop.zip', archive);
  await card(page).getByRole('button', { name: 'Add it' }).click();
  await expect(page.getByText(/^Added: \d+ owners/)).toBeVisible();
  expect(await jobs(page, other)).toBe(await jobs(page, program));
  expect(sent.length, 'each file once').toBe(4);

  // Once more, everything is here already.
  await choose(page, 'again.zip', archive);
  await expect(card(page).getByText('again.zip would add: nothing.')).toBeVisible();
  await expect(card(page).getByRole('button', { name: 'Add it' })).toBeDisabled();
});
