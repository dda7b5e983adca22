// Regulating in a real browser, with a watch that is invented and a server that answers for it, so that
// everything stands on the page at once. (With the real program: fill-sheet, fill-key.)

import { expect, test, type Page } from '@playwright/test';
import { looksRightInBoth } from './look.ts';
import { start, type Program } from './program.ts';
import { answerRegulating, JOB, NOTHING_READ } from './regulate-answers.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

async function open(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}/regulate`);
  await page.reload();
  await expect(page.getByRole('heading', { level: 1, name: 'Regulate' })).toBeVisible();
}

test('the whole sheet, in light and dark', async ({ page }) => {
  await answerRegulating(page);
  await open(page, JOB);
  await expect(page.getByRole('img', { name: /Heavy towards 6:30/ })).toBeVisible();
  for (const summary of await page.locator('main summary').all()) await summary.click();
  await page.getByRole('button', { name: 'Done: enter the move' }).first().click();
  await looksRightInBoth(page, 'the sheet', 'any');
});

test('what the server says stands on the sheet, no sharper than it is known', async ({ page }) => {
  await answerRegulating(page);
  await open(page, JOB);
  const sheet = page.getByRole('region', { name: 'Rate sheet of balance A' });
  const six = sheet.getByRole('row', { name: /^6H/ });
  await expect(six.getByRole('link').first()).toContainText('+12.44 ± 0.14');
  await expect(six.getByRole('link').last()).toContainText('before the last change');
  await expect(six.getByRole('link').first()).toHaveAttribute('href', '#/readings/r-0-6H');
  // Two readings are independent: 0.14 and 0.2 make 0.24 (JCGM 100:2008, 5.1.2).
  await expect(sheet.getByRole('row', { name: /^CH/ })).toContainText('changed −6.97 ± 0.24');
  await expect(sheet.getByRole('row', { name: /^spread/ })).toContainText('fastest 6H, slowest 12H');
  await expect(page.getByRole('region', { name: 'Hands apart' })).toContainText('after a week');
  await expect(page.getByText('Authorities do not agree')).toHaveCount(1);
});

test('eight positions stand on sheet and dial; what is missing for a mass leads to the movement', async ({ page }) => {
  await answerRegulating(page);
  await open(page, JOB);
  const sheet = page.getByRole('region', { name: 'Rate sheet of balance A' });
  await expect(sheet.getByRole('row', { name: /^1:30H/ }).getByRole('link')).toContainText('+3.20');
  await expect(page.getByRole('region', { name: 'Rate sheet of balance B' }).getByRole('row', { name: /^1:30H/ })).toHaveCount(0);
  await expect(page.getByRole('img', { name: /Heavy towards/ })).toContainText('10:30H');
  await expect(page.getByRole('link', { name: 'Write it down with the movement' })).toHaveAttribute('href', '#/watches/w/movement');
  await page.getByRole('button', { name: /^Its course/ }).click();
  await expect(page.getByText(/its amplitude went from 287.5/)).toBeVisible();
  await expect(page.getByRole('img', { name: /^Amplitude and rate, dial up/ })).toBeVisible();
});

test('an advice becomes a move, which can be mended before and undone after', async ({ page }) => {
  const held = await answerRegulating(page);
  await open(page, JOB);
  const next = page.getByRole('region', { name: 'Next move' });
  await next.getByRole('button', { name: 'Done: enter the move' }).first().click();
  await expect(next.getByLabel(/How far/)).toHaveValue('0.13');
  await expect(next.getByRole('radio', { name: /towards −/ })).toBeChecked();
  await next.getByLabel(/How far/).fill('0,2');
  held.refuses = 'There is no balance A in this job.';
  await next.getByRole('button', { name: 'Enter the move', exact: true }).click();
  await expect(page.getByText('There is no balance A in this job.')).toBeVisible();
  await expect(next.getByLabel(/How far/), 'what was typed stays').toHaveValue('0,2');
  held.refuses = null;
  await next.getByRole('button', { name: 'Enter the move', exact: true }).click();
  await expect.poll(() => held.entered).toEqual([{ balance: 'A', by: 'index', amount: -0.2, note: '' }]);
  await expect(next.getByLabel(/How far/)).toHaveCount(0);
  const moves = page.getByRole('region', { name: 'Moves so far' });
  await expect(moves.getByRole('listitem')).toHaveCount(3);
  await moves.getByRole('button', { name: /^Undo index 0.4/ }).click();
  await expect(moves.getByRole('button', { name: /^Undo index 0.4/ })).toHaveCount(0);
  await page.getByRole('status').getByRole('button', { name: 'Undo' }).last().click();
  await expect(moves.getByRole('button', { name: /^Undo index 0.4/ })).toBeVisible();
});

test('the sheet as it was before a move, and back', async ({ page }) => {
  const held = await answerRegulating(page);
  await open(page, JOB);
  await page.getByRole('button', { name: /^Sheet before it put together/ }).click();
  await expect(page.getByText('The sheet as it was')).toBeVisible();
  await expect.poll(() => held.asked.at(-1)?.get('until')).toBe('2026-05-04T08:00:00.000Z');
  await expect(page.getByRole('button', { name: 'Done: enter the move' })).toHaveCount(0);
  await page.getByRole('button', { name: 'As it is now' }).click();
  await expect.poll(() => held.asked.at(-1)?.get('until')).toBeNull();
  await page.getByLabel('Near enough').fill('0,5');
  await page.getByLabel('Near enough').blur();
  await expect.poll(() => held.asked.at(-1)?.get('near_s_per_d')).toBe('0.5');
});

test('a job without a reading says what to do', async ({ page }) => {
  await answerRegulating(page, NOTHING_READ);
  await open(page, JOB);
  await expect(page.getByText('Nothing was read yet.')).toBeVisible();
  await page.getByRole('main').getByRole('link', { name: 'Fill the sheet' }).last().click();
  await expect(page.getByRole('heading', { level: 1, name: /Fill the sheet/ })).toBeVisible();
});
