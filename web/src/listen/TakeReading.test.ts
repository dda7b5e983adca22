// @vitest-environment jsdom

import { fireEvent, render, screen } from '@testing-library/svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { answering, type Asked } from '../server/answers.test-kit';
import { handleKey } from '../shell/shortcuts.svelte';
import { live } from './live.svelte';
import TakeReading from './TakeReading.svelte';

const key = (name: string) => fireEvent.keyDown(document.body, { key: name });
let asked: Asked[];

beforeEach(() => {
  document.addEventListener('keydown', handleKey);
  asked = answering(() => ({ status: 204 }));
  live.id = 'l1';
});
afterEach(() => {
  document.removeEventListener('keydown', handleKey);
  live.leave();
});

const props = { jobId: 'j1', taking: null, readings: [], usualSeconds: 40 };

test('one key chooses the position, another the wind, Enter takes the reading', async () => {
  render(TakeReading, { props });
  await key('4');
  expect(screen.getByRole('radio', { name: /3H/ })).toBeChecked();
  await key('8');
  await key('Enter');
  expect(asked).toEqual([
    {
      method: 'POST',
      path: '/live/l1/reading',
      body: {
        job_id: 'j1',
        position: '3H',
        wind: 'after 24 h',
        seconds: 40,
        until_sd_s_per_d: null,
        note: '',
      },
    },
  ]);
});

test('the six stand in front; half-way positions take one key, or a tap on more', async () => {
  render(TakeReading, { props });
  expect(screen.getAllByRole('radio', { name: /H/ })).toHaveLength(6);
  await fireEvent.click(screen.getByRole('button', { name: /More positions/ }));
  await fireEvent.click(screen.getByRole('radio', { name: /^4:30H/ }));
  expect(screen.getByRole('radio', { name: /^4:30H/ })).toBeChecked();
  await key('d');
  await key('Enter');
  expect(asked[0]?.body).toMatchObject({ position: '10:30H', wind: 'full wind' });
});

const taking = {
  job_id: 'j1',
  position: 'CH' as const,
  wind: 'full wind',
  elapsed_s: 10,
  seconds: 40,
  until_sd_s_per_d: null,
  sd_s_per_d: 0.31,
};

test('while a reading is taken keys change nothing, and escape throws nothing away', async () => {
  render(TakeReading, { props: { ...props, taking } });
  expect(screen.getByRole('progressbar')).toHaveAttribute('value', '0.25');
  expect(screen.getByText(/± 0.31 s\/d now/)).toBeInTheDocument();
  await key('Enter');
  await key('3');
  expect(asked).toEqual([]);
  await key('Escape');
  await fireEvent.click(screen.getByRole('button', { name: 'Go on reading' }));
  expect(screen.queryByRole('dialog')).toBeNull();
  expect(asked).toEqual([]);
});

test('how a reading ends early is asked: kept as far as it is, or thrown away', async () => {
  render(TakeReading, { props: { ...props, taking } });
  await key('Escape');
  await fireEvent.click(screen.getByRole('button', { name: 'Keep what there is' }));
  await fireEvent.click(screen.getByRole('button', { name: /Cancel/ }));
  await fireEvent.click(screen.getByRole('button', { name: 'Throw it away' }));
  expect(asked.map(({ method, path }) => `${method} ${path}`)).toEqual([
    'DELETE /live/l1/reading?keep=true',
    'DELETE /live/l1/reading',
  ]);
});

test('a reading that is done while one thinks it over asks no more', async () => {
  const { rerender } = render(TakeReading, { props: { ...props, taking } });
  await key('Escape');
  expect(screen.getByRole('dialog')).toBeInTheDocument();
  await rerender({ taking: null });
  expect(screen.queryByRole('dialog')).toBeNull();
});
