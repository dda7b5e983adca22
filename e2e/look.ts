// What every page must pass as it stands: nothing runs out of the screen, and axe finds nothing, in
// light and in dark.

import { AxeBuilder } from '@axe-core/playwright';
import { expect, type Page } from '@playwright/test';

type Least = 'any' | 'serious';

/** What of axe depends on colours; of all else a page in dark is the page in light. */
const OF_COLOURS = ['color-contrast', 'link-in-text-block'];

async function faults(page: Page, least: Least, rules: string[] | null): Promise<string[]> {
  // The pages have no frames: what would gather the results of several in a page of its own is left out.
  const axe = new AxeBuilder({ page }).options({ resultTypes: ['violations'] }).setLegacyMode();
  const { violations } = await (rules === null ? axe : axe.withRules(rules)).analyze();
  return violations
    .filter(({ impact }) => least === 'any' || impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' | ')}`);
}

/** The page as it stands, in the colours in which it stands. */
export async function looksRight(page: Page, what: string, least: Least, rules: string[] | null = null) {
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(over, `${what} is wider than the screen`).toBeLessThanOrEqual(0);
  expect(await faults(page, least, rules), what).toEqual([]);
}

/**
 * All of a long page is laid out, as if it had been scrolled through: what is out of sight keeps the
 * colours that it had.
 */
async function layOut(page: Page) {
  await page.evaluate(() => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync('* { content-visibility: visible !important; }');
    document.adoptedStyleSheets.push(sheet);
  });
}

/** In light, then in dark; it is left in light. */
export async function looksRightInBoth(page: Page, what: string, least: Least) {
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
  await layOut(page);
  await looksRight(page, `${what} in light`, least);
  await page.emulateMedia({ colorScheme: 'dark', reducedMotion: 'reduce' });
  await looksRight(page, `${what} in dark`, least, OF_COLOURS);
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
}
