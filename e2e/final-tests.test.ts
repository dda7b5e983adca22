// Final tests in a real browser, with the real program: begun, judged while they are filled in, decided,
// thrown away and brought back.

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

async function open(page: Page): Promise<string> {
  await page.emulateMedia({ reducedMotion: 'reduce' });
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: "Diver's watch, steel" } } },
    headers: { Origin: program.address },
  });
  expect(made.ok(), await made.text()).toBe(true);
  const { id } = (await made.json()) as { id: string };
  await page.goto(`${program.address}/#/jobs/${id}/tests`);
  await expect(page.getByText('No test was entered yet.')).toBeVisible();
  return id;
}

const begin = (page: Page, kind: string) =>
  page.getByRole('region', { name: 'For this watch' }).getByRole('button', { name: new RegExp(`^Begin\\W+${kind}`) }).click();

const verdict = (page: Page) => page.getByRole('region', { name: 'What it comes to' }).getByRole('status').first();

async function enter(page: Page, label: string, text: string) {
  await page.getByLabel(label, { exact: true }).fill(text);
  await page.keyboard.press('Tab');
}

async function accessible(page: Page) {
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(over).toBeLessThanOrEqual(0);
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((n) => n.html).join(' | ')}`)).toEqual([]);
}

/** bib:iso2281: at most 50 micrograms of air a minute, at 2 bar (the pressure from memory). */
test('a dry test is judged while it is typed, decided, thrown away and brought back', async ({ page }) => {
  await open(page);
  await accessible(page);
  await begin(page, 'water resistance');
  await expect(verdict(page)).toContainText('cannot tell');
  await page.getByLabel('Which way').selectOption({ value: 'air' });
  await expect(page.getByText('Glass and case can burst.')).toBeVisible();
  await enter(page, 'Pressure of the test, bar', '2');
  await enter(page, 'Air leaked, µg/min', '60');
  await expect(verdict(page)).toContainText('fail');
  await enter(page, 'Air leaked, µg/min', '12 ± 1');
  await expect(verdict(page)).toContainText('pass');
  await expect(page.getByText(/check your edition/)).toBeVisible();
  await enter(page, 'Instrument', 'dry tester');
  // What cannot be stays in its field with its reason, and changes nothing.
  await enter(page, 'Time under test, min', '-3');
  await expect(page.getByText(/Time under test: -3 is outside 0 to/)).toBeVisible();
  await enter(page, 'Time under test, min', '2');
  await accessible(page);

  await page.getByRole('group', { name: 'You say' }).getByText('failed', { exact: true }).click();
  await expect(page.getByText('That is not what the numbers say.')).toBeVisible();
  await page.reload();
  await expect(page.getByLabel('Air leaked, µg/min')).toHaveValue('12 ± 1');
  await expect(page.getByLabel('Instrument', { exact: true })).toHaveValue('dry tester');

  await page.getByRole('button', { name: 'Delete this test' }).click();
  await expect(page.getByText('No test was entered yet.')).toBeVisible();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.getByLabel('Air leaked, µg/min')).toHaveValue('12 ± 1');
});

/** bib:iso6425: 200 m under 25 bar. A wet test comes after a dry one. */
test("a diver's watch is told what is still asked, and never to go wet first", async ({ page }) => {
  await open(page);
  await begin(page, 'water resistance');
  await page.getByText('ISO 6425', { exact: true }).click();
  await enter(page, 'Pressure marked on the watch, bar', '20');
  const asked = page.getByRole('region', { name: 'The standard asks for' });
  await expect(asked).toContainText('wet, under pressure: 25 bar, 2 h');
  await page.getByLabel('Which way').selectOption({ value: 'water' });
  await expect(page.getByText('No dry test of this job is entered.')).toBeVisible();
  await expect(page.getByLabel('Pressure of the test, bar')).toHaveAttribute('placeholder', 'usual: 25');
  await enter(page, 'Pressure of the test, bar', '20');
  await page.getByRole('group', { name: 'Fog on the inside of the glass' }).getByText('no', { exact: true }).click();
  await expect(page.getByRole('region', { name: 'What it comes to' })).toContainText('below the 25 bar asked');
  await enter(page, 'Pressure of the test, bar', '25');
  await enter(page, 'Time under test, min', '120');
  await expect(verdict(page)).toContainText('pass');
  await expect(page.getByRole('region', { name: 'For this watch' })).toContainText('ISO 6425 asks for more');
  // The mark and the standard are remembered for the next step.
  await asked.getByRole('button', { name: /^Begin\W+salt water/ }).click();
  await expect(page.getByLabel('Pressure marked on the watch, bar')).toHaveValue('20');
  await expect(page.getByLabel('Which way')).toHaveValue('salt');
});

test('a test of any other kind has a name, and keys decide it', async ({ page, isMobile }) => {
  await open(page);
  await page.getByRole('button', { name: 'Another test' }).click();
  await page.getByLabel('What is tested').fill('alarm rings for twenty seconds');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { name: 'alarm rings for twenty seconds' })).toBeVisible();
  await expect(verdict(page)).toContainText('cannot tell');
  if (isMobile) return;
  await page.getByRole('heading', { level: 1 }).click();
  await page.keyboard.press('p');
  await expect(page.getByRole('region', { name: 'Entered' })).toContainText('passed');
});
