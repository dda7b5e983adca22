// A picture of the guide: what stands in docs/guide/src/pictures is what the page shows, or a test
// fails. `./dev pictures` takes all of them anew.

import { expect, test, type Locator } from '@playwright/test';
import { access, mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';

const GUIDE = path.resolve(import.meta.dirname, '../docs/guide');

/**
 * Of pixels so many may differ, and a pixel differs when it is visibly another colour (Playwright's
 * own measure goes from 0 to 1). Both are there for what is not ours: another Chromium draws the edges
 * of letters otherwise, and the committed pictures have 128 colours. Letters cover some 5 % of these
 * pictures and their edges half of that; a card that is gone, or a column that has moved, is more than 10 %. What changes less is
 * words, and these are compared letter by letter.
 */
const TOLERANCE = { threshold: 0.2, maxDiffPixelRatio: 0.025 };

interface How {
  /**
   * What it shows is heard, or drawn by lot, as the test runs, and never the same twice: compared are
   * the things in it that have a name, without their numbers, and the picture itself is not.
   */
  live?: boolean;
  /** So much of it from its top, CSS pixels, where it is longer. */
  height?: number;
}

const NAMED = /^- (heading|button|radio|checkbox|link|region|group|columnheader|rowheader|textbox|combobox)\b/;

/** The named things, each once, with `N` for what counts. */
function namesIn(said: string): string {
  const lines = said.split('\n').map((line) => line.trim().replace(/:$/, ''));
  const named = lines.filter((line) => NAMED.test(line)).map((line) => line.replace(/[+−-]?\d[\d.,:]*/g, 'N'));
  return [...new Set(named)].join('\n');
}

async function shot(of: Locator, height: number | undefined): Promise<Buffer> {
  // What stays in sight, a phone's bar of pages, the button of the rebuild, lies over what is longer than
  // the screen.
  const style = 'nav[aria-label="Pages"] { visibility: hidden !important; } .deed { position: static !important; }';
  const how = { animations: 'disabled', caret: 'hide', scale: 'device', style } as const;
  const box = await of.boundingBox();
  if (height === undefined || !box || box.height <= height) return of.screenshot(how);
  const page = of.page();
  const scrolled = await page.evaluate(() => scrollY);
  const clip = { ...box, y: box.y + scrolled, height };
  return page.screenshot({ ...how, clip, fullPage: true });
}

/** Compares a picture with the committed one, and what it says with what it said. */
export async function picture(of: Locator, name: string, { live = false, height }: How = {}) {
  // Addresses hold ids, which no two workshops share.
  const said = (await of.ariaSnapshot()).replace(/^ *- \/url: .*\n?/gm, '').trimEnd();
  const shown = await shot(of, height);
  const hint = `${name}: the page no longer looks as the guide shows it; ./dev pictures takes it anew`;
  expect.soft(`${live ? namesIn(said) : said}\n`, hint).toMatchSnapshot(['docs', 'guide', 'said', `${name}.txt`]);
  if (!live) {
    expect.soft(shown, hint).toMatchSnapshot(['docs', 'guide', 'src', 'pictures', `${name}.png`], TOLERANCE);
    return;
  }
  const file = path.join(GUIDE, 'src/pictures', `${name}.png`);
  if (['all', 'changed'].includes(test.info().config.updateSnapshots)) {
    await mkdir(path.dirname(file), { recursive: true });
    await writeFile(file, shown);
  } else {
    await expect(access(file), `${file} is there`).resolves.toBeUndefined();
  }
}
