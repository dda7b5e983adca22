import { expect, test } from 'vitest';
import { allPages, firstPages } from './pages';

test('pages make one list, in which nothing stands twice', async () => {
  // Between the two fetches one was added at the front: "b" moved to the second page.
  const pages = [['a', 'b'], ['b', 'c']];
  const load = async (page: number) => ({ items: pages[page] ?? [], total: 4 });
  expect(await firstPages(2, load, (item) => item)).toEqual({ items: ['a', 'b', 'c'], total: 4 });
  expect(await firstPages(1, load, (item) => item)).toEqual({ items: ['a', 'b'], total: 4 });
});

test('all pages are fetched where all of a list is wanted', async () => {
  const pages = [['a', 'b'], ['c', 'd'], ['e']];
  const asked: number[] = [];
  const load = async (page: number) => {
    asked.push(page);
    return { items: pages[page] ?? [], total: 5 };
  };
  const all = await allPages(load, (item) => item);
  expect(all).toEqual({ items: ['a', 'b', 'c', 'd', 'e'], total: 5 });
  expect(Math.max(...asked)).toBe(2);
  const none = async () => ({ items: [] as string[], total: 0 });
  expect(await allPages(none, (item) => item)).toEqual({ items: [], total: 0 });
});
