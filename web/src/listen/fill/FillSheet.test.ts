// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import { tick } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { answering, type Asked } from '../../server/answers.test-kit';
import { handleKey } from '../../shell/shortcuts.svelte';
import type { LiveReading } from '../../wire/LiveReading';
import type { LiveState } from '../../wire/LiveState';
import { live } from '../live.svelte';
import FillSheet from './FillSheet.svelte';
import { filling } from './filling.svelte';

const key = (name: string) => fireEvent.keyDown(document.body, { key: name });
let asked: Asked[];
const posted = () => asked.map(({ method, path }) => `${method} ${path}`);

beforeEach(() => {
  document.addEventListener('keydown', handleKey);
  asked = answering(({ method }) => (method === 'GET' ? { body: { readings: [], total: 0 } } : { status: 204 }));
  live.id = 'l1';
  live.online = true;
  live.failure = '';
  live.kept = null;
});
afterEach(() => {
  document.removeEventListener('keydown', handleKey);
  filling.end();
  live.leave();
});

const props = { jobId: 'j1', readings: [], balances: null };
const settings = { lift_angles_deg: [], beats_per_hour: [], balances: null };
const state = (taking: LiveState['taking']): LiveState => ({
  id: 'l1',
  source: { kind: 'device', name: 'd' },
  device: 'd',
  settings,
  job_id: 'j1',
  elapsed_s: 0,
  waiting: null,
  taking,
  quartz: null,
  clock: null,
});

let now_s = 0;
/** So many seconds of the level meter. */
async function level(seconds: number, peak: number) {
  for (let frame = 0; frame < seconds * 10; frame++) {
    now_s += 0.1;
    live.level = { elapsed_s: now_s, peak_dbfs: [peak], rms_dbfs: [peak], clipped_samples: 0, lost_samples: 0, hint: null };
    await tick();
  }
}
async function heard() {
  const numbers = { label: 'A', rate_s_per_d: { value: 3, sd: 1 } };
  const reading = { duration_s: 3, from_s: now_s, balances: [{ numbers }], relation: null, relation_words: null, warnings: [], clock_words: '' };
  live.reading = reading as unknown as LiveReading;
  await tick();
}

test('hands free: turned, left alone, read, kept, and the next is called', async () => {
  render(FillSheet, { props });
  await key('Enter');
  expect(screen.getByRole('status')).toHaveTextContent('CH dial up');
  await level(6, -20);
  await level(3, -3);
  expect(asked).toEqual([]);
  await level(6, -24);
  // What was heard while hands were at it is forgotten, as often as that is.
  await waitFor(() => expect(new Set(posted())).toEqual(new Set(['POST /live/l1/anew'])));
  await heard();
  await waitFor(() => expect(posted().filter((one) => one.endsWith('/reading'))).toHaveLength(1));
  expect(asked.at(-1)?.body).toEqual({
    job_id: 'j1',
    position: 'CH',
    wind: 'full wind',
    seconds: 60,
    until_sd_s_per_d: 0.2,
    note: '',
  });
  live.state = state({ job_id: 'j1', position: 'CH', wind: 'full wind', elapsed_s: 1, seconds: 60, until_sd_s_per_d: 0.2, sd_s_per_d: null });
  await tick();
  live.kept = 'r1';
  await tick();
  expect(screen.getByRole('status')).toHaveTextContent('FH dial down');
});

test('a line that is cut pauses the run and says so; going on calls again', async () => {
  render(FillSheet, { props });
  await key('Enter');
  live.online = false;
  await tick();
  expect(screen.getByRole('alert')).toHaveTextContent('The line to the program was down');
  live.online = true;
  await tick();
  expect(screen.getByRole('alert')).toBeInTheDocument();
  await key('p');
  await waitFor(() => expect(screen.queryByRole('alert')).toBeNull());
  expect(screen.getByRole('status')).toHaveTextContent('CH dial up');
});

test('keys pause, skip and go back; whoever looks elsewhere finds the run paused', async () => {
  const { unmount } = render(FillSheet, { props });
  await key('Enter');
  await key('k');
  expect(screen.getByRole('status')).toHaveTextContent('FH dial down');
  await key('r');
  expect(screen.getByRole('status')).toHaveTextContent('CH dial up');
  await key('p');
  expect(screen.getByRole('alert')).toHaveTextContent('Paused.');
  await key('p');
  await waitFor(() => expect(screen.queryByRole('alert')).toBeNull());
  unmount();
  render(FillSheet, { props });
  expect(screen.getByRole('alert')).toHaveTextContent('Paused.');
});

test('one press chooses the eight upright positions', async () => {
  render(FillSheet, { props });
  expect(screen.queryByRole('button', { name: /^1:30H/ })).toBeNull();
  await fireEvent.click(screen.getByRole('button', { name: 'Eight upright' }));
  expect(screen.getByRole('button', { name: /^1:30H.*number 2/ })).toBeInTheDocument();
  await key('Enter');
  await key('k');
  expect(screen.getByRole('status')).toHaveTextContent('1:30H 1:30 up');
});

test('the order is chosen by pressing positions, and what is left out is not called', async () => {
  render(FillSheet, { props });
  await fireEvent.click(screen.getByRole('button', { name: 'None' }));
  await key('Enter');
  expect(screen.getByRole('alert')).toHaveTextContent('Choose a position');
  await fireEvent.click(screen.getByRole('button', { name: /^6H/ }));
  await fireEvent.click(screen.getByRole('button', { name: /^CH/ }));
  expect(screen.getByText(/6H 6 up → CH dial up/)).toBeInTheDocument();
  await key('Enter');
  expect(screen.getByRole('status')).toHaveTextContent('6H 6 up');
  await key('k');
  await key('k');
  expect(screen.getByRole('status')).toHaveTextContent('The sheet is filled.');
});
