import { expect, test } from 'vitest';
import { firstPages } from './pages';

test('pages make one list, in which nothing stands twice', async () => {
  // Between the two fetches one was added at the front: "b" moved to the second page.
  const pages = [['a', 'b'], ['b', 'c']];
  const load = async (page: number) => ({ items: pages[page] ?? [], total: 4 });
  expect(await firstPages(2, load, (item) => item)).toEqual({ items: ['a', 'b', 'c'], total: 4 });
  expect(await firstPages(1, load, (item) => item)).toEqual({ items: ['a', 'b'], total: 4 });
});
