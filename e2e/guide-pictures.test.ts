// The pictures of the guide, of the invented workshop on one and the same day: each is what the page
// shows, and says what it said (see guide-picture.ts).

import { expect, test, type Page } from '@playwright/test';
import { picture } from './guide-picture.ts';
import config from './playwright.config.ts';
import { start, type Program } from './program.ts';
import { answerRegulating, JOB } from './regulate-answers.ts';
import { NOW, steadyDays } from './steady-days.ts';

// Letters are drawn alike whatever the system says of hinting.
const { launchOptions } = config.use ?? {};
test.use({
  launchOptions: {
    ...launchOptions,
    args: [...(launchOptions?.args ?? []), '--font-render-hinting=none', '--force-color-profile=srgb'],
  },
  viewport: { width: 1180, height: 760 },
  deviceScaleFactor: 1.5,
  colorScheme: 'light',
  locale: 'en-GB',
  timezoneId: 'UTC',
});

const PHONE = {
  viewport: { width: 390, height: 844 },
  deviceScaleFactor: 1.5,
  isMobile: true,
  hasTouch: true,
  locale: 'en-GB',
  timezoneId: 'UTC',
};

let program: Program;
test.beforeAll(async () => {
  program = await start('demo');
});
test.afterAll(async () => {
  await program?.stop();
});

test.afterEach(async ({ page }) => {
  // What is still on its way when a page is closed is of no use to anybody.
  await page.unrouteAll({ behavior: 'ignoreErrors' });
});

interface Listed {
  id: string;
  stage: string;
  watch_description: string;
}

async function jobOf(page: Page, watch: RegExp): Promise<Listed> {
  const { jobs } = await (await page.request.get(`${program.address}/api/v1/jobs`)).json();
  const found = jobs.find((job: Listed) => watch.test(job.watch_description));
  if (!found) throw new Error(`no job for ${watch}`);
  return found;
}

const IN_FIVE_MINUTES = new Date(NOW.getTime() + 300_000).toISOString();
const TWO_BALANCES = /two balances/;
const HALF_TOGETHER = /small seconds/;

async function open(page: Page, address: string, title: RegExp) {
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await steadyDays(page, program.address);
  await page.goto(`${program.address}/#${address}`);
  await expect(page.getByRole('heading', { level: 1, name: title })).toBeVisible();
}

/** Pictures that the server draws are there, and the page stands still. */
async function settled(page: Page) {
  await expect
    .poll(() =>
      page.locator('main img').evaluateAll((all) =>
        all.every((one) => (one as HTMLImageElement).complete || (one as HTMLImageElement).loading === 'lazy'),
      ),
    )
    .toBe(true);
  await page.evaluate(() => document.fonts.ready);
  await page.waitForLoadState('networkidle').catch(() => undefined);
}

test('a new job', async ({ page }) => {
  await open(page, '/jobs/new', /New job/);
  await page.getByRole('combobox', { name: 'Watch' }).fill('Steel wrist watch, grey dial');
  await page.getByRole('textbox', { name: 'Complaint', exact: true }).fill('Stops at night.');
  await page.getByRole('heading', { level: 1 }).click();
  await picture(page.getByRole('main'), 'new-job');
});

test('a job and its reading', async ({ page }) => {
  const { id } = await jobOf(page, TWO_BALANCES);
  await open(page, `/jobs/${id}`, /two balances/);
  await expect(page.getByRole('region', { name: 'Readings' }).getByRole('checkbox')).toHaveCount(3);
  await settled(page);
  await picture(page.getByRole('main'), 'job', { height: 900 });
  const { readings } = await (await page.request.get(`${program.address}/api/v1/jobs/${id}/readings`)).json();
  await page.goto(`${program.address}/#/readings/${readings[0].id}`);
  await expect(page.getByRole('region', { name: 'Numbers' })).toBeVisible();
  await settled(page);
  await picture(page.getByRole('region', { name: 'Numbers' }), 'wary');
  await picture(page.getByRole('main'), 'reading', { height: 1080 });
});

test('the trains of a movement', async ({ page }) => {
  const { watches } = await (await page.request.get(`${program.address}/api/v1/watches`)).json();
  const { id } = watches.find((watch: { movement: string }) => watch.movement !== '');
  await open(page, `/watches/${id}/movement`, /Movement/);
  const trains = page.getByRole('region', { name: 'Trains' });
  await expect(trains.getByRole('img')).toBeVisible();
  await settled(page);
  await picture(trains, 'movement');
});

test('a part that comes out, and what came out, on a phone', async ({ browser }) => {
  const context = await browser.newContext({ ...PHONE });
  const page = await context.newPage();
  const { id } = await jobOf(page, HALF_TOGETHER);
  await open(page, `/jobs/${id}/take-down`, /Take down/);
  await settled(page);
  await picture(page.getByRole('region', { name: /What came out/ }), 'taken-down', { height: 700 });
  await page.getByRole('button', { name: 'Took out, without a photo' }).click();
  const sheet = page.getByRole('region', { name: 'Took out' });
  await sheet.getByRole('combobox').fill('third wh');
  await page.getByRole('option', { name: /third wheel/ }).first().click();
  await sheet.getByText('train side', { exact: true }).click();
  await sheet.getByRole('button', { name: '2', exact: true }).click();
  await settled(page);
  await picture(sheet, 'took-out', { height: 800 });
  await page.unrouteAll({ behavior: 'ignoreErrors' });
  await context.close();
});

