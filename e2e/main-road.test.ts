// The main road: a watch comes in, is heard live through the browser's microphone, two readings are
// kept in two positions, and compared.

import { expect, test, type Page } from '@playwright/test';
import { near } from './near.ts';
import { start, type Program } from './program.ts';
import { TRUTH } from './watch-sound.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

/** Brings the watch in and leaves the page at its job. */
async function takeIn(page: Page) {
  await page.goto(`${program.address}/`);
  await page.getByRole('link', { name: /Take in the first watch|New job/ }).first().click();
  const watch = page.getByRole('combobox', { name: 'Watch' });
  await watch.fill('Twin-balance school piece');
  await page.getByRole('option', { name: /New watch/ }).click();
  const owner = page.getByRole('combobox', { name: 'Owner' });
  await owner.fill('Marta Lindqvist');
  await page.getByRole('option', { name: /New owner/ }).click();
  await page.getByRole('textbox', { name: 'Complaint', exact: true }).fill('Stops at night.');
  await page.getByRole('button', { name: 'Open the job' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Twin-balance school piece');
}

/** Takes a reading and waits until so many are kept. */
async function takeReading(page: Page, position: RegExp, count: number) {
  await page.getByRole('radio', { name: position }).check();
  await page.getByLabel('Seconds').fill('12');
  await page.getByRole('button', { name: /Take a reading/ }).click();
  await expect(page.getByRole('progressbar')).toBeVisible();
  const kept = page.getByRole('region', { name: 'Kept with this job' }).getByRole('listitem');
  await expect(kept).toHaveCount(count, { timeout: 40_000 });
  await expect(page.getByRole('progressbar')).toHaveCount(0);
}

interface Numbers {
  label: string;
  rate_s_per_d: { value: number; sd: number } | null;
  amplitude_deg: { value: number; sd: number } | null;
}

test('a watch comes in, is heard, read in two positions and compared', { tag: '@listens' }, async ({ page }) => {
  await takeIn(page);
  await page.getByRole('link', { name: 'Listen', exact: true }).last().click();
  await page.getByRole('radio', { name: /This browser's microphone/ }).check();
  await page.getByLabel('Balances').fill('2');
  await page.getByRole('button', { name: /Start to listen/ }).click();

  const a = page.getByRole('region', { name: 'Balance A' });
  const b = page.getByRole('region', { name: 'Balance B' });
  await expect(a).toContainText('28,800 beats/h', { timeout: 30_000 });
  await expect(b).toContainText('28,800 beats/h', { timeout: 30_000 });
  await expect(page.getByRole('img', { name: /Drift over/ })).toBeVisible();

  await takeReading(page, /CH/, 1);
  await takeReading(page, /FH/, 2);

  // Escape throws nothing away: it asks, and the reading goes on until somebody has chosen. It is a
  // long one: a reading that is done while the choice is made closes the question, as it should.
  await page.getByLabel('Seconds').fill('600');
  await page.getByRole('button', { name: /Take a reading/ }).click();
  await expect(page.getByRole('progressbar')).toBeVisible();
  await page.keyboard.press('Escape');
  const asking = page.getByRole('dialog', { name: 'End this reading?' });
  await asking.getByRole('button', { name: 'Go on reading' }).click();
  await expect(page.getByRole('progressbar')).toBeVisible();
  await page.keyboard.press('Escape');
  await asking.getByRole('button', { name: 'Throw it away' }).click();
  await expect(page.getByRole('progressbar')).toHaveCount(0);
  await page.getByRole('button', { name: 'Stop listening' }).click();

  await page.getByRole('link', { name: 'The job' }).click();
  const readings = page.getByRole('region', { name: 'Readings' });
  await expect(readings.getByRole('checkbox')).toHaveCount(2);
  for (const box of await readings.getByRole('checkbox').all()) await box.check();
  await readings.getByRole('link', { name: 'Compare the two' }).click();
  await expect(page.getByRole('heading', { name: 'Before and after' })).toBeVisible();
  await expect(page.getByRole('columnheader', { name: /CH dial up/ })).toBeVisible();
  await expect(page.getByRole('columnheader', { name: /FH dial down/ })).toBeVisible();
  for (const picture of await page.locator('main img').all()) {
    await picture.scrollIntoViewIfNeeded();
    await expect
      .poll(() => picture.evaluate((img: HTMLImageElement) => img.complete && img.naturalWidth))
      .toBeGreaterThan(0);
  }

  // Rates within 0.5 s/d of truth in 12 s of sound; amplitude within 5 degrees.
  const { jobs } = await (await page.request.get(`${program.address}/api/v1/jobs`)).json();
  const kept = await page.request.get(`${program.address}/api/v1/jobs/${jobs[0].id}/readings`);
  for (const reading of (await kept.json()).readings) {
    expect(reading.lost_samples).toBe(0);
    for (const balance of reading.balances as Numbers[]) {
      const truth = TRUTH[balance.label as 'A' | 'B'];
      const { label, rate_s_per_d, amplitude_deg } = balance;
      expect(rate_s_per_d && amplitude_deg, `${label} has rate and amplitude`).toBeTruthy();
      near(rate_s_per_d!, truth.rate_s_per_d, 0.5, `rate of ${label}`);
      near(amplitude_deg!, truth.amplitude_deg, 5, `amplitude of ${label}`);
    }
  }
});

test('two pages on one job see what the other types', async ({ page, context }) => {
  await takeIn(page);
  const other = await context.newPage();
  await other.goto(page.url());
  await page.getByRole('textbox', { name: 'Notes', exact: true }).fill('Left fork stones look dry.');
  await page.getByRole('textbox', { name: 'Notes', exact: true }).blur();
  await expect(page.getByText('✓ kept')).toBeVisible();
  await expect(other.getByRole('textbox', { name: 'Notes', exact: true })).toHaveValue('Left fork stones look dry.', {
    timeout: 2000,
  });
});

test('what is typed while the program is away is kept once it is back', async ({ page, context }) => {
  await takeIn(page);
  const address = page.url();
  await context.setOffline(true);
  await page.getByRole('textbox', { name: 'Notes', exact: true }).fill('Typed without a line.');
  await page.getByRole('textbox', { name: 'Notes', exact: true }).blur();
  await expect(page.getByText('not kept yet, trying again')).toBeVisible();
  // The page is lost as well; what was typed must outlive it.
  await page.goto('about:blank');
  await context.setOffline(false);
  await page.goto(address);
  await expect(page.getByRole('textbox', { name: 'Notes', exact: true })).toHaveValue('Typed without a line.');
  const id = address.split('/').at(-1);
  const held = async () => (await (await page.request.get(`${program.address}/api/v1/jobs/${id}`)).json()).notes;
  await expect.poll(held).toBe('Typed without a line.');
});

test('two who write into one field keep both until one of them chooses', async ({ page, browser }) => {
  await takeIn(page);
  const address = page.url();
  const notes = (of: Page) => of.getByRole('textbox', { name: 'Notes', exact: true });
  // Somebody else's browser, without a line while the first one writes.
  const elsewhere = await browser.newContext();
  const other = await elsewhere.newPage();
  await other.goto(address);
  await expect(notes(other)).toBeVisible();
  await elsewhere.setOffline(true);
  await notes(other).fill('Barrel arbor is worn.');
  await notes(page).fill('Barrel arbor is fine.');
  await notes(page).blur();
  await expect(page.getByText('✓ kept')).toBeVisible();
  await elsewhere.setOffline(false);
  await notes(other).blur();
  const id = address.split('/').at(-1);
  const held = async () => (await (await page.request.get(`${program.address}/api/v1/jobs/${id}`)).json()).notes;
  await expect(other.getByText('changed by somebody else as well')).toBeVisible({ timeout: 30_000 });
  await expect(notes(other)).toHaveValue('Barrel arbor is worn.');
  await expect(other.getByText('Barrel arbor is fine.')).toBeVisible();
  expect(await held(), 'nothing is written over').toBe('Barrel arbor is fine.');
  await other.getByRole('button', { name: 'Keep yours' }).click();
  await expect.poll(held).toBe('Barrel arbor is worn.');
  await expect(notes(page)).toHaveValue('Barrel arbor is worn.');
  // What was overruled stands in the history.
  const { entries } = await (await page.request.get(`${program.address}/api/v1/jobs/${id}/history`)).json();
  expect(JSON.stringify(entries)).toContain('Barrel arbor is fine.');
  await elsewhere.close();
});

test('a job that is deleted is back at one press', async ({ page }) => {
  await takeIn(page);
  const title = await page.getByRole('heading', { level: 1 }).textContent();
  await page.getByRole('button', { name: /in the bin/ }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(title ?? '');
});

test('a photo goes into the job and is shown large', async ({ page }) => {
  await takeIn(page);
  await page.locator('#add-photo').setInputFiles({
    name: 'dial.png',
    mimeType: 'image/png',
    buffer: await page.screenshot(),
  });
  const photos = page.getByRole('region', { name: 'Photos' });
  await photos.getByRole('button', { name: /Photo without a caption/ }).click();
  const large = page.getByRole('dialog');
  await large.getByLabel('Caption').fill('<b>Dial</b> as it came in');
  await large.getByLabel('Caption').blur();
  await expect(large.getByText('✓ kept')).toBeVisible();
  await large.getByRole('button', { name: 'Close' }).click();
  await expect(photos.getByText('<b>Dial</b> as it came in')).toBeVisible();
});
