// A phone that joins over the network's own door, as a person lets it in at the bench.

import { expect, type Browser, type Page } from '@playwright/test';
import type { Program } from './program.ts';

const ROLES = { repairer: 'repairer', read_only: 'read only' };

/** The phone's page, at the jobs; none where this machine is in no network. */
export async function joined(
  bench: Page,
  browser: Browser,
  program: Program,
  role: keyof typeof ROLES,
  name: string,
): Promise<Page | null> {
  await bench.goto(`${program.address}/#/settings`);
  await bench.getByRole('group', { name: 'Whoever joins next is' }).getByText(ROLES[role]).click();
  const made = bench.waitForResponse((answer) => answer.url().endsWith('/join-codes'));
  await bench.getByRole('button', { name: /Join a phone/ }).click();
  const { urls } = (await (await made).json()) as { urls: string[] };
  const [address] = urls;
  if (address === undefined) return null;
  // Nobody vouches for the certificate: the user compares its fingerprint, a test takes it.
  const context = await browser.newContext({ ignoreHTTPSErrors: true });
  const phone = await context.newPage();
  await phone.goto(address);
  await phone.getByLabel('Name of this device').fill(name);
  await phone.getByRole('button', { name: 'Join' }).click();
  await expect(phone.getByRole('heading', { name: `“${name}” has joined` })).toBeVisible();
  await phone.getByRole('link', { name: 'To the jobs' }).click();
  await expect(phone.getByRole('heading', { level: 1 })).toContainText('Jobs');
  return phone;
}
