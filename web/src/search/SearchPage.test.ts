// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test } from 'vitest';
import { answering } from '../server/answers.test-kit';
import type { Hit } from '../wire/Hit';
import SearchPage from './SearchPage.svelte';

const owner = (id: string, words: string): Hit => ({ kind: 'owner', id, job_id: null, words, within: [] });

test('what stands further back is looked for when asked, and added', async () => {
  const user = userEvent.setup();
  const asked = answering(({ path }) =>
    path.includes('from=70')
      ? { body: { hits: [owner('b', 'Bo Lind')], next: null } }
      : { body: { hits: [owner('a', 'Ada Berg')], next: 70 } },
  );
  render(SearchPage, { text: 'mill lane' });
  expect(await screen.findByText('Ada Berg')).toBeInTheDocument();
  await user.click(screen.getByRole('button', { name: 'Look further back' }));
  expect(await screen.findByText('Bo Lind')).toBeInTheDocument();
  expect(screen.getByText('Ada Berg')).toBeInTheDocument();
  expect(screen.getByText(/^2 found, /)).toBeInTheDocument();
  expect(screen.queryByRole('button', { name: 'Look further back' })).toBeNull();
  expect(asked).toHaveLength(2);
});

test('that nothing was found is said only where all was looked at', async () => {
  const user = userEvent.setup();
  answering(({ path }) => ({ body: { hits: [], next: path.includes('from=') ? null : 70 } }));
  render(SearchPage, { text: 'pickup full' });
  await user.click(await screen.findByRole('button', { name: 'Look further back' }));
  expect(await screen.findByText('Nothing found.')).toBeInTheDocument();
});
