// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor, within } from '@testing-library/svelte';
import { expect, test, vi } from 'vitest';
import { answering, type Asked } from '../server/answers.test-kit';
import { handleKey } from '../shell/shortcuts.svelte';
import type { PaperList } from '../wire/PaperList';
import PapersPage from './PapersPage.svelte';
import { fileSize } from './words';

const list: PaperList = {
  most_photos: 2,
  papers: [
    {
      kind: 'receipt',
      title: 'Receipt',
      holds: ['Why it came in', 'Received'],
      missing: ['The watch has no owner: the paper names nobody.'],
      photos: ['p1'],
    },
    { kind: 'estimate', title: 'Estimate', holds: [], missing: [], photos: null },
    { kind: 'report', title: 'Service report', holds: ['How it runs'], missing: [], photos: ['p1', 'p2'] },
  ],
};
const photo = (id: string) => ({
  id,
  version: 1,
  job_id: 'j1',
  media: `m-${id}`,
  caption: `caption ${id}`,
  width: 4,
  height: 3,
  taken_at: '2026-03-01T10:00:00Z',
});
const photos = { photos: ['p1', 'p2', 'p3'].map(photo), total: 3 };
const made = { pages: 3, bytes: 214_000, file_name: 'Service report, job 7.pdf', warnings: [] as string[] };

function server(check: (asked: Asked) => ReturnType<Parameters<typeof answering>[0]>) {
  return answering((asked) => {
    if (asked.path === '/jobs/j1/papers') return { body: list };
    if (asked.path.startsWith('/jobs/j1/photos')) return { body: photos };
    if (asked.path === '/settings/papers') {
      return { body: { name: 'Three Pigeons', address: '', paper: 'a4', sign: null } };
    }
    if (asked.path.includes('/check')) return check(asked);
    if (asked.path.endsWith('/progress')) return { body: { words: null, share: null } };
    return undefined;
  });
}

const card = async (name: string) => within(await screen.findByRole('region', { name }));

test('each paper says what it holds and what is missing for it', async () => {
  server(() => undefined);
  render(PapersPage, { id: 'j1' });
  const receipt = await card('Receipt');
  expect(receipt.getByText(/Why it came in · Received/)).toBeInTheDocument();
  expect(receipt.getByText('The watch has no owner: the paper names nobody.')).toBeInTheDocument();
  const estimate = await card('Estimate');
  expect(estimate.getByText(/nothing to say on it yet/)).toBeInTheDocument();
  expect(estimate.queryByText('Not on it yet')).toBeNull();
  expect(estimate.queryByText(/^Photos/)).toBeNull();
  expect(await screen.findByText(/Under the head of Three Pigeons/)).toBeInTheDocument();
});

test('what every paper lacks is said once', async () => {
  const noName = 'Your workshop has no name yet: give it one under Settings, Your papers.';
  const papers = list.papers.map((paper) => ({ ...paper, missing: [noName, ...paper.missing] }));
  answering(({ path }) => {
    if (path === '/jobs/j1/papers') return { body: { ...list, papers } };
    return path.startsWith('/jobs/j1/photos') ? { body: photos } : undefined;
  });
  render(PapersPage, { id: 'j1' });
  const receipt = await card('Receipt');
  expect(screen.getAllByText(noName)).toHaveLength(1);
  expect(receipt.queryByText(noName)).toBeNull();
  expect(receipt.getByText('The watch has no owner: the paper names nobody.')).toBeInTheDocument();
});

