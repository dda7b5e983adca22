// The Movement page's form, filled in as one types it; and what stands beside it.

import type { Page } from '@playwright/test';

/** An arbor with what it carries. */
export async function addArbor(page: Page, name: string, carries: Record<string, number>) {
  await page.getByRole('button', { name: 'Add an arbor' }).click();
  const arbor = page.getByRole('group', { name: 'arbor arbor', exact: true });
  await arbor.getByLabel('Name of the arbor').fill(name);
  await arbor.getByLabel('Name of the arbor').press('Tab');
  const named = page.getByRole('group', { name: `arbor ${name}`, exact: true });
  for (const unused of ['pinion', 'wheel'].filter((one) => !(one in carries))) {
    await named.getByRole('button', { name: `Take out ${name} ${unused}` }).click();
  }
  for (const [toothed, teeth] of Object.entries(carries)) {
    await named.getByLabel(`Teeth of ${name} ${toothed}`, { exact: true }).fill(String(teeth));
  }
}

export async function drives(page: Page, driver: string, driven: string) {
  await page.getByRole('button', { name: 'Add what drives what' }).click();
  const mesh = page.getByRole('region', { name: 'What drives what' }).getByRole('group').last();
  await mesh.getByLabel('Driver').selectOption(driver);
  await mesh.getByLabel('Driven').selectOption(driven);
}

export async function addBalance(page: Page, name: string, escape: string, perHour: string) {
  await page.getByRole('button', { name: 'Add a balance' }).click();
  const balance = page.getByRole('group', { name: `balance ${name}`, exact: true });
  await balance.getByLabel('Escape wheel').selectOption(escape);
  await balance.getByLabel('Beats per hour').fill(perHour);
}

export async function addHand(page: Page, name: string, on: string, shows: string) {
  await page.getByRole('button', { name: 'Add a hand' }).click();
  const hand = page.getByRole('group', { name: 'hand hand', exact: true });
  await hand.getByLabel('On', { exact: true }).selectOption(on);
  await hand.getByLabel('Shows').selectOption(shows);
  await hand.getByLabel('Name').fill(name);
  await hand.getByLabel('Name').press('Tab');
}

export const handOf = (page: Page, name: string) =>
  page.getByRole('region', { name: 'Hands' }).last().getByRole('listitem').filter({ hasText: name });
