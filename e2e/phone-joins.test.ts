// A phone scans the code at the bench, joins over the network's own door, and is turned out again.

import { expect, test } from '@playwright/test';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('serve');
});
test.afterAll(async () => {
  await program?.stop();
});

test('a phone joins with the code and is turned out', async ({ page, browser }) => {
  await page.goto(`${program.address}/#/settings`);
  const made = page.waitForResponse((answer) => answer.url().endsWith('/join-codes'));
  await page.getByRole('button', { name: /Join a phone/ }).click();
  const { urls } = (await (await made).json()) as { urls: string[] };
  const [address] = urls;
  test.skip(address === undefined, 'this machine is in no network');

  // Nobody vouches for the certificate: the user compares its fingerprint, a test takes it.
  const context = await browser.newContext({ ignoreHTTPSErrors: true });
  const phone = await context.newPage();
  await phone.goto(address!);
  await phone.getByLabel('Name of this device').fill('Pocket');
  await phone.getByRole('button', { name: 'Join' }).click();
  await expect(phone.getByRole('heading', { name: /“Pocket” has joined/ })).toBeVisible();
  await phone.getByRole('link', { name: 'To the jobs' }).click();
  await expect(phone.getByRole('heading', { level: 1 })).toContainText('Jobs');
  // Only a page that came safely may use the microphone.
  expect(await phone.evaluate(() => isSecureContext)).toBe(true);

  await page.reload();
  await page.getByRole('button', { name: /Turn out/ }).first().click();
  await expect
    .poll(async () => (await phone.request.get(new URL('/api/v1/jobs', address).href)).status())
    .toBe(401);
  await context.close();
});
