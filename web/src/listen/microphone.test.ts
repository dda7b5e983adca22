import { expect, test } from 'vitest';
import { isOneChannelTwice, leftOf } from './microphone';

test('one channel given out as two is told from two', () => {
  expect(isOneChannelTwice(Float32Array.of(0.1, 0.1, -0.3, -0.3))).toBe(true);
  expect(isOneChannelTwice(Float32Array.of(0.1, 0.1, -0.3, -0.2))).toBe(false);
});

test('of one channel given out as two, one goes on, frame for frame', () => {
  const block = leftOf({ first: 4096, samples: Float32Array.of(0.5, 9, -0.25, 9) });
  expect(block.first).toBe(4096);
  expect([...block.samples]).toEqual([0.5, -0.25]);
});
