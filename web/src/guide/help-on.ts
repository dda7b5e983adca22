// Where the guide speaks of a page.

import { to, type Route } from '../shell/router.svelte';

const ABOUT: Partial<Record<Route['page'], string>> = {
  listen: 'numbers',
  reading: 'numbers',
  compare: 'numbers',
  'take-down': 'taking-down',
  rebuild: 'rebuilding',
  library: 'rebuilding',
  regulate: 'regulating',
  trial: 'regulating',
  movement: 'numbers',
  tests: 'final-tests',
  papers: 'final-tests',
  bin: 'keeping-safe',
  settings: 'clock',
};

/** The address of the chapter about a page; of other pages, of the guide's beginning. */
export const helpOn = (page: Route['page']): string => to.guide(ABOUT[page]);
