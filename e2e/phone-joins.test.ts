// A phone scans the code at the bench, joins over the network's own door, and is turned out again.

import { expect, test } from '@playwright/test';
import { joined } from './joined.ts';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

test('a phone joins with the code and is turned out', async ({ page, browser }) => {
  const phone = await joined(page, browser, program, 'repairer', 'Pocket');
  test.skip(phone === null, 'this machine is in no network');
  if (phone === null) return;
  // Only a page that came safely may use the microphone.
  expect(await phone.evaluate(() => isSecureContext)).toBe(true);

  await page.reload();
  await page.getByRole('button', { name: /Turn out/ }).first().click();
  await expect
    .poll(async () => (await phone.request.get(new URL('/api/v1/jobs', phone.url()).href)).status())
    .toBe(401);
  await phone.context().close();
});
