// What others change, as the server tells it, so that an open page fetches again what it shows.

import type { ChangeEvent } from '../wire/ChangeEvent';
import { BASE } from './request';

type Listener = (change: ChangeEvent | 'all') => void;

const listeners = new Set<Listener>();
let source: EventSource | null = null;

class Connection {
  /** Whether the server answers, as far as is known. */
  open = $state(true);
}

export const connection = new Connection();

/** Calls `listener` for each change, and with 'all' when some may have been missed. */
export function onChange(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function tell(change: ChangeEvent | 'all') {
  for (const listener of [...listeners]) listener(change);
}

/** Begins to listen; the browser itself connects again after a break. */
export function followChanges(): () => void {
  let broken = false;
  let retry: ReturnType<typeof setTimeout> | undefined;
  const connect = () => {
    source = new EventSource(`${BASE}/events`);
    source.onopen = () => {
      connection.open = true;
      // Nobody knows what happened while the line was down.
      if (broken) tell('all');
      broken = false;
    };
    source.onerror = () => {
      broken = true;
      connection.open = false;
      // Where the answer was an error, the browser gives up; this page does not.
      if (source?.readyState === EventSource.CLOSED) retry = setTimeout(connect, 3000);
    };
    source.onmessage = (message: MessageEvent<string>) => {
      const change = JSON.parse(message.data) as ChangeEvent;
      tell(change.kind === 'all' ? 'all' : change);
    };
  };
  connect();
  return () => {
    clearTimeout(retry);
    source?.close();
    source = null;
  };
}
