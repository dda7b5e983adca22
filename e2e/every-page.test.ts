// Every page of the invented workshop, in light and dark: nothing runs out of the screen, nothing is
// fetched from elsewhere, no script fails, and axe finds nothing serious.

import { expect, test, type Page, type Request } from '@playwright/test';
import { joined } from './joined.ts';
import { looksRight, looksRightInBoth } from './look.ts';
import { start, type Program } from './program.ts';

let program: Program;
/** Addresses behind the `#`, by what they show. */
let pages: Record<string, string>;

test.beforeAll(async ({ playwright }) => {
  program = await start('invented');
  const ask = await playwright.request.newContext({ baseURL: program.address });
  const get = async (path: string) => (await ask.get(`/api/v1${path}`)).json();
  const { jobs } = await get('/jobs');
  const readings: { id: string }[] = [];
  let job = jobs[0].id;
  for (const one of jobs) {
    const list = (await get(`/jobs/${one.id}/readings`)).readings;
    if (list.length > readings.length) {
      readings.splice(0, readings.length, ...list);
      job = one.id;
    }
  }
  const [newer, older] = readings;
  if (!newer || !older) throw new Error('the invented workshop has no job with two readings');
  const { watches } = await get('/watches');
  const two = watches.find((watch: { movement: string }) => watch.movement !== '');
  if (!two) throw new Error('the invented workshop has no movement that was counted');
  const withAny = async (what: 'trials' | 'tests') => {
    for (const one of jobs as { id: string; stage: string }[]) {
      if (one.stage !== 'final_tests') continue;
      if ((await get(`/jobs/${one.id}/${what}`))[what].length > 0) return one.id;
    }
    throw new Error(`the invented workshop has no watch with ${what}`);
  };
  const [tried, tested] = [await withAny('trials'), await withAny('tests')];
  const { owners } = await get('/owners');
  await ask.dispose();
  pages = {
    jobs: '/jobs',
    'new job': '/jobs/new',
    job: `/jobs/${job}`,
    'take down': `/jobs/${job}/take-down`,
    rebuild: `/jobs/${job}/rebuild`,
    regulate: `/jobs/${job}/regulate`,
    'fifteen days': `/jobs/${tried}/trial`,
    'final tests': `/jobs/${tested}/tests`,
    papers: `/jobs/${job}/papers`,
    listen: `/jobs/${job}/listen`,
    'fill the sheet': `/jobs/${job}/fill`,
    reading: `/readings/${newer.id}`,
    compare: `/compare/${older.id}/${newer.id}`,
    watches: '/watches',
    watch: `/watches/${watches[0].id}`,
    movement: `/watches/${two.id}/movement`,
    owners: '/owners',
    owner: `/owners/${owners[0].id}`,
    search: '/search?q=balance',
    bin: '/bin',
    settings: '/settings',
    'rules and words': '/library',
    'the guide': '/guide/regulating',
    join: '/join/ABCD',
    'no such page': '/nowhere',
  };
});
test.afterAll(async () => {
  await program?.stop();
});

/** Until nothing that was asked for is still to come, as far as the next moment shows. */
async function allIsThere(coming: ReadonlySet<Request>) {
  let since = Date.now();
  await expect
    .poll(() => {
      if (coming.size > 0) since = Date.now();
      return Date.now() - since;
    }, { intervals: [25] })
    .toBeGreaterThan(150);
}

/** What was asked for and is still to come. */
function stillToCome(page: Page): Set<Request> {
  const coming = new Set<Request>();
  page.on('request', (request) => {
    // What happens elsewhere is told by a stream that never ends.
    if (request.resourceType() !== 'eventsource') coming.add(request);
  });
  page.on('requestfinished', (request) => coming.delete(request));
  page.on('requestfailed', (request) => coming.delete(request));
  return coming;
}

test('every page, in light and dark', async ({ page }) => {
  const strangers: string[] = [];
  const failures: string[] = [];
  const coming = stillToCome(page);
  page.on('request', (request) => {
    const { origin } = new URL(request.url());
    if (origin !== program.address && origin !== 'null') strangers.push(request.url());
  });
  page.on('pageerror', (error) => failures.push(error.message));
  for (const [name, address] of Object.entries(pages)) {
    // A change behind the `#` alone loads nothing anew.
    await page.goto('about:blank');
    coming.clear();
    await page.goto(`${program.address}/#${address}`);
    await expect(page.getByRole('heading', { level: 1 }).first(), name).toBeVisible();
    await allIsThere(coming);
    await looksRightInBoth(page, name, 'serious');
  }
  expect(strangers).toEqual([]);
  expect(failures).toEqual([]);
});

