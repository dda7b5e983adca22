// Papers of a job in a real browser, with the real program: what is missing is told, what is wished is
// made, and the PDF says it, as Poppler's pdftotext reads it.

import { expect, test, type Page } from '@playwright/test';
import { looksRightInBoth } from './look.ts';
import { wordsOf } from './pdf.ts';
import { start, type Program } from './program.ts';

let program: Program;
let job: { id: string; number: number };

test.beforeAll(async ({ playwright }) => {
  program = await start('invented');
  const ask = await playwright.request.newContext({ baseURL: program.address });
  const get = async (path: string) => (await ask.get(`/api/v1${path}`)).json();
  // The one of which most is known: two balances, photos, readings.
  const { jobs } = await get('/jobs');
  let most = -1;
  for (const one of jobs) {
    const { total } = await get(`/jobs/${one.id}/readings`);
    if (total > most) [most, job] = [total, one];
  }
  await ask.dispose();
});
test.afterAll(async () => {
  await program?.stop();
});

const card = (page: Page, name: string) => page.getByRole('region', { name, exact: true });

/** The words of the PDF that a link leads to. */
async function words(page: Page, link: string): Promise<string> {
  const answer = await page.request.get(new URL(link, program.address).href);
  expect(answer.headers()['content-type']).toBe('application/pdf');
  return wordsOf(await answer.body());
}

async function make(page: Page, name: string) {
  const one = card(page, name);
  await one.getByRole('button', { name: new RegExp(`^Make the ${name.toLowerCase()}`) }).click();
  // The sounds of its readings are heard again for it.
  await expect(one.getByText(/^Made:/)).toBeVisible({ timeout: 120_000 });
  return one;
}

test('a report is made from the page, and says what was entered there', async ({ page }) => {
  await page.goto(`${program.address}/#/jobs/${job.id}`);
  await page.getByRole('link', { name: 'Papers' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Papers' })).toBeVisible();
  const report = card(page, 'Service report');
  await expect(report.getByText('Nothing is said of what the owner should watch for.')).toBeVisible();
  await looksRightInBoth(page, 'papers', 'any');

  const toWatch = page.getByLabel('What to watch for');
  await toWatch.fill('It may gain a little while it is new.');
  await toWatch.blur();
  const next = page.getByLabel('Next service');
  await next.fill('in June');
  await next.blur();
  await expect(page.getByText('A month such as 2031-06, or a day such as 2031-06-15.')).toBeVisible();
  await next.fill('2031-06');
  await next.blur();
  await expect(report.getByText('Nothing is said of what the owner should watch for.')).toHaveCount(0);
  await expect(report.getByText('Nothing is said of the next service.')).toHaveCount(0);

  await make(page, 'Service report');
  await looksRightInBoth(page, 'papers with one made', 'any');
  const link = report.getByRole('link', { name: 'Open to print' });
  const said = await words(page, (await link.getAttribute('href')) ?? '');
  for (const expected of [
    `Job ${job.number}`,
    'How it runs',
    'It may gain a little while it is new.',
    'Please bring it in again in June 2031.',
    'For the colleague who opens it next',
  ]) {
    expect(said).toContain(expected);
  }
  // Without the pages for the colleague it is another paper.
  await report.getByRole('checkbox', { name: /colleague/ }).uncheck();
  await expect(link).toHaveCount(0);
  await make(page, 'Service report');
  expect(await words(page, (await link.getAttribute('href')) ?? '')).not.toContain('For the colleague');
  const saved = page.waitForEvent('download');
  await report.getByRole('link', { name: 'Save PDF' }).click();
  expect((await saved).suggestedFilename()).toMatch(new RegExp(`^Service report, job ${job.number}, .*\\.pdf$`));
});

test('the head of papers is set once and stands on all of them', async ({ page }) => {
  await page.goto(`${program.address}/#/settings`);
  const papers = card(page, 'Your papers');
  const name = papers.getByLabel('Name of the workshop');
  await name.fill('Workshop of the Three Pigeons');
  await name.blur();
  await papers.getByLabel('Below it').fill('Upper Mill 4\nTidewell');
  await papers.getByLabel('Below it').blur();
  await expect(papers.locator('.paper')).toContainText('Three Pigeons');
  const sign = Buffer.from(
    // Two dots of red and blue, as PNG.
    'iVBORw0KGgoAAAANSUhEUgAAAAIAAAABCAIAAAB7QOjdAAAADUlEQVR4nGM4IQcEJwAHIwIJ5FiIOQAAAABJRU5ErkJggg==',
    'base64',
  );
  const choose = papers.getByLabel(/a sign|Another sign/);
  await choose.setInputFiles({ name: 'no.svg', mimeType: 'image/svg+xml', buffer: Buffer.from('<svg/>') });
  await expect(papers.getByRole('alert')).toContainText('JPEG, PNG and WebP');
  await choose.setInputFiles({ name: 'sign.png', mimeType: 'image/png', buffer: sign });
  await expect(papers.getByRole('img', { name: "The workshop's sign" })).toBeVisible();
  await looksRightInBoth(page, 'settings of papers', 'serious');

  await page.goto(`${program.address}/#/jobs/${job.id}/papers`);
  await expect(page.getByText('Under the head of Workshop of the Three Pigeons.')).toBeVisible();
  const receipt = await make(page, 'Receipt');
  const link = (await receipt.getByRole('link', { name: 'Open to print' }).getAttribute('href')) ?? '';
  const said = await words(page, link);
  for (const expected of ['Workshop of the Three Pigeons', 'Tidewell', 'received for repair']) {
    expect(said).toContain(expected);
  }
  await page.goto(`${program.address}/#/settings`);
  await papers.getByRole('button', { name: 'Take the sign off' }).click();
  await expect(papers.getByRole('img')).toHaveCount(0);
  await page.getByRole('status').getByRole('button', { name: 'Undo' }).click();
  await expect(papers.getByRole('img', { name: "The workshop's sign" })).toBeVisible();
});

test('the keyboard alone makes a paper, and what takes long can be stopped', async ({ page, isMobile }) => {
  test.skip(isMobile, 'a phone has no keys to press');
  await page.goto(`${program.address}/#/jobs/${job.id}/papers`);
  const estimate = card(page, 'Estimate');
  await expect(estimate).toBeVisible();
  await page.keyboard.press('2');
  await expect(estimate.getByText(/^Made:/)).toBeVisible({ timeout: 60_000 });
  let free = () => {};
  const held = new Promise<void>((go) => (free = go));
  await page.route('**/papers/report/check*', async (route) => {
    await held;
    await route.abort();
  });
  await page.keyboard.press('3');
  const report = card(page, 'Service report');
  await report.getByRole('button', { name: 'Stop' }).click();
  await expect(report.getByRole('button', { name: /^Make the service report/ })).toBeVisible();
  await expect(report.getByRole('alert')).toHaveCount(0);
  free();
});
