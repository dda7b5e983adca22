// A server for tests: answers by method and path, and remembers what it was asked.

import { vi } from 'vitest';

export interface Asked {
  method: string;
  path: string;
  body: unknown;
}

type Answer = { status?: number; body?: unknown } | 'nobody';

export function answering(answer: (asked: Asked) => Answer | undefined): Asked[] {
  const asked: Asked[] = [];
  vi.stubGlobal('fetch', async (path: string, init: RequestInit = {}) => {
    const { method = 'GET', body } = init;
    const one = {
      method,
      path: path.replace('/api/v1', ''),
      body: typeof body === 'string' ? JSON.parse(body) : body,
    };
    asked.push(one);
    const given = answer(one) ?? {
      status: 404,
      body: { error: { code: 'not_found', message: `nothing at ${one.path}` } },
    };
    if (given === 'nobody') throw new TypeError('Failed to fetch');
    const { status = 200, body: out } = given;
    return new Response(out === undefined ? null : JSON.stringify(out), { status });
  });
  return asked;
}
