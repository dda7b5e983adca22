// Wheels that disturb: the invented workshop's watch with two trains, in whose right escape wheel something
// was left; and what the page says while a sound is heard again, and where none was kept.

import { AxeBuilder } from '@axe-core/playwright';
import { expect, test } from '@playwright/test';
import { start, type Program } from './program.ts';

let program: Program;
let reading: string;
let job: string;
test.beforeAll(async ({ playwright }) => {
  program = await start('invented');
  const ask = await playwright.request.newContext({ baseURL: `${program.address}/api/v1/` });
  const { jobs } = await (await ask.get('jobs')).json();
  for (const { id } of jobs) {
    const { readings } = await (await ask.get(`jobs/${id}/readings`)).json();
    const found = readings.find(({ note }: { note: string }) => note === 'after the rebuild');
    if (found) [reading, job] = [found.id, id];
  }
  await ask.dispose();
});
test.afterAll(async () => {
  await program?.stop();
});

test('the wheel that disturbs is named, with the chance that chance made it', async ({ page }) => {
  await page.goto(`${program.address}/#/readings/${reading}`);
  const card = page.getByRole('region', { name: 'Wheels that disturb' });
  // An escape wheel of 20 teeth: 40 beats of an eighth of a second.
  const right = card.getByRole('group', { name: 'balance B' });
  await expect(right).toContainText('turn of the right escape arbor');
  await expect(right).toContainText('Chance alone makes such a peak in');
  await expect(card.getByRole('group', { name: 'balance A' })).toContainText('Nothing stands out');
  await card.getByText('How strongly each period repeats').click();
  const picture = card.getByRole('img', { name: 'in the timing of balance B' });
  await expect(picture).toBeVisible();
  await expect
    .poll(() => picture.evaluate((img: HTMLImageElement) => img.naturalWidth))
    .toBeGreaterThan(0);
  const { violations } = await new AxeBuilder({ page }).analyze();
  const serious = violations.filter((v) => v.impact === 'serious' || v.impact === 'critical');
  expect(serious.map((v) => v.id)).toEqual([]);

  // Also where the job is regulated, from where the movement is one step away.
  await page.goto(`${program.address}/#/jobs/${job}/regulate`);
  const hints = page.getByRole('region', { name: 'What the readings hint at, balance B' });
  await expect(hints).toContainText('a turn of the right escape arbor');
  await page.getByRole('link', { name: 'Movement' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Movement' })).toBeVisible();
});

test('what takes long says how far it is, and what cannot be says why', async ({ page }) => {
  let answer: () => void = () => undefined;
  const held = new Promise<void>((resolve) => (answer = resolve));
  await page.route('**/wheels', async (route) => {
    await held;
    await route.fulfill({
      status: 404,
      json: {
        error: {
          code: 'not_found',
          message: 'No sound was kept with this reading, so it cannot be heard again.',
        },
      },
    });
  });
  await page.route('**/hearing', (route) => route.fulfill({ json: { share: 0.4 } }));
  await page.goto(`${program.address}/#/readings/${reading}`);
  const card = page.getByRole('region', { name: 'Wheels that disturb' });
  await expect(card.getByRole('status')).toContainText('40 % of it');
  await expect(card.getByRole('progressbar')).toBeVisible();
  answer();
  await expect(card.getByRole('alert')).toContainText('No sound was kept with this reading');
});
