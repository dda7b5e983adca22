// The rate sheet is filled hands-free from a simulated watch with a truth of its own in each of six
// positions and a heavy spot on one of its two balances: what then stands on the sheet is that truth.

import { chromium, expect, test, type Locator, type Page } from '@playwright/test';
import config from './playwright.config.ts';
import { near } from './near.ts';
import { start, type Program } from './program.ts';
import { HEAVY_TOWARDS_DEG, makeTurned, POSITIONS, TURNED_WAV, type Position, type Truth } from './turned-sound.ts';
import { WATCH_WAV } from './watch-sound.ts';

const FLAT: Position[] = ['CH', 'FH'];
const UPRIGHT: Position[] = ['12H', '3H', '6H', '9H'];

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

async function newJob(page: Page): Promise<string> {
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: 'Twin-balance school piece', balances: 2 } } },
    headers: { origin: program.address },
  });
  expect(made.ok(), await made.text()).toBe(true);
  return (await made.json()).id;
}

/** A number with its uncertainty and unit as the page writes them: “+4.2 ± 0.3 s/d”. */
function told(text: string, unit: string): { value: number; sd: number } {
  const plain = text.replace(/\s+/g, ' ').replaceAll('−', '-');
  const found = new RegExp(`([+-]?\\d+(?:\\.\\d+)?) ?± ?(\\d+(?:\\.\\d+)?) ?${unit}`).exec(plain);
  if (!found) throw new Error(`no number with ± and ${unit} in “${plain}”`);
  return { value: Number(found[1]), sd: Number(found[2]) };
}

const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

async function isTrue(sheet: Locator, truth: Truth, balance: number) {
  const rates = (positions: readonly Position[]) => positions.map((position) => truth[position][balance]!.rate_s_per_d);
  const swings = (positions: readonly Position[]) => positions.map((position) => truth[position][balance]!.amplitude_deg);
  const row = (name: string) => sheet.getByRole('row', { name: new RegExp(`^${name}`) });
  for (const position of POSITIONS) {
    const text = await row(position).getByRole('link').innerText();
    near(told(text, 's/d'), truth[position][balance]!.rate_s_per_d, 0.5, `rate in ${position}`);
    near(told(text, '°'), truth[position][balance]!.amplitude_deg, 5, `amplitude in ${position}`);
  }
  const statistic = async (name: string, unit = 's/d') => told(await row(`${name} [+−\\d]`).innerText(), unit);
  near(await statistic('mean rate'), mean(rates(POSITIONS)), 0.5, 'mean');
  // Between the two that are farthest apart: the errors of both come in.
  const spread = Math.max(...rates(POSITIONS)) - Math.min(...rates(POSITIONS));
  near(await statistic('spread'), spread, 1, 'spread');
  near(await statistic('upright less flat'), mean(rates(UPRIGHT)) - mean(rates(FLAT)), 0.5, 'upright less flat');
  const [up, down] = rates(FLAT) as [number, number];
  near(await statistic('dial up less dial down'), up - down, 1, 'dial up less dial down');
  const drop = mean(swings(FLAT)) - mean(swings(UPRIGHT));
  near(await statistic('amplitude, flat less upright', '°'), drop, 5, 'amplitude, flat less upright');
}

/** How far two directions are apart, degrees. */
const apart = (one: number, other: number) => Math.abs(((one - other + 540) % 360) - 180);

test('hands free: six positions of a watch that is turned, its sheet and its heavy spot', { tag: '@listens' }, async () => {
  test.setTimeout(300_000);
  const truth = await makeTurned();
  const { launchOptions } = config.use ?? {};
  const args = (launchOptions?.args ?? []).map((arg) => arg.replace(WATCH_WAV, TURNED_WAV));
  const browser = await chromium.launch({ ...launchOptions, args });
  try {
    const page = await (await browser.newContext({ permissions: ['microphone'] })).newPage();
    const job = await newJob(page);
    await page.goto(`${program.address}/#/jobs/${job}/fill`);
    await page.getByRole('radio', { name: /This browser's microphone/ }).check();
    await page.getByRole('button', { name: /Start to listen/ }).click();
    const fill = page.getByRole('region', { name: 'Fill the sheet' });
    await fill.getByRole('button', { name: 'None' }).click();
    for (const position of POSITIONS) await fill.getByRole('button', { name: new RegExp(`^${position}`) }).click();
    await fill.getByLabel('Settled at').fill('');
    await fill.getByLabel('At most').fill('8');
    await fill.getByRole('button', { name: /^Start/ }).click();
    // No key is pressed from here on. Lying as it lay, it is not read.
    await expect(fill.getByRole('status')).toContainText('CH dial up');
    await expect(fill.getByText('Lay it so.')).toBeVisible();
    for (const position of POSITIONS) {
      await expect(fill.getByRole('status')).toContainText(`Reading ${position}`, { timeout: 40_000 });
    }
    await expect(fill.getByText('The sheet is filled.')).toBeVisible({ timeout: 40_000 });

    await fill.getByRole('link', { name: 'To the sheet' }).last().click();
    const sheetOf = (label: string) => page.getByRole('region', { name: `Rate sheet of balance ${label}` });
    await isTrue(sheetOf('A'), truth, 0);
    await isTrue(sheetOf('B'), truth, 1);

    // The heavy spot as the dial shows it: right of the middle is 3, below it is 6.
    const dial = page.getByRole('img', { name: /Positions around the dial\. Heavy towards (6:30|7:00) / });
    const spot = dial.locator('circle.spot');
    const [x, y] = [Number(await spot.getAttribute('cx')), Number(await spot.getAttribute('cy'))];
    const direction_deg = (Math.atan2(x, -y) * 180) / Math.PI;
    expect(apart(direction_deg, HEAVY_TOWARDS_DEG), `heavy towards ${direction_deg}°`).toBeLessThanOrEqual(10);
    // The brother is in poise, and is left alone.
    await expect(page.getByRole('img', { name: /Positions around the dial\. Cannot be told/ })).toHaveCount(1);
  } finally {
    await browser.close();
  }
});
