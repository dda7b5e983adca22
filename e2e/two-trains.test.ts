// From tooth counts to hands apart: the two trains of a watch are entered as they were counted, its two
// balances are heard, and the page tells which hand hangs on which balance and how far the hands come
// apart.

import { expect, test, type Page } from '@playwright/test';
import { addArbor, addBalance, addHand, drives, handOf } from './movement-form.ts';
import { start, type Program } from './program.ts';
import { TRUTH } from './watch-sound.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

async function newJob(page: Page): Promise<{ id: string; watch: string }> {
  const made = await page.request.post(`${program.address}/api/v1/jobs`, {
    data: { watch: { new: { description: 'Two balances, counted', balances: 2 } } },
    headers: { origin: program.address },
  });
  expect(made.ok(), await made.text()).toBe(true);
  const job = (await made.json()) as { id: string; watch: { id: string } };
  return { id: job.id, watch: job.watch.id };
}

test('from tooth counts to hands apart', { tag: '@listens' }, async ({ page }) => {
  const job = await newJob(page);
  await page.goto(`${program.address}/#/watches/${job.watch}/movement`);
  await expect(page.getByRole('heading', { level: 1, name: 'Movement' })).toBeVisible();

  // An hour of the centre wheel on A's train: 80/10 turns of the third, times 75/10 of the fourth,
  // times 96/6 of the escape wheel are 8 x 7.5 x 16 = 960, of 15 teeth and two beats each: 28,800.
  await addArbor(page, 'centre', { wheel: 80 });
  await addArbor(page, 'third', { pinion: 10, wheel: 75 });
  await addArbor(page, 'fourth', { pinion: 10, wheel: 96 });
  await addArbor(page, 'escape', { pinion: 6, wheel: 15 });
  await drives(page, 'centre wheel', 'third pinion');
  await drives(page, 'third wheel', 'fourth pinion');
  await drives(page, 'fourth wheel', 'escape pinion');
  // A minute of the fourth wheel on B's: 80/5 turns of the escape wheel, of 15 teeth and two beats each,
  // are 480 beats: 28,800 an hour.
  await addArbor(page, 'left fourth', { wheel: 80 });
  await addArbor(page, 'left escape', { pinion: 5, wheel: 15 });
  await drives(page, 'left fourth wheel', 'left escape pinion');
  await addBalance(page, 'A', 'escape wheel', '28,800');
  await addBalance(page, 'B', 'left escape wheel', '28,800');
  await addHand(page, 'minutes', 'centre', 'minutes');
  await addHand(page, 'seconds', 'left fourth', 'seconds');
  await expect(handOf(page, 'minutes')).toContainText(/hangs on\s*balance\s*A/);
  await expect(handOf(page, 'seconds')).toContainText(/hangs on\s*balance\s*B/);
  // By those counts neither hand gains or loses: 60 minutes and 60 seconds to a turn.
  for (const hand of ['minutes', 'seconds']) await expect(handOf(page, hand)).toContainText('right');
  const kept = async () => (await (await page.request.get(`${program.address}/api/v1/watches/${job.watch}`)).json()).movement;
  await expect.poll(kept).toContain('on = "left fourth"');

  // Both balances are heard and a reading of them is kept.
  await page.goto(`${program.address}/#/jobs/${job.id}/listen`);
  await page.getByRole('radio', { name: /This browser's microphone/ }).check();
  await page.getByRole('button', { name: /Start to listen/ }).click();
  await expect(page.getByRole('region', { name: 'Balance B' })).toContainText('28,800 beats/h', { timeout: 30_000 });
  await page.getByRole('radio', { name: /CH/ }).check();
  await page.getByLabel('Seconds').fill('12');
  await page.getByRole('button', { name: /Take a reading/ }).click();
  const readings = page.getByRole('region', { name: 'Kept with this job' }).getByRole('listitem');
  await expect(readings).toHaveCount(1, { timeout: 40_000 });

  await page.goto(`${program.address}/#/jobs/${job.id}/regulate`);
  const card = page.getByRole('region', { name: 'Hands apart' });
  await expect(card).toContainText('On A: minutes.');
  await expect(card).toContainText('On B: seconds.');
  // A gains 4.2 s/d, B loses 8.1: with trains that are right by count the hands part by
  // 4.2 + 8.1 = 12.3 s a day, 86.1 s in a week. Each reading is within 0.5 s/d of its truth, so the
  // difference is within 1 s/d, or 7 s in a week.
  expect(TRUTH.A.rate_s_per_d - TRUTH.B.rate_s_per_d).toBeCloseTo(12.3, 9);
  const week = card.locator('dl > div').filter({ hasText: 'after a week' });
  await expect(week).toContainText('A is ahead');
  const seconds = /([\d.]+)\s*± ?[\d.]+\s*s/.exec(await week.innerText())?.[1];
  expect(Math.abs(Number(seconds) - 86.1), `${seconds} s after a week`).toBeLessThanOrEqual(7);
});
