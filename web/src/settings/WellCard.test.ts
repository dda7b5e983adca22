// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test, vi } from 'vitest';
import { answering } from '../server/answers.test-kit';
import WellCard from './WellCard.svelte';

const line = (code: string, state: string) => ({
  code,
  about: code,
  state,
  sentence: `what is said of ${code}`,
});

test('what is wrong stands first, and nothing is asked before somebody wants to know', async () => {
  const lines = [line('program', 'ok'), line('backup', 'look'), line('folder', 'broken')];
  const asked = answering(({ path }) =>
    path === '/health' ? { body: { worst: 'broken', lines } } : undefined,
  );
  render(WellCard);
  expect(asked).toEqual([]);
  await userEvent.click(screen.getByRole('button', { name: 'Look now' }));
  expect(await screen.findByText('1 broken, 1 to look at.')).toBeTruthy();
  const items = screen.getAllByRole('listitem').map((item) => item.textContent);
  expect(items[0]).toContain('what is said of backup');
  expect(items[1]).toContain('broken');
  expect(screen.getByText('1 that are ok')).toBeTruthy();
  expect(screen.getByRole('button', { name: 'Look again' })).toBeTruthy();
  vi.unstubAllGlobals();
});

test('where it cannot be looked, that is said and can be tried again', async () => {
  answering(() => 'nobody');
  render(WellCard);
  await userEvent.click(screen.getByRole('button', { name: 'Look now' }));
  expect(await screen.findByRole('button', { name: /again/i })).toBeTruthy();
  vi.unstubAllGlobals();
});
