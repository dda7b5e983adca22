// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test } from 'vitest';
import { answering } from '../server/answers.test-kit';
import { handleKey } from '../shell/shortcuts.svelte';
import type { JobSummary } from '../wire/JobSummary';
import JobsPage from './JobsPage.svelte';

const job = (number: number, words: Partial<JobSummary>): JobSummary => ({
  id: `j${number}`,
  version: 1,
  number,
  watch_description: 'a watch',
  owner_name: null,
  stage: 'intake',
  due_date: null,
  handed_over: false,
  changed_at: '2026-03-01T10:00:00Z',
  ...words,
});

test('without a job the page says how to begin', async () => {
  answering(() => ({ body: { jobs: [], total: 0 } }));
  render(JobsPage);
  expect(await screen.findByText('No job yet.')).toBeInTheDocument();
  const begin = screen.getByRole('link', { name: 'Take in the first watch' });
  expect(begin).toHaveAttribute('href', '#/jobs/new');
});

test('a job that is late says so, one that went back does not', async () => {
  const jobs = [
    job(1, { due_date: '2020-01-01' }),
    job(2, { due_date: '2020-01-01', handed_over: true }),
  ];
  answering(() => ({ body: { jobs, total: 2 } }));
  render(JobsPage);
  const [late, back] = await screen.findAllByRole('link', { name: /a watch/ });
  expect(late).toHaveTextContent(/days late/);
  expect(back).not.toHaveTextContent(/late/);
});

test('text of a record is shown as text, whatever it holds', async () => {
  const watch_description = '<img src=x onerror=alert(1)>';
  answering(() => ({ body: { jobs: [job(1, { watch_description })], total: 1 } }));
  const { container } = render(JobsPage);
  expect(await screen.findByText(watch_description)).toBeInTheDocument();
  expect(container.querySelector('img')).toBeNull();
});

test('/ leads to the search box, and what is typed is searched for', async () => {
  const user = userEvent.setup();
  const asked = answering(() => ({ body: { jobs: [], total: 0 } }));
  render(JobsPage);
  await screen.findByText('No job yet.');
  document.addEventListener('keydown', handleKey);
  await fireEvent.keyDown(document.body, { key: '/' });
  document.removeEventListener('keydown', handleKey);
  const box = screen.getByRole('searchbox');
  expect(box).toHaveFocus();
  await user.type(box, 'lever');
  await waitFor(() => expect(asked.at(-1)?.path).toBe('/jobs?search=lever&page=0'));
});

test('what is asked for of the list is remembered on this device', async () => {
  const asked = answering(() => ({ body: { jobs: [job(1, {})], total: 1 } }));
  const { unmount } = render(JobsPage);
  await fireEvent.click(await screen.findByRole('checkbox', { name: 'Only those still here' }));
  await fireEvent.click(screen.getByRole('checkbox', { name: 'Due first' }));
  await waitFor(() => expect(asked.at(-1)?.path).toBe('/jobs?open=true&due_first=true&page=0'));
  unmount();
  render(JobsPage);
  expect(await screen.findByRole('checkbox', { name: 'Due first' })).toBeChecked();
});
