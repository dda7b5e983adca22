// The rate sheet of the invented workshop's job is filled from its simulated watch, which nobody turns: a
// key says that it lies as called. A move then dims it.

import { expect, test, type Page } from '@playwright/test';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('demo');
});
test.afterAll(async () => {
  await program?.stop();
});

/** The job that is being regulated. */
async function realJob(page: Page): Promise<string> {
  const { jobs } = await (await page.request.get(`${program.address}/api/v1/jobs`)).json();
  const job = (jobs as { id: string; stage: string }[]).find(({ stage }) => stage === 'regulate');
  if (!job) throw new Error('the invented workshop has no job that is being regulated');
  return job.id;
}

test('the sheet is filled from a simulated watch, a move dims it, undo brings it back', { tag: '@listens' }, async ({ page }) => {
  const job = await realJob(page);
  await page.goto(`${program.address}/#/jobs/${job}/regulate`);
  await page.getByRole('link', { name: /Fill the sheet/ }).first().click();
  await page.getByRole('radio', { name: /Two balances, simulated/ }).check();
  await page.getByRole('button', { name: /Start to listen/ }).click();
  const fill = page.getByRole('region', { name: 'Fill the sheet' });
  await fill.getByRole('button', { name: 'None' }).click();
  for (const position of ['6H', 'FH']) await fill.getByRole('button', { name: new RegExp(`^${position}`) }).click();
  await fill.getByLabel('Settled at').fill('');
  await fill.getByLabel('At most').fill('20');
  await fill.getByRole('button', { name: /^Start/ }).click();
  // Nobody turns a simulated watch: the key says that it lies as called.
  for (const called of ['6H 6 up', 'FH dial down']) {
    await expect(fill.getByRole('status')).toContainText(called, { timeout: 40_000 });
    await page.locator('main').press('Enter');
  }
  await expect(fill.getByText('The sheet is filled.')).toBeVisible({ timeout: 40_000 });
  await fill.getByRole('link', { name: 'To the sheet' }).last().click();

  for (const label of ['A', 'B']) {
    const sheet = page.getByRole('region', { name: `Rate sheet of balance ${label}` });
    for (const position of ['6H', 'FH']) {
      await expect(sheet.getByRole('row', { name: new RegExp(`^${position}`) }).getByRole('link').first()).toContainText(/[+−]\d.*\ss\/d/);
    }
  }
  const before = page.getByRole('region', { name: 'Rate sheet of balance A' }).getByText('before the last change');
  const dimmed = await before.count();
  await page.locator('main').press('m');
  const next = page.getByRole('region', { name: 'Next move' });
  await next.getByLabel('By what').selectOption('something else');
  await next.getByLabel('What was done').fill('hairspring bent a little');
  await next.getByRole('radio', { name: 'A', exact: true }).check();
  await next.getByRole('button', { name: 'Enter the move', exact: true }).click();
  await expect.poll(() => before.count()).toBeGreaterThan(dimmed);
  await expect(page.getByRole('region', { name: 'Moves so far' })).toContainText('hairspring bent a little');
  await page.getByRole('status').getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => before.count()).toBe(dimmed);

  await page.getByLabel('Of this watch').fill('1,5');
  await page.getByLabel('Of this watch').blur();
  await expect(page.getByRole('region', { name: 'Target' })).toContainText('+1.5');
});
