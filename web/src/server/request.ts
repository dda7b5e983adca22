// The one door to the server. Everything below /api/v1 goes through here, so that there is one way
// to say that a request was refused or that nobody answered.

import type { Problem } from '../wire/Problem';

/** The server answered, and said no, with a sentence for the user. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    message: string,
    /** What the server holds now, where the refusal is a conflict. */
    readonly present: unknown = undefined,
  ) {
    super(message);
    this.name = 'Refused';
  }

  get isConflict(): boolean {
    return this.status === 409 && this.present !== undefined;
  }

  /** Trouble on the server's side: the same request may succeed later. */
  get mayPass(): boolean {
    return this.status >= 500 || this.status === 429;
  }
}

/** Nobody answered. */
export class NoAnswer extends Error {
  constructor() {
    super('The program does not answer. Is it still running?');
    this.name = 'NoAnswer';
  }
}

export const BASE = '/api/v1';

export type Method = 'GET' | 'POST' | 'PATCH' | 'PUT' | 'DELETE';

/** Sends `body` as JSON (a form or a file as it is) and gives back what the answer holds. */
export async function request<T>(
  method: Method,
  path: string,
  body?: unknown,
  options: { signal?: AbortSignal; keepalive?: boolean } = {},
): Promise<T> {
  const asItIs = body instanceof FormData || body instanceof Blob;
  let response: Response;
  try {
    response = await fetch(BASE + path, {
      method,
      headers: body === undefined || asItIs ? {} : { 'content-type': 'application/json' },
      body: body === undefined ? undefined : asItIs ? body : JSON.stringify(body),
      ...options,
    });
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === 'AbortError') throw cause;
    throw new NoAnswer();
  }
  const text = await response.text();
  const answer: unknown = parse(text);
  if (response.ok) return answer as T;
  // A proxy that finds no server behind it answers 502 to 504 with words of its own.
  if (response.status >= 502 && response.status <= 504 && !isProblem(answer)) {
    throw new NoAnswer();
  }
  throw refusal(response.status, answer);
}

function parse(text: string): unknown {
  if (text === '') return undefined;
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

function isProblem(answer: unknown): answer is Problem & { present?: unknown } {
  if (typeof answer !== 'object' || answer === null || !('error' in answer)) return false;
  const { error } = answer;
  return typeof error === 'object' && error !== null && 'message' in error;
}

function refusal(status: number, answer: unknown): Refused {
  if (isProblem(answer)) {
    const { code, message } = answer.error;
    return new Refused(status, code, message, answer.present);
  }
  return new Refused(status, 'unknown', `The program answered with an error (${status}).`);
}

/** "?search=lever&page=2", leaving out what is empty. */
export function query(parts: Record<string, string | number | boolean | null | undefined>): string {
  const search = new URLSearchParams();
  for (const [name, value] of Object.entries(parts)) {
    if (value !== null && value !== undefined && value !== '') search.set(name, String(value));
  }
  const text = search.toString();
  return text === '' ? '' : `?${text}`;
}

/** A sentence for whatever went wrong. */
export function sentence(cause: unknown): string {
  if (cause instanceof Refused || cause instanceof NoAnswer) return cause.message;
  if (cause instanceof Error && cause.message !== '') return cause.message;
  return 'Something went wrong that this page has no words for.';
}
