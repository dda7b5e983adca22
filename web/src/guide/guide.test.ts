// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import { expect, test } from 'vitest';
import { addressOf, anchor, chapterHtml, chapters as chaptersOf, pictureMark } from '../../guide-pages';
import { read } from '../shell/router.svelte';
import { chapters, textOf } from './chapters';
import GuidePage from './GuidePage.svelte';
import { helpOn } from './help-on';

test('links between chapters stay in the page, others stay as they are', () => {
  expect(addressOf('clock.md', 'numbers')).toBe('#/guide/clock');
  expect(addressOf('clock.md#by-hand', 'numbers')).toBe('#/guide/clock/by-hand');
  expect(addressOf('#the-end', 'rebuilding')).toBe('#/guide/rebuilding/the-end');
  expect(addressOf('https://example.org/a.md', 'numbers')).toBe('https://example.org/a.md');
});

test('a chapter becomes HTML: headings can be led to, pictures wait for their address, text is text', () => {
  const { html, pictures } = chapterHtml(
    '# A & B\n\n## If *you* know it\n\n![A "good" one](pictures/a.png)\n\n```sh\na < b\n```\n\n| x |\n|---|\n| [y](z.md) |\n',
    'one',
  );
  expect(html).toContain('<h2 id="if-you-know-it">If <em>you</em> know it</h2>');
  expect(html).toContain(`<img src="${pictureMark(0)}" alt="A &quot;good&quot; one"`);
  expect(pictures).toEqual(['pictures/a.png']);
  expect(html).toContain('a &lt; b');
  expect(html).toContain('<td><a href="#/guide/z">y</a></td>');
});

// Examples of mdBook's own guide, "Markdown", and of the headings of this one.
test('anchors are those of the book', () => {
  expect(anchor("How the recorder's clock is checked")).toBe('how-the-recorders-clock-is-checked');
  expect(anchor('Two balances')).toBe('two-balances');
});

test('the list of chapters is read in its order', () => {
  expect(chaptersOf('# T\n\n- [One, first](one.md)\n- [Two](two-2.md)\n')).toEqual([
    { name: 'one', title: 'One, first' },
    { name: 'two-2', title: 'Two' },
  ]);
});

test('every chapter that is listed is there, and help leads to one of them', async () => {
  expect(chapters.length).toBeGreaterThan(10);
  for (const { name } of chapters) expect(await textOf(name), name).toMatch(/^<h1 id="/);
  const names = chapters.map(({ name }) => name);
  for (const page of ['jobs', 'listen', 'take-down', 'rebuild', 'regulate', 'trial', 'settings', 'reading'] as const) {
    const route = read(helpOn(page));
    expect(route.page).toBe('guide');
    if (route.page === 'guide') expect(names).toContain(route.chapter);
  }
});

test('a chapter is shown with the way on, and one that is not there says so', async () => {
  const [first, second] = chapters;
  const { unmount } = render(GuidePage, { chapter: first!.name, place: '' });
  expect(await screen.findByRole('heading', { level: 1, name: first!.title })).toBeVisible();
  expect(screen.getByRole('link', { name: `${second!.title} →` })).toHaveAttribute('href', `#/guide/${second!.name}`);
  unmount();
  render(GuidePage, { chapter: 'gone', place: '' });
  expect(await screen.findByText(/has no chapter “gone”/)).toBeVisible();
});
