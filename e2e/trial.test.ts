// Fifteen days of ISO 3159 in a real browser, with the real program: entered day by day from the
// keyboard, undone, thrown away and brought back.

import { AxeBuilder } from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

/**
 * Invented daily rates, and what follows from them by the formulas of the chronometer observatory's
 * published process (M, D, C) and of reports of the 1976 text (V, Vmax, P, R), worked out outside
 * this project: bib:observatoire-process, bib:iso3159. D is 6H less CH.
 */
const RATES = ['3.0', '2.5', '1.5', '2.5', '−1.0', '1.0', '4.0', '4.2', '5.5', '4.2', '8.5', '5.0', '−3.5', '3.0', '4.0'];
const CRITERIA = {
  M: '+2.740 s/d',
  V: '1.000 s/d',
  Vmax: '2.000 s/d',
  D: '−2.100 s/d',
  P: '3.740 s/d',
  C: '−0.4000 s/d per °C',
  R: '+1.250 s/d',
};

async function newJob(page: Page): Promise<string> {
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: 'Wrist watch, steel, centre seconds' } } },
    headers: { Origin: program.address },
  });
  expect(made.ok(), await made.text()).toBe(true);
  return ((await made.json()) as { id: string }).id;
}

async function begin(page: Page): Promise<string> {
  const job = await newJob(page);
  await page.goto(`${program.address}/#/jobs/${job}/trial`);
  await expect(page.getByText('No trial was begun yet.')).toBeVisible();
  await expect(page.getByText(/not a certificate/)).toBeVisible();
  await page.getByRole('button', { name: 'Begin the trial' }).click();
  await expect(rate(page, 1)).toBeVisible();
  return job;
}

const rate = (page: Page, day: number) => page.getByRole('textbox', { name: new RegExp(`^Rate of day ${day},`) });

const criterion = (page: Page, letter: string) =>
  page
    .getByRole('region', { name: 'Seven criteria' })
    .getByRole('listitem')
    .filter({ has: page.locator('strong').getByText(letter, { exact: true }) });

async function accessible(page: Page) {
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(over).toBeLessThanOrEqual(0);
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((n) => n.html).join(' | ')}`)).toEqual([]);
}

test('fifteen days, a number and Enter each, come to the seven criteria of the reference', async ({ page }) => {
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await begin(page);
  await accessible(page);
  const sum = page.getByRole('region', { name: 'Seven criteria' }).getByRole('status');
  await expect(sum).toHaveText('So far: 7 not yet.');
  await expect(page.getByRole('row').filter({ hasText: 'today' })).toHaveCount(1);
  await rate(page, 1).focus();
  for (const [index, typed] of RATES.entries()) {
    await expect(rate(page, index + 1)).toBeFocused();
    await page.keyboard.type(typed);
    if (index === 9) {
      await page.keyboard.press('Enter');
      // At once, not at the end: D has its days.
      await expect(criterion(page, 'D')).toContainText(CRITERIA.D);
      await expect(criterion(page, 'R')).toContainText('not yet: day 15 is missing');
      continue;
    }
    // Down the column with either key.
    await page.keyboard.press(index % 2 === 0 ? 'Enter' : 'Tab');
  }
  await expect(sum).toHaveText('All seven criteria are met.');
  for (const [letter, found] of Object.entries(CRITERIA)) {
    await expect(criterion(page, letter)).toContainText(found);
    await expect(criterion(page, letter)).toContainText(/met, with .* to spare/);
  }
  await page.getByRole('radio', { name: 'up to 20 mm' }).check();
  await expect(criterion(page, 'M')).toContainText('−5 to 8');

  await page.emulateMedia({ colorScheme: 'dark', reducedMotion: 'reduce' });
  await accessible(page);
  // Nothing of it is the page's alone.
  await page.reload();
  await expect(rate(page, 13)).toHaveValue('−3.5');
  await expect(sum).toHaveText('All seven criteria are met.');
});

test('a day is undone, nonsense is said to be some, a trial comes back from the bin', async ({ page }) => {
  await begin(page);
  for (const [day, typed] of [[1, '0'], [2, '6']] as const) {
    await rate(page, day).fill(typed);
    await rate(page, day).press('Enter');
  }
  // 6 s/d apart are over the 5 that are allowed, whatever comes.
  await expect(criterion(page, 'Vmax')).toContainText('not met already by 1.0 s/d, whatever days 3 to 10 may bring');
  await page.getByRole('button', { name: 'Undo day 2' }).click();
  await expect(rate(page, 2)).toHaveValue('');
  await expect(criterion(page, 'Vmax')).toContainText('not yet');
  await rate(page, 3).fill('fast');
  await rate(page, 3).press('Enter');
  await expect(page.getByRole('alert')).toContainText('Seconds a day, such as 2 or −1.5');
  await rate(page, 3).fill('9999');
  await rate(page, 3).press('Enter');
  await expect(page.getByRole('alert')).toContainText('Rate of day 3: 9999 is outside -1000 to 1000');
  await rate(page, 3).fill('');
  await rate(page, 3).press('Enter');
  await expect(page.getByRole('alert')).toHaveCount(0);

  await page.getByRole('button', { name: 'Delete this trial' }).click();
  await expect(page.getByText('No trial was begun yet.')).toBeVisible();
  await accessible(page);
  await page.getByRole('status').getByRole('button', { name: 'Undo' }).click();
  await expect(rate(page, 1)).toHaveValue('0');
});

test('without the program nothing is lost: it is kept when it answers again', async ({ page, isMobile }) => {
  test.skip(isMobile, 'once is enough');
  await begin(page);
  await page.route('**/api/v1/trials/*', (route) => route.abort());
  await rate(page, 1).fill('2,5');
  await rate(page, 1).press('Enter');
  await expect(page.getByRole('alert')).toBeVisible();
  await page.unroute('**/api/v1/trials/*');
  await expect(page.getByRole('alert')).toHaveCount(0);
  await page.reload();
  await expect(rate(page, 1)).toHaveValue('+2.5');
});
