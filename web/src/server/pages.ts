// Long lists come a page at a time. What was asked for so far is fetched again as a whole, so that
// a change in between leaves no hole.

/** What is shown of a list, and how many there are in all. */
export interface Shown<I> {
  items: I[];
  total: number;
}

/** The first `many` pages, put together; what moved between two of them stands there once. */
export async function firstPages<I>(
  many: number,
  load: (page: number) => Promise<Shown<I>>,
  key: (item: I) => string,
): Promise<Shown<I>> {
  const got = await Promise.all(Array.from({ length: many }, (_, page) => load(page)));
  const items = new Map<string, I>();
  for (const item of got.flatMap((page) => page.items)) items.set(key(item), item);
  return { items: [...items.values()], total: got[0]?.total ?? 0 };
}

/** All pages: for what would be wrong if some of it were missing, such as a sum. */
export async function allPages<I>(
  load: (page: number) => Promise<Shown<I>>,
  key: (item: I) => string,
): Promise<Shown<I>> {
  const { items, total } = await load(0);
  const pages = items.length === 0 ? 1 : Math.ceil(total / items.length);
  return pages === 1 ? { items, total } : firstPages(pages, load, key);
}
