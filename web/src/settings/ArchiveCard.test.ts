// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import { expect, test, vi } from 'vitest';
import { answering, type Asked } from '../server/answers.test-kit';
import type { ArchiveBrought } from '../wire/ArchiveBrought';
import type { PaperRecords } from '../wire/PaperRecords';
import ArchiveCard from './ArchiveCard.svelte';
import { counted } from './archive-words';
import PaperCard from './PaperCard.svelte';

const brought: ArchiveBrought = {
  added: [
    { what: 'sound_files', count: 3 },
    { what: 'job', count: 1 },
    { what: 'owner', count: 2 },
  ],
  there: [{ what: 'watch', count: 1 }],
  kept_settings: ['tolerance'],
  own_problems: [{ line: 3, words: 'there is no family “odd”.' }],
  renumbered: [],
};

const taken: PaperRecords = { visits: 3, watches: 2, owners: 1, there: 0, removed: 0, bad: [] };

const choose = async (label: string, name: string) => {
  const file = new File(['content'], name);
  await fireEvent.change(screen.getByLabelText(label), { target: { files: [file] } });
  return file;
};

test('what an archive holds is said in the order in which one thinks of it', () => {
  expect(counted(brought.added)).toBe('2 owners, 1 job');
  expect(counted([])).toBe('nothing');
});

/** What was asked, without ids, which are made anew. */
const paths = (asked: Asked[]) => asked.map(({ method, path }) => `${method} ${path.replace(/[0-9a-f-]{36}/, 'ID')}`);

const inHand = (look: (asked: Asked) => ReturnType<Parameters<typeof answering>[0]>) =>
  answering((one) => (one.path.includes('/look') ? look(one) : one.path.includes('/add') ? { body: brought } : { status: 204 }));

test('an archive is sent once, and what it would add is shown before anything is written', async () => {
  const asked = inHand(() => ({ body: brought }));
  render(ArchiveCard);
  const file = await choose('Read an archive in', 'job-7.zip');
  expect(await screen.findByText(/would add: 2 owners, 1 job\./)).toBeInTheDocument();
  expect(screen.getByText(/Here already: 1 watch/)).toBeInTheDocument();
  expect(screen.getByText(/stay as they are here: tolerance/)).toBeInTheDocument();
  expect(screen.getByText('Line 3: there is no family “odd”.')).toBeInTheDocument();
  const sent = ['PUT /archive/sent/ID', 'POST /archive/sent/ID/look?new_numbers=false'];
  expect(paths(asked)).toEqual(sent);
  expect(asked[0]?.body).toBe(file);
  await fireEvent.click(screen.getByRole('button', { name: 'Add it' }));
  await waitFor(() => expect(screen.queryByText(/would add/)).toBeNull());
  expect(paths(asked)).toEqual([...sent, 'POST /archive/sent/ID/add?new_numbers=false']);
});

test('what is refused says so and writes nothing; a number that is taken can be exchanged', async () => {
  const asked = inHand(({ path }) =>
    path.includes('new_numbers=true')
      ? { body: brought }
      : { status: 409, body: { error: { code: 'number_taken', message: 'The job 7 is taken.' } } },
  );
  render(ArchiveCard);
  await choose('Read an archive in', 'job-7.zip');
  expect(await screen.findByText(/The job 7 is taken\./)).toBeInTheDocument();
  expect(screen.queryByRole('button', { name: 'Add it' })).toBeNull();
  await fireEvent.click(screen.getByRole('button', { name: 'Give it a new number' }));
  await fireEvent.click(await screen.findByRole('button', { name: 'Add it' }));
  await waitFor(() => expect(paths(asked).at(-1)).toBe('POST /archive/sent/ID/add?new_numbers=true'));
  expect(paths(asked).filter((path) => path.startsWith('PUT'))).toHaveLength(1);
});

test('an archive that brings nothing cannot be added, and is left', async () => {
  const asked = inHand(() => ({ body: { ...brought, added: [] } }));
  render(ArchiveCard);
  await choose('Read an archive in', 'again.zip');
  expect(await screen.findByText(/would add: nothing/)).toBeInTheDocument();
  expect(screen.getByRole('button', { name: 'Add it' })).toBeDisabled();
  await fireEvent.click(screen.getByRole('button', { name: 'Leave it' }));
  await waitFor(() => expect(paths(asked).at(-1)).toBe('DELETE /archive/hand/ID'));
});

test('what is being added tells how far it is, and can be stopped', async () => {
  let stop = (_: Response) => {};
  const asked = inHand(() => ({ body: brought }));
  const before = globalThis.fetch;
  vi.stubGlobal('fetch', async (path: string, init: RequestInit = {}) => {
    const answer = await before(path, init);
    if (path.includes('/add')) return new Promise<Response>((give) => (stop = give));
    if (init.method === 'GET') return new Response(JSON.stringify({ words: 'adding it', share: 0.4 }));
    if (init.method === 'DELETE') {
      const body = { error: { code: 'not_now', message: 'It was stopped: nothing was changed.' } };
      stop(new Response(JSON.stringify(body), { status: 409 }));
    }
    return answer;
  });
  render(ArchiveCard);
  await choose('Read an archive in', 'job-7.zip');
  await fireEvent.click(await screen.findByRole('button', { name: 'Add it' }));
  await waitFor(() => expect(screen.getByRole('progressbar')).toHaveValue(0.4));
  await fireEvent.click(screen.getByRole('button', { name: 'Stop' }));
  expect(await screen.findByText('Stopped. Nothing was added.')).toBeInTheDocument();
  expect(screen.queryByRole('progressbar')).toBeNull();
  expect(paths(asked)).toContain('DELETE /archive/hand/ID');
});

test('everything is written, and then fetched', async () => {
  const asked = answering(() => ({ body: { file_name: 'endshake-workshop.zip' } }));
  render(ArchiveCard);
  await fireEvent.click(screen.getByRole('button', { name: 'Everything out' }));
  const link = await screen.findByRole('link', { name: 'endshake-workshop.zip' });
  expect(link.getAttribute('href')).toMatch(/^\/api\/v1\/archive\/made\/[0-9a-f-]{36}$/);
  expect(paths(asked)[0]).toBe('PUT /archive/made/ID');
});

test('bad rows of a table are told with their lines, and nothing can be added', async () => {
  const bad = [{ line: 7, message: 'in is empty: give the day on which the watch came in.' }];
  const asked = answering(() => ({ body: { ...taken, visits: 0, bad } }));
  render(PaperCard);
  await choose('Choose a table', 'book.csv');
  expect(await screen.findByText(/Line 7: in is empty/)).toBeInTheDocument();
  expect(screen.queryByRole('button', { name: 'Add them' })).toBeNull();
  expect(asked).toHaveLength(1);
});

test('a good table is added after it was looked at', async () => {
  const asked = answering(() => ({ body: taken }));
  render(PaperCard);
  await choose('Choose a table', 'book.csv');
  expect(await screen.findByText(/would add: 3 visits, 2 watches, 1 owner\./)).toBeInTheDocument();
  await fireEvent.click(screen.getByRole('button', { name: 'Add them' }));
  await waitFor(() =>
    expect(asked.map(({ path }) => path)).toEqual(['/paper-records?dry_run=true', '/paper-records']),
  );
});
