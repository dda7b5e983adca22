// Whole movements of the invented workshop are put together in the page to the end, by pressing what
// is offered, and what must not be passed by silently is refused.

import { expect, test, type Page } from '@playwright/test';
import { randomUUID } from 'node:crypto';
import { start, type Program } from './program.ts';

// Hundreds of presses, each with what the server makes of it.
test.setTimeout(600_000);

let program: Program;
test.beforeAll(async () => {
  program = await start('demo');
});
test.afterAll(async () => {
  await program?.stop();
});

interface Work {
  words: string;
  on: string;
  status: string;
}
interface Movement {
  steps: { id: string; name: string; placing: { would_cover: Work[]; missing: string[] } | null }[];
  plan: { action: string; step?: string; work?: Work }[];
  progress: { complete: boolean; parts_in_tray: number; screws_in_tray: number; skipped_work: number };
  missed: Work[];
}

async function jobOf(page: Page, watch: RegExp): Promise<string> {
  const { jobs } = await (await page.request.get(`${program.address}/api/v1/jobs`)).json();
  const found = jobs.find((job: { watch_description: string }) => watch.test(job.watch_description));
  if (!found) throw new Error(`no job for ${watch}`);
  return found.id;
}

const movementOf = async (page: Page, job: string): Promise<Movement> =>
  (await page.request.get(`${program.address}/api/v1/jobs/${job}/movement`)).json();

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
  let now = await movementOf(page, job);
  await expect.poll(async () => (now = await movementOf(page, job)).progress.complete).toBe(true);
  await expect(end).toBeVisible();
  expect(now.progress).toMatchObject({ parts_in_tray: 0, screws_in_tray: 0, skipped_work: 0 });
  expect(now.missed).toEqual([]);
  return pressed;
}

/** A job of its own with the same movement, all of it taken down, by way of a template. */
async function takenDown(page: Page, watch: RegExp): Promise<string> {
  const template = await post(page, '/templates', { name: `as ${watch}`, job_id: await jobOf(page, watch) });
  const job = (await post(page, '/jobs', { watch: { new: { description: 'the same once more' } } })).id;
  const { changes } = await (
    await page.request.get(`${program.address}/api/v1/templates/${template.id}/drafts`)
  ).json();
  expect((await log(page, job, changes)).refused).toBeNull();
  return job;
}

async function post(page: Page, path: string, data: unknown) {
  const answer = await page.request.post(`${program.address}/api/v1${path}`, {
    data,
    headers: { origin: program.address },
  });
  expect(answer.ok(), await answer.text()).toBe(true);
  return answer.json();
}

const log = (page: Page, job: string, changes: unknown[]) => {
  const entries = changes.map((change) => ({ id: randomUUID(), at: new Date().toISOString(), change }));
  return post(page, `/jobs/${job}/log`, { entries });
};

const WATCHES: [string, RegExp][] = [
  ['a hand-wound watch', /small seconds/],
  ['an automatic with date', /Automatic/],
  ['a movement with two barrels, trains and balances', /two balances/],
];

for (const [what, watch] of WATCHES) {
  test(`${what} is put together to the end`, async ({ page }) => {
    const pressed = await toTheEnd(page, await takenDown(page, watch));
    expect(pressed.length).toBeGreaterThan(50);
  });
}

test('in a movement with two of everything nothing is passed by silently', async ({ page }) => {
  const job = await takenDown(page, /two balances/);

  // What must not be passed by: four cap jewels, the reverser's treatment, the jewel of the
  // self-winding work that the next wheel covers.
  const wanted: [string, RegExp, RegExp, number][] = [
    ['cap jewels', /^Oil .*(middle|flat|cap|jewel)/i, /cap jewel/, 4],
    ['reverser', /reverser/i, /reverser/, 2],
    ['reduction wheel', /^Oil/, /reduction wheel/, 1],
  ];
  const work = async () => (await movementOf(page, job)).plan.flatMap((action) => action.work ?? []);
  const open = await work();
  for (const [what, words, on, many] of wanted) {
    const found = open.filter((each) => words.test(each.words) && on.test(each.on));
    expect(found.length, `${what}: ${open.map((each) => `${each.words} ${each.on}`).join('\n')}`).toBeGreaterThanOrEqual(many);
  }

  // Everything is placed in the order of the plan and no work is done: each place that has open work
  // is refused and names it, until it is skipped with a reason.
  const refused: string[] = [];
  for (let round = 0; round < 1000; round++) {
    const { plan, progress, steps } = await movementOf(page, job);
    if (progress.parts_in_tray === 0) break;
    const next = plan.find((action) => action.action === 'place');
    const answer = await log(page, job, [{ kind: 'placed', step: next?.step }]);
    if (answer.refused === null) continue;
    refused.push(answer.refused.words);
    const cover = steps.find(({ id }) => id === next?.step)?.placing?.would_cover ?? [];
    expect(cover.length, answer.refused.words).toBeGreaterThan(0);
    const skips = cover.map((each) => ({ kind: 'skipped', work: (each as { work?: unknown }).work, reason: 'a test' }));
    expect((await log(page, job, skips)).refused).toBeNull();
  }
  for (const [what, , on, many] of wanted) {
    const named = refused.join(' ').match(new RegExp(on.source, 'g')) ?? [];
    expect(named.length, what).toBeGreaterThanOrEqual(many);
  }
  expect((await movementOf(page, job)).missed).toEqual([]);
});
