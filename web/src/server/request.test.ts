import { expect, test } from 'vitest';
import { answering } from './answers.test-kit';
import { NoAnswer, query, Refused, request, sentence } from './request';

const caught = (promise: Promise<unknown>) => promise.then(() => undefined).catch((e: unknown) => e);

test('a refusal carries the sentence of the server and what it holds now', async () => {
  answering(() => ({
    status: 409,
    body: { error: { code: 'conflict', message: 'Somebody was faster.' }, present: { version: 7 } },
  }));
  const cause = await caught(request('PATCH', '/jobs/1', { version: 6 }));
  expect(cause).toBeInstanceOf(Refused);
  expect(cause).toMatchObject({ status: 409, isConflict: true, present: { version: 7 } });
  expect(sentence(cause)).toBe('Somebody was faster.');
});

test('nobody there, or only a proxy, is no answer', async () => {
  answering(() => 'nobody');
  expect(await caught(request('GET', '/jobs'))).toBeInstanceOf(NoAnswer);
  answering(() => ({ status: 502, body: 'Bad Gateway' }));
  expect(await caught(request('GET', '/jobs'))).toBeInstanceOf(NoAnswer);
});

test('trouble at the server may pass, a refusal does not', async () => {
  const full = { error: { code: 'disk_full', message: 'The disk is full.' } };
  answering(() => ({ status: 507, body: full }));
  expect(await caught(request('POST', '/jobs', {}))).toMatchObject({ mayPass: true });
  answering(() => ({ status: 422, body: full }));
  expect(await caught(request('POST', '/jobs', {}))).toMatchObject({ mayPass: false });
});

test('an answer without a body is one', async () => {
  answering(() => ({ status: 204 }));
  expect(await request('DELETE', '/jobs/1')).toBeUndefined();
});

test('only what is there gets into the query', () => {
  expect(query({ search: '', stage: null, page: 0 })).toBe('?page=0');
  expect(query({ search: 'a & b', page: undefined })).toBe('?search=a+%26+b');
  expect(query({})).toBe('');
});