test('the keyboard alone reaches a job and its fields', async ({ page, isMobile }) => {
  test.skip(isMobile, 'a phone has no keys to press');
  await page.goto(`${program.address}/#/watches`);
  await expect(page.getByRole('heading', { name: 'Watches' })).toBeVisible();
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(page.getByRole('dialog')).toHaveCount(0);
  await page.keyboard.press('j');
  await expect(page.getByRole('heading', { name: 'Jobs' })).toBeVisible();
  // The list comes after its heading; before that there is nothing to tab to.
  await expect(page.locator('a[href^="#/jobs/"]:not([href$="/new"])').first()).toBeVisible();
  await page.keyboard.press('/');
  await expect(page.getByRole('searchbox')).toBeFocused();
  // Past the stage and what else narrows the list.
  for (const name of ['Stage', 'Only those still here', 'Due first']) {
    await page.keyboard.press('Tab');
    await expect(page.getByLabel(name)).toBeFocused();
  }
  await page.keyboard.press('Tab');
  const focused = page.locator(':focus');
  await expect(focused).toHaveAttribute('href', /#\/jobs\//);
  // What has the focus is seen to have it.
  const outline = await focused.evaluate((element) => getComputedStyle(element).outlineStyle);
  expect(outline).not.toBe('none');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Job');
});

/** Keys that change something on one page or another, and those that every page has. */
const KEYS = ['Enter', 'Escape', '1', '2', '3', '7', 'f', 'g', 'k', 'm', 'n', 'p', 'r', 't', 'u', '0'];

test('a device that may only look finds nothing that is refused', async ({ page, browser, isMobile }) => {
  test.skip(isMobile, 'what is shut is shut on every screen');
  const phone = await joined(page, browser, program, 'read_only', 'Shelf');
  test.skip(phone === null, 'this machine is in no network');
  if (phone === null) return;
  const refused: string[] = [];
  phone.on('response', (answer) => {
    if (answer.status() === 403) refused.push(`${answer.request().method()} ${answer.url()}`);
  });
  const coming = stillToCome(phone);
  const base = new URL('/', phone.url()).href;
  // What is refused is seen here.
  await phone.evaluate(() => fetch('/api/v1/bin', { method: 'DELETE' }));
  expect(refused.splice(0)).toHaveLength(1);
  let pressed = 0;
  for (const [name, address] of Object.entries(pages)) {
    if (name === 'join') continue;
    await phone.goto('about:blank');
    coming.clear();
    await phone.goto(`${base}#${address}`);
    await expect(phone.getByRole('heading', { level: 1 }).first(), name).toBeVisible();
    await allIsThere(coming);
    if (['job', 'rebuild', 'settings'].includes(name)) await looksRight(phone, name, 'serious');
    // What is folded away is there as well.
    await phone.evaluate(() => document.querySelectorAll('details').forEach((one) => (one.open = true)));
    pressed += await phone.evaluate(async (keys) => {
      const main = document.querySelector('main')!;
      const soon = () => new Promise((done) => setTimeout(done, 15));
      const pressed = new Set<Element>();
      const next = () =>
        [...main.querySelectorAll<HTMLElement>(
          ':is(button, input, select):not(:disabled):not([readonly])',
        )].find((one) => !pressed.has(one));
      // A list that opens with each press would have no end.
      for (let one = next(); one && pressed.size < 60; one = next()) {
        pressed.add(one);
        one.click();
        await soon();
      }
      document.querySelectorAll('dialog').forEach((one) => one.close());
      await soon();
      for (const form of main.querySelectorAll('form')) form.requestSubmit();
      for (const key of keys) {
        dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
        await soon();
      }
      return pressed.size;
    }, KEYS);
    await allIsThere(coming);
    expect(refused, name).toEqual([]);
  }
  // Looks are many: pages that show nothing to press were not walked.
  expect(pressed).toBeGreaterThan(40);
  await phone.goto(`${base}#${pages.job}`);
  const remove = phone.getByRole('button', { name: /bin/ }).first();
  await expect(remove).toBeDisabled();
  await expect(remove).toHaveAttribute('title', /may look and change nothing/);
  await phone.context().close();
});
