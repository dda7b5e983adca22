// Whole movements of the invented workshop are put together in the page to the end, by pressing what
// is offered, and what must not be passed by silently is refused.

import { expect, test, type Page } from '@playwright/test';
import { randomUUID } from 'node:crypto';
import { start, type Program } from './program.ts';

// A hundred presses and more, and the page takes none within 0.6 s of the last.
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
  last_entry: number;
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

/** Presses what is offered until nothing is left to do. */
async function toTheEnd(page: Page, job: string) {
  await page.goto(`${program.address}/#/jobs/${job}/rebuild`);
  const offered = page.locator('button.act.big');
  const end = page.getByRole('heading', { name: 'Everything is in', exact: true });
  let before = await movementOf(page, job);
  for (let presses = 0; !before.progress.complete; presses++) {
    expect(presses, 'it comes to an end').toBeLessThan(400);
    await expect(offered).toBeEnabled();
    await offered.click();
    const { last_entry } = before;
    await expect
      .poll(async () => (before = await movementOf(page, job)).last_entry, { intervals: [150] })
      .toBeGreaterThan(last_entry);
    // The page takes no press so soon after another.
    await page.waitForTimeout(650);
  }
  await expect(end).toBeVisible();
  expect(before.progress).toMatchObject({ parts_in_tray: 0, screws_in_tray: 0, skipped_work: 0 });
  expect(before.missed).toEqual([]);
}

test('a hand-wound watch that is half together is put together to the end', async ({ page, isMobile }) => {
  test.skip(isMobile, 'once is enough');
  await toTheEnd(page, await jobOf(page, /small seconds/));
});

test('in a movement with two of everything nothing is passed by silently', async ({ page, isMobile }) => {
  test.skip(isMobile, 'it is the program that refuses');
  const api = `${program.address}/api/v1`;
  const headers = { origin: program.address };
  const post = async (path: string, data: unknown) => {
    const answer = await page.request.post(`${api}${path}`, { data, headers });
    expect(answer.ok(), await answer.text()).toBe(true);
    return answer.json();
  };
  // The same movement in a job of its own, by way of a template.
  const template = await post('/templates', { name: 'two trains', job_id: await jobOf(page, /two balances/) });
  const job = (await post('/jobs', { watch: { new: { description: 'the twin' } } })).id;
  const { changes } = await (await page.request.get(`${api}/templates/${template.id}/drafts`)).json();
  const entry = (change: unknown) => ({ id: randomUUID(), at: new Date().toISOString(), change });
  const log = (list: unknown[]) => post(`/jobs/${job}/log`, { entries: list.map(entry) });
  expect((await log(changes)).refused).toBeNull();

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
    const answer = await log([{ kind: 'placed', step: next?.step }]);
    if (answer.refused === null) continue;
    refused.push(answer.refused.words);
    const cover = steps.find(({ id }) => id === next?.step)?.placing?.would_cover ?? [];
    expect(cover.length, answer.refused.words).toBeGreaterThan(0);
    const skips = cover.map((each) => ({ kind: 'skipped', work: (each as { work?: unknown }).work, reason: 'a test' }));
    expect((await log(skips)).refused).toBeNull();
  }
  for (const [what, , on, many] of wanted) {
    const named = refused.join(' ').match(new RegExp(on.source, 'g')) ?? [];
    expect(named.length, what).toBeGreaterThanOrEqual(many);
  }
  expect((await movementOf(page, job)).missed).toEqual([]);
});
