import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import { expect, test } from 'vitest';
import { answering } from '../server/answers.test-kit';
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

test('what an archive would add is shown before anything is written', async () => {
  const asked = answering(() => ({ body: brought }));
  render(ArchiveCard);
  const file = await choose('Read an archive in', 'job-7.zip');
  expect(await screen.findByText(/would add: 2 owners, 1 job\./)).toBeInTheDocument();
  expect(screen.getByText(/Here already: 1 watch/)).toBeInTheDocument();
  expect(screen.getByText(/stay as they are here: tolerance/)).toBeInTheDocument();
  expect(asked.map(({ path }) => path)).toEqual(['/archive?dry_run=true&new_numbers=false']);
  expect(asked[0]?.body).toBe(file);
  await fireEvent.click(screen.getByRole('button', { name: 'Add it' }));
  await waitFor(() => expect(asked.at(-1)?.path).toBe('/archive?new_numbers=false'));
  await waitFor(() => expect(screen.queryByText(/would add/)).toBeNull());
});

test('what is refused says so and writes nothing; a number that is taken can be exchanged', async () => {
  const asked = answering(({ path }) =>
    path.includes('new_numbers=true')
      ? { body: brought }
      : { status: 409, body: { error: { code: 'number_taken', message: 'The job 7 is taken.' } } },
  );
  render(ArchiveCard);
  await choose('Read an archive in', 'job-7.zip');
  expect(await screen.findByText('The job 7 is taken.')).toBeInTheDocument();
  expect(screen.queryByRole('button', { name: 'Add it' })).toBeNull();
  await fireEvent.click(screen.getByRole('button', { name: 'Give it a new number' }));
  await fireEvent.click(await screen.findByRole('button', { name: 'Add it' }));
  await waitFor(() => expect(asked.at(-1)?.path).toBe('/archive?new_numbers=true'));
});

test('an archive that brings nothing cannot be added', async () => {
  answering(() => ({ body: { ...brought, added: [] } }));
  render(ArchiveCard);
  await choose('Read an archive in', 'again.zip');
  expect(await screen.findByText(/would add: nothing/)).toBeInTheDocument();
  expect(screen.getByRole('button', { name: 'Add it' })).toBeDisabled();
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
