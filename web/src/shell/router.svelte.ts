// Which page is open. The address stands behind the `#`, so any server that hands out one file can
// serve every page, and a code for joining never reaches a log.

export type Route =
  | { page: 'jobs' }
  | { page: 'new-job' }
  | { page: 'job'; id: string }
  | { page: 'take-down'; id: string }
  | { page: 'rebuild'; id: string }
  | { page: 'regulate'; id: string }
  | { page: 'trial'; id: string }
  | { page: 'tests'; id: string }
  | { page: 'papers'; id: string }
  /** With `fill`, the rate sheet of the job is filled position by position. */
  | { page: 'listen'; job: string | null; fill: boolean }
  | { page: 'reading'; id: string }
  | { page: 'compare'; before: string; after: string }
  | { page: 'watches' }
  | { page: 'watch'; id: string }
  | { page: 'movement'; id: string }
  | { page: 'owners' }
  | { page: 'owner'; id: string }
  | { page: 'search'; text: string }
  | { page: 'bin' }
  | { page: 'settings' }
  | { page: 'library' }
  /** A chapter of the guide, and the heading in it that is asked for, where one is. */
  | { page: 'guide'; chapter: string; place: string }
  | { page: 'join'; code: string }
  | { page: 'unknown'; address: string };

/** Where the guide begins. */
const FIRST_CHAPTER = 'first-watch';

/** Reads an address such as "#/jobs/12/listen". */
export function read(hash: string): Route {
  const address = hash.replace(/^#/, '');
  const [path = '', query = ''] = address.split('?');
  const parts = path.split('/').filter((part) => part !== '');
  let words: string[];
  try {
    words = parts.map(decodeURIComponent);
  } catch {
    return { page: 'unknown', address };
  }
  const [first, second, third, ...rest] = words;
  if (rest.length > 0) return { page: 'unknown', address };
  if (first === undefined) return { page: 'jobs' };
  if (second === undefined) {
    switch (first) {
      case 'jobs':
      case 'watches':
      case 'owners':
      case 'bin':
      case 'settings':
      case 'library':
        return { page: first };
      case 'guide':
        return { page: 'guide', chapter: FIRST_CHAPTER, place: '' };
      case 'listen':
        return { page: 'listen', job: null, fill: false };
      case 'search':
        return { page: 'search', text: new URLSearchParams(query).get('q') ?? '' };
      case 'join':
        return { page: 'join', code: new URLSearchParams(query).get('code') ?? '' };
    }
    return { page: 'unknown', address };
  }
  if (third === undefined) {
    switch (first) {
      case 'jobs':
        return second === 'new' ? { page: 'new-job' } : { page: 'job', id: second };
      case 'readings':
        return { page: 'reading', id: second };
      case 'watches':
        return { page: 'watch', id: second };
      case 'owners':
        return { page: 'owner', id: second };
      case 'guide':
        return { page: 'guide', chapter: second, place: '' };
      case 'join':
        return { page: 'join', code: second };
    }
  }
  if (third !== undefined) {
    if (first === 'jobs') {
      switch (third) {
        case 'listen':
        case 'fill':
          return { page: 'listen', job: second, fill: third === 'fill' };
        case 'take-down':
        case 'rebuild':
        case 'regulate':
        case 'trial':
        case 'tests':
        case 'papers':
          return { page: third, id: second };
      }
    }
    if (first === 'watches' && third === 'movement') return { page: 'movement', id: second };
    if (first === 'guide') return { page: 'guide', chapter: second, place: third };
    if (first === 'compare') return { page: 'compare', before: second, after: third };
  }
  return { page: 'unknown', address };
}

class Router {
  route = $state.raw<Route>(read(location.hash));
}

export const router = new Router();

/** Follows the address; gives back how to stop. */
export function followAddress(): () => void {
  const follow = () => (router.route = read(location.hash));
  follow();
  addEventListener('hashchange', follow);
  return () => removeEventListener('hashchange', follow);
}

export function go(address: string) {
  location.hash = address;
}

/** Addresses, so that none is put together elsewhere. */
export const to = {
  jobs: () => '#/jobs',
  newJob: () => '#/jobs/new',
  job: (id: string) => `#/jobs/${encodeURIComponent(id)}`,
  takeDown: (id: string) => `#/jobs/${encodeURIComponent(id)}/take-down`,
  rebuild: (id: string) => `#/jobs/${encodeURIComponent(id)}/rebuild`,
  regulate: (id: string) => `#/jobs/${encodeURIComponent(id)}/regulate`,
  trial: (id: string) => `#/jobs/${encodeURIComponent(id)}/trial`,
  tests: (id: string) => `#/jobs/${encodeURIComponent(id)}/tests`,
  papers: (id: string) => `#/jobs/${encodeURIComponent(id)}/papers`,
  fill: (id: string) => `#/jobs/${encodeURIComponent(id)}/fill`,
  listen: (job: string | null) =>
    job === null ? '#/listen' : `#/jobs/${encodeURIComponent(job)}/listen`,
  reading: (id: string) => `#/readings/${encodeURIComponent(id)}`,
  compare: (before: string, after: string) =>
    `#/compare/${encodeURIComponent(before)}/${encodeURIComponent(after)}`,
  watches: () => '#/watches',
  watch: (id: string) => `#/watches/${encodeURIComponent(id)}`,
  movement: (watch: string) => `#/watches/${encodeURIComponent(watch)}/movement`,
  owners: () => '#/owners',
  owner: (id: string) => `#/owners/${encodeURIComponent(id)}`,
  search: (text: string) => `#/search?q=${encodeURIComponent(text)}`,
  bin: () => '#/bin',
  settings: () => '#/settings',
  library: () => '#/library',
  guide: (chapter = FIRST_CHAPTER) => `#/guide/${encodeURIComponent(chapter)}`,
};
