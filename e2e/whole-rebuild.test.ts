// Whole movements of the invented workshop are put together in the page to the end, by pressing what
// is offered, and what must not be passed by silently is refused.

import { expect, test, type Page } from '@playwright/test';
import { Asked } from './asked.ts';
import { start, type Program } from './program.ts';

// Hundreds of presses, each with what the server makes of it.
test.setTimeout(600_000);

let program: Program;
test.beforeAll(async () => {
  program = await start('invented');
});
test.afterAll(async () => {
  await program?.stop();
});

const asking = (page: Page) => new Asked(page.request, program);

/** Presses what is offered until nothing is left to do; gives back what was pressed. */
async function toTheEnd(page: Page, job: string): Promise<string[]> {
  await page.clock.install();
  await page.goto(`${program.address}/#/jobs/${job}/rebuild`);
  const offered = page.locator('button.act.big');
  const about = page.locator('.deed .about');
  const end = page.getByRole('heading', { name: 'Everything is in', exact: true });
  // What lies in the tray, what is to do and which side is up: every press changes one of them.
  const figures = page.locator('.tray .figures');
  const pressed: string[] = [];
  let lost = 0;
  for (;;) {
    expect(pressed.length, 'it comes to an end').toBeLessThan(600);
    await expect(offered.or(end)).toBeVisible();
    if (await end.isVisible()) break;
    await expect(offered).toBeEnabled();
    const was = await figures.innerText();
    pressed.push((await about.allInnerTexts()).join() || (await offered.innerText()));
    await offered.click();
    try {
      await expect(figures).not.toHaveText(was, { useInnerText: true, timeout: 5_000 });
    } catch {
      // A press is none where the page moves between finger down and finger up: one presses again. Once in
      // a thousand presses, at the speed of a machine.
      lost += 1;
      expect(lost, 'presses without effect').toBeLessThanOrEqual(2);
      await offered.click();
      await expect(figures).not.toHaveText(was, { useInnerText: true });
    }
    // The page takes no press so soon after another.
    await page.clock.fastForward(700);
  }
  const { movement } = asking(page);
  let now = await movement(job);
  await expect.poll(async () => (now = await movement(job)).progress.complete).toBe(true);
  await expect(end).toBeVisible();
  expect(now.progress).toMatchObject({ parts_in_tray: 0, screws_in_tray: 0, skipped_work: 0 });
  expect(now.missed).toEqual([]);
  return pressed;
}

const WATCHES: [string, RegExp][] = [
  ['a hand-wound watch', /small seconds/],
  ['an automatic with date', /Automatic/],
  ['a movement with two barrels, trains and balances', /two balances/],
];

for (const [what, watch] of WATCHES) {
  test(`${what} is put together to the end`, async ({ page }) => {
    const pressed = await toTheEnd(page, await asking(page).takenDown(watch));
    expect(pressed.length).toBeGreaterThan(50);
  });
}

test('in a movement with two of everything nothing is passed by silently', async ({ page }) => {
  const asked = asking(page);
  const job = await asked.takenDown(/two balances/);

  // What must not be passed by: four cap jewels, the reverser's treatment, the jewel of the
  // self-winding work that the next wheel covers.
  const wanted: [string, RegExp, RegExp, number][] = [
    ['cap jewels', /^Oil .*(middle|flat|cap|jewel)/i, /cap jewel/, 4],
    ['reverser', /reverser/i, /reverser/, 2],
    ['reduction wheel', /^Oil/, /reduction wheel/, 1],
  ];
  const { plan } = await asked.movement(job);
  const open = plan.flatMap((action) => (action.action === 'do' ? [action.work] : []));
  for (const [what, words, on, many] of wanted) {
    const found = open.filter((each) => words.test(each.words) && on.test(each.on));
    expect(found.length, `${what}: ${open.map((each) => `${each.words} ${each.on}`).join('\n')}`).toBeGreaterThanOrEqual(many);
  }

  // Everything is placed in the order of the plan and no work is done: each place that has open work
  // is refused and names it, until it is skipped with a reason.
  const refused: string[] = [];
  for (let round = 0; round < 1000; round++) {
    const { plan, progress, steps } = await asked.movement(job);
    if (progress.parts_in_tray === 0) break;
    const next = plan.find((action) => action.action === 'place');
    if (!next) break;
    const answer = await asked.log(job, [{ kind: 'placed', step: next.step }]);
    if (answer.refused === null) continue;
    refused.push(answer.refused.words);
    const cover = steps.find(({ id }) => id === next.step)?.placing?.would_cover ?? [];
    expect(cover.length, answer.refused.words).toBeGreaterThan(0);
    const skips = cover.map(({ work }) => ({ kind: 'skipped' as const, work, reason: 'a test' }));
    expect((await asked.log(job, skips)).refused).toBeNull();
  }
  for (const [what, , on, many] of wanted) {
    const named = refused.join(' ').match(new RegExp(on.source, 'g')) ?? [];
    expect(named.length, what).toBeGreaterThanOrEqual(many);
  }
  expect((await asked.movement(job)).missed).toEqual([]);
});
