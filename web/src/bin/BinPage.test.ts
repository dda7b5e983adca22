// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import { expect, test } from 'vitest';
import { answering } from '../server/answers.test-kit';
import BinPage from './BinPage.svelte';

const entry = (n: number) => ({
  kind: 'part',
  id: `p${n}`,
  words: `part ${n}`,
  deleted_at: '2026-03-01T10:00:00Z',
});

test('what lies behind the first page can be reached', async () => {
  answering(({ path }) => {
    const page = Number(new URLSearchParams(path.split('?')[1]).get('page'));
    return { body: { entries: [entry(page)], total: 2 } };
  });
  render(BinPage);
  expect(await screen.findByText('part 0')).toBeInTheDocument();
  expect(screen.getByText('1 of 2 records')).toBeInTheDocument();
  await fireEvent.click(screen.getByRole('button', { name: 'Show more' }));
  expect(await screen.findByText('part 1')).toBeInTheDocument();
  expect(screen.queryByRole('button', { name: 'Show more' })).toBeNull();
});

test('the bin is emptied only after it was asked, of as much as was chosen', async () => {
  const asked = answering(({ method }) =>
    method === 'DELETE' ? { body: { records: 3 } } : { body: { entries: [entry(1)], total: 1 } },
  );
  render(BinPage);
  await fireEvent.click(await screen.findByRole('button', { name: 'Empty the bin…' }));
  expect(asked.some(({ method }) => method === 'DELETE')).toBe(false);
  await fireEvent.click(screen.getByRole('button', { name: /30 days ago or earlier/ }));
  await waitFor(() =>
    expect(asked).toContainEqual({ method: 'DELETE', path: '/bin?days=30', body: undefined }),
  );
});
