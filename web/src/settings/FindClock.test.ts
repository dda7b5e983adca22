// @vitest-environment jsdom

import { fireEvent, render, screen, waitFor } from '@testing-library/svelte';
import { afterEach, expect, test, vi } from 'vitest';
import { live } from '../listen/live.svelte';
import { answering } from '../server/answers.test-kit';
import type { LiveState } from '../wire/LiveState';
import FindClock from './FindClock.svelte';

const state: LiveState = {
  id: 'l1',
  source: { kind: 'device', name: 'pickup' },
  settings: { lift_angles_deg: [], beats_per_hour: [], balances: null },
  device: 'hw:1',
  job_id: null,
  elapsed_s: 1,
  waiting: null,
  taking: null,
  quartz: null,
  clock: null,
};

class NoSocket {
  close() {}
  addEventListener() {}
}

afterEach(() => live.leave());

function listening() {
  vi.stubGlobal('WebSocket', NoSocket);
  return answering(({ method, path }) => {
    if (path === '/live') return { body: method === 'GET' ? { live: [] } : { id: 'l1' } };
    return { status: 204 };
  });
}

test('the device is heard for it, and not any more when it is closed', async () => {
  const asked = listening();
  const { unmount } = render(FindClock, { props: { device: 'pickup', onclose: () => undefined } });
  await waitFor(() => expect(live.id).toBe('l1'));
  live.state = state;
  await fireEvent.click(await screen.findByRole('button', { name: 'Listen to the quartz' }));
  expect(asked.at(-1)).toMatchObject({
    method: 'POST',
    path: '/live/l1/quartz',
    body: { seconds: 120, period_s: 1 },
  });
  unmount();
  await waitFor(() => expect(asked.at(-1)).toMatchObject({ method: 'DELETE', path: '/live/l1' }));
});

test('a quartz that is being listened to is not ended by looking away', async () => {
  const asked = listening();
  const { unmount } = render(FindClock, { props: { device: 'pickup', onclose: () => undefined } });
  await waitFor(() => expect(live.id).toBe('l1'));
  live.state = { ...state, quartz: { elapsed_s: 30, seconds: 120 } };
  expect(await screen.findByRole('progressbar')).toHaveAttribute('value', '0.25');
  expect(screen.queryByRole('button', { name: 'Close' })).toBeNull();
  unmount();
  await new Promise((resolve) => setTimeout(resolve));
  expect(asked.filter(({ method }) => method === 'DELETE')).toEqual([]);
});