test('what is wished is what is made, and what is opened is that', async () => {
  const asked = server(() => ({ body: { ...made, warnings: ['A mark stands for 李.'] } }));
  render(PapersPage, { id: 'j1' });
  const report = await card('Service report');
  await fireEvent.click(report.getByRole('checkbox', { name: /colleague/ }));
  await waitFor(() => expect(report.getByText('Photos: 2 of 3 photos')).toBeInTheDocument());
  await fireEvent.click(report.getByRole('checkbox', { name: 'caption p1' }));
  await fireEvent.click(report.getByRole('button', { name: /Make the service report/ }));
  const wish = 'colleague=false&drawings=true&photos=p2';
  await waitFor(() => expect(asked.some(({ path }) => path === `/jobs/j1/papers/report/check?${wish}`)).toBe(true));
  expect(await report.findByText(/3 pages, 214 kB/)).toBeInTheDocument();
  expect(report.getByText('A mark stands for 李.')).toBeInTheDocument();
  const open = report.getByRole('link', { name: 'Open to print' });
  expect(open).toHaveAttribute('href', `/api/v1/jobs/j1/papers/report.pdf?${wish}`);
  expect(report.getByRole('link', { name: 'Save PDF' })).toHaveAttribute('download', made.file_name);
  // Wished otherwise, what was made is none of it any more.
  await fireEvent.click(report.getByRole('checkbox', { name: /Drawings/ }));
  expect(report.queryByRole('link', { name: 'Save PDF' })).toBeNull();
});

test('no more photos are chosen than a paper shows', async () => {
  server(() => undefined);
  render(PapersPage, { id: 'j1' });
  const report = await card('Service report');
  const third = await report.findByRole('checkbox', { name: 'caption p3' });
  expect(third).toBeDisabled();
  await fireEvent.click(report.getByRole('checkbox', { name: 'caption p2' }));
  expect(third).toBeEnabled();
  await fireEvent.click(report.getByRole('button', { name: 'None' }));
  expect(report.getByText('Photos: 0 of 3 photos')).toBeInTheDocument();
});

test('a refusal is told, and a key makes a paper', async () => {
  server(() => ({ status: 422, body: { error: { code: 'invalid', message: 'At most 60 photos.' } } }));
  render(PapersPage, { id: 'j1' });
  await card('Receipt');
  document.addEventListener('keydown', handleKey);
  await fireEvent.keyDown(document.body, { key: '2' });
  document.removeEventListener('keydown', handleKey);
  const estimate = await card('Estimate');
  expect(await estimate.findByRole('alert')).toHaveTextContent('At most 60 photos.');
});

test('what takes long says how far it is, and can be stopped', async () => {
  vi.useFakeTimers({ shouldAdvanceTime: true });
  let stopped = false;
  const lists = { '/jobs/j1/papers': list, '/settings/papers': { name: '', address: '', paper: 'a4', sign: null } };
  vi.stubGlobal('fetch', async (address: string, init: RequestInit = {}) => {
    const path = address.replace('/api/v1', '');
    if (path.includes('/check')) {
      return new Promise((_, reject) => {
        init.signal?.addEventListener('abort', () => {
          stopped = true;
          reject(new DOMException('', 'AbortError'));
        });
      });
    }
    if (path === '/jobs/j1') return new Response('', { status: 404 });
    const body = path.endsWith('/progress')
      ? { words: 'fitting photos to the page: 1 of 4', share: 0.25 }
      : (lists[path as keyof typeof lists] ?? photos);
    return new Response(JSON.stringify(body));
  });
  render(PapersPage, { id: 'j1' });
  const report = await card('Service report');
  await fireEvent.click(report.getByRole('button', { name: /Make the service report/ }));
  await vi.advanceTimersByTimeAsync(1000);
  expect(report.getByText(/fitting photos to the page: 1 of 4/)).toBeInTheDocument();
  expect(report.getByRole('progressbar')).toHaveValue(0.25);
  await fireEvent.click(report.getByRole('button', { name: 'Stop' }));
  expect(stopped).toBe(true);
  expect(report.getByRole('button', { name: /Make the service report/ })).toBeInTheDocument();
  vi.useRealTimers();
});

test('sizes are told in powers of 1000', () => {
  expect([999, 1000, 999_499, 999_500, 2_340_000].map(fileSize)).toEqual([
    '999 B',
    '1 kB',
    '999 kB',
    '1.0 MB',
    '2.3 MB',
  ]);
});