test('a rebuild: the next step, the layers, twins', async ({ page }) => {
  const half = await jobOf(page, HALF_TOGETHER);
  await open(page, `/jobs/${half.id}/rebuild`, /Rebuild/);
  await settled(page);
  await picture(page.locator('.columns > .stack').first(), 'rebuild', { height: 900 });
  await picture(page.getByRole('region', { name: 'Layers' }), 'layers', { height: 640 });
  const twin = await jobOf(page, TWO_BALANCES);
  await page.goto(`${program.address}/#/jobs/${twin.id}/rebuild`);
  const twins = page.getByRole('region', { name: /^Twins/ }).first();
  await expect(twins).toBeVisible();
  await picture(twins, 'twins');
});

test('a rate sheet', async ({ page }) => {
  // The invented workshop has no watch that was read in all positions: what the server says of one is
  // what the tests of this page have it say.
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await page.clock.setFixedTime(new Date('2026-05-05T12:00:00Z'));
  await answerRegulating(page);
  await page.goto(`${program.address}/#/jobs/${JOB}/regulate`);
  const sheet = page.getByRole('region', { name: 'Rate sheet of A', exact: true });
  await expect(sheet).toBeVisible();
  await settled(page);
  await picture(sheet, 'rate-sheet', { height: 820 });
  await picture(sheet.locator('.poise'), 'heavy-spot');
  await picture(page.getByRole('region', { name: 'Next move' }), 'next-move');
});

test('fifteen days', async ({ page }) => {
  const { jobs } = await (await page.request.get(`${program.address}/api/v1/jobs`)).json();
  const tried = jobs.find((job: Listed) => job.stage === 'final_tests');
  await open(page, `/jobs/${tried.id}/trial`, /Fifteen days/);
  await settled(page);
  await picture(page.getByRole('main'), 'trial', { height: 860 });
});

test('settings: the clocks of sound devices, and a phone that joins', async ({ page }) => {
  await open(page, '/settings', /Settings/);
  const sound = page.getByRole('region', { name: 'Sound devices and their clocks' });
  await sound.getByRole('button', { name: "Find this device's clock" }).first().waitFor();
  await picture(sound, 'clock', { live: true });
  const phones = page.getByRole('region', { name: 'Phones and tablets' });
  // How many addresses this machine has, and which, is nobody's concern; nor is the code.
  await page.route('**/api/v1/join-codes', async (route) => {
    const response = await route.fetch();
    const code = await response.json();
    await route.fulfill({ response, json: { ...code, urls: code.urls.slice(0, 1), expires_at: IN_FIVE_MINUTES } });
  });
  await page.addStyleTag({ content: '.code img { filter: blur(5px); }' });
  await phones.getByRole('button', { name: 'Join a phone' }).click();
  await expect(phones.getByRole('img')).toBeVisible();
  await picture(phones, 'join', { live: true });
});

test('the list of keys', async ({ page }) => {
  const { id } = await jobOf(page, TWO_BALANCES);
  await open(page, `/jobs/${id}`, /two balances/);
  await page.keyboard.press('?');
  await picture(page.getByRole('dialog', { name: 'Keys' }), 'keys');
});

/** Listens to one of the simulated watches until its lines can be told apart, and takes the picture. */
async function listenTo(page: Page, source: RegExp, balances: string[], name: string) {
  await page.clock.resume();
  await page.getByRole('radio', { name: source }).check();
  await page.getByRole('textbox', { name: 'Balances' }).fill(String(balances.length));
  await page.getByRole('button', { name: /Start to listen/ }).click();
  for (const label of balances) {
    const balance = page.getByRole('region', { name: `Balance ${label}` });
    await expect(balance).toContainText('28,800 beats/h', { timeout: 60_000 });
  }
  await page.waitForTimeout(25_000);
  await picture(page.locator('.columns'), name, { live: true, height: 860 });
  await page.getByRole('button', { name: 'Stop listening' }).click();
}

test('a watch that has just come in is heard', { tag: '@listens' }, async ({ page }) => {
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: 'Steel wrist watch, grey dial' } } },
    headers: { origin: program.address },
  });
  const { id } = await made.json();
  await open(page, `/jobs/${id}/listen`, /Listen/);
  await listenTo(page, /One balance, simulated/, ['A'], 'listen');
});

test('two balances are heard', { tag: '@listens' }, async ({ page }) => {
  const { id } = await jobOf(page, TWO_BALANCES);
  await open(page, `/jobs/${id}/listen`, /Listen/);
  await listenTo(page, /Two balances, simulated/, ['A', 'B'], 'two-balances');
});
