// @vitest-environment jsdom

import { expect, test } from 'vitest';
import { read, to } from './router.svelte';

test('every address leads where it was made for', () => {
  expect(read('')).toEqual({ page: 'jobs' });
  expect(read(to.jobs())).toEqual({ page: 'jobs' });
  expect(read(to.newJob())).toEqual({ page: 'new-job' });
  expect(read(to.job('a/b'))).toEqual({ page: 'job', id: 'a/b' });
  expect(read(to.listen(null))).toEqual({ page: 'listen', job: null, fill: false });
  expect(read(to.listen('7'))).toEqual({ page: 'listen', job: '7', fill: false });
  expect(read(to.fill('7'))).toEqual({ page: 'listen', job: '7', fill: true });
  expect(read(to.regulate('7'))).toEqual({ page: 'regulate', id: '7' });
  expect(read(to.trial('7'))).toEqual({ page: 'trial', id: '7' });
  expect(read(to.tests('7'))).toEqual({ page: 'tests', id: '7' });
  expect(read(to.papers('7'))).toEqual({ page: 'papers', id: '7' });
  expect(read(to.takeDown('7'))).toEqual({ page: 'take-down', id: '7' });
  expect(read(to.rebuild('7'))).toEqual({ page: 'rebuild', id: '7' });
  expect(read(to.reading('r'))).toEqual({ page: 'reading', id: 'r' });
  expect(read(to.compare('a', 'b'))).toEqual({ page: 'compare', before: 'a', after: 'b' });
  expect(read(to.watch('w'))).toEqual({ page: 'watch', id: 'w' });
  expect(read(to.movement('w'))).toEqual({ page: 'movement', id: 'w' });
  expect(read(to.owner('o'))).toEqual({ page: 'owner', id: 'o' });
  expect(read(to.search('a & b'))).toEqual({ page: 'search', text: 'a & b' });
  expect(read(to.bin())).toEqual({ page: 'bin' });
  expect(read(to.settings())).toEqual({ page: 'settings' });
  expect(read('#/guide')).toEqual(read(to.guide()));
  expect(read(to.guide('clock'))).toEqual({ page: 'guide', chapter: 'clock', place: '' });
  expect(read('#/guide/clock/by-hand')).toEqual({ page: 'guide', chapter: 'clock', place: 'by-hand' });
  expect(read('#/join/K7QX')).toEqual({ page: 'join', code: 'K7QX' });
  expect(read('#/join?code=K7QX')).toEqual({ page: 'join', code: 'K7QX' });
});

test('other addresses lead nowhere, and do not break', () => {
  for (const hash of ['#/nowhere', '#/jobs/1/2/3', '#/jobs/1/fly', '#/%E0%A4%A', '#/bin/1']) {
    expect(read(hash).page, hash).toBe('unknown');
  }
});
