// The invented workshop is dated back from the moment at which it is made. For a picture that is the
// same next month, its days are moved to one March, and the browser's clock with them.

import type { Page } from '@playwright/test';

export const NOW = new Date('2026-03-12T10:00:00Z');

/** Of the invented watches one came in so long before the workshop was made. */
const LATEST = { watch: /key wound/, ago_ms: 3 * 3_600_000 };

const DAY_MS = 86_400_000;
const MOMENT = /"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?Z)"/g;
const DAY = /"(\d{4}-\d\d-\d\d)"/g;

const midnight = (moment_ms: number) => Math.floor(moment_ms / DAY_MS) * DAY_MS;

/** From here on the page sees the workshop as if it had been made at `NOW`. */
export async function steadyDays(page: Page, address: string) {
  const { jobs } = await (await page.request.get(`${address}/api/v1/jobs`)).json();
  const latest = jobs.find((job: { watch_description: string }) => LATEST.watch.test(job.watch_description));
  if (!latest) throw new Error(`the invented workshop has no job for ${LATEST.watch}`);
  const made_ms = Date.parse(latest.changed_at) + LATEST.ago_ms;
  const later_ms = NOW.getTime() - made_ms;
  const later_days_ms = midnight(NOW.getTime()) - midnight(made_ms);
  const moved = (text: string) =>
    text
      .replace(MOMENT, (_, moment: string) => `"${new Date(Date.parse(moment) + later_ms).toISOString()}"`)
      .replace(DAY, (_, day: string) => `"${new Date(Date.parse(day) + later_days_ms).toISOString().slice(0, 10)}"`);
  await page.clock.setFixedTime(NOW);
  await page.route('**/api/v1/**', async (route) => {
    const request = route.request();
    // What happens elsewhere is told by a stream that never ends.
    if (request.resourceType() === 'eventsource') return route.fallback();
    const response = await route.fetch();
    const type = response.headers()['content-type'] ?? '';
    if (!type.includes('json')) return route.fulfill({ response });
    await route.fulfill({ response, body: moved(await response.text()) });
  });
}
