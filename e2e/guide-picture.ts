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
   * Its numbers are heard as the test runs, and never the same twice: digits are not compared, nor the
   * picture itself.
   */
  live?: boolean;
  /** Words that differ from run to run. */
  without?: RegExp;
}

/** Compares a picture with the committed one, and what it says with what it said. */
export async function picture(of: Locator, name: string, { live = false, without }: How = {}) {
  const said = await of.ariaSnapshot();
  const steady = without ? said.replace(without, '…') : said;
  const words = live ? steady.replace(/\d[\d.,:]*/g, 'N').replace(/[+−]N/g, 'N') : steady;
  const shown = await of.screenshot({ animations: 'disabled', caret: 'hide' });
  const hint = `${name}: the page no longer looks as the guide shows it; ./dev pictures takes it anew`;
  expect.soft(`${words}\n`, hint).toMatchSnapshot(['said', `${name}.txt`]);
  const file = path.join(GUIDE, 'src/pictures', `${name}.png`);
  if (!live) {
    expect.soft(shown, hint).toMatchSnapshot(['src', 'pictures', `${name}.png`], TOLERANCE);
  } else if (['all', 'changed'].includes(test.info().config.updateSnapshots)) {
    await mkdir(path.dirname(file), { recursive: true });
    await writeFile(file, shown);
  } else {
    await expect(access(file), `${file} is there`).resolves.toBeUndefined();
  }
}
