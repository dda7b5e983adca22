import { expect, test } from 'vitest';
import { dueWords, momentWords } from './dates';

const now = new Date(2026, 2, 12, 23, 30);

test('what is due is said in words', () => {
  const words = (day: string) => dueWords(day, now);
  expect(words('2026-03-12')).toEqual({ words: 'due today', urgency: 'soon' });
  expect(words('2026-03-13')).toEqual({ words: 'due tomorrow', urgency: 'soon' });
  expect(words('2026-03-17')).toEqual({ words: 'due in 5 days', urgency: 'soon' });
  expect(words('2026-03-18')).toEqual({ words: 'due 18 Mar', urgency: 'later' });
  expect(words('2027-01-02')).toEqual({ words: 'due 2 Jan 2027', urgency: 'later' });
  expect(words('2026-03-11')).toEqual({ words: '1 day late', urgency: 'late' });
  expect(words('2026-02-28')).toEqual({ words: '12 days late', urgency: 'late' });
  expect(dueWords(null, now)).toBeNull();
  expect(dueWords('soon', now)).toBeNull();
});

test('a day counts by the calendar, also where clocks are put forward', () => {
  // 29 March 2026 has 23 hours in much of Europe; the words must not depend on that.
  expect(dueWords('2026-03-30', new Date(2026, 2, 28, 12))?.words).toBe('due in 2 days');
});

test('moments', () => {
  expect(momentWords(new Date(2026, 2, 12, 9, 5).toISOString(), now)).toBe('today, 09:05');
  expect(momentWords(new Date(2026, 2, 11, 23, 59).toISOString(), now)).toBe('yesterday, 23:59');
  expect(momentWords(new Date(2025, 10, 2, 14, 2).toISOString(), now)).toBe('2 Nov 2025, 14:02');
  expect(momentWords('never', now)).toBe('');
});
