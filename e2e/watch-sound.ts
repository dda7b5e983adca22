// The sound of a watch with known truth, for the browser's microphone.

import { execFile } from 'node:child_process';
import { mkdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';
import { BINARY } from './program.ts';

export const FOLDER = path.join(tmpdir(), 'endshake-e2e-sound');

export const WATCH_WAV = path.join(FOLDER, 'watch.wav');

/** What is put into the sound, and must come out again. */
export const TRUTH = {
  A: { rate_s_per_d: 4.2, amplitude_deg: 280, beat_error_ms: 0.3 },
  B: { rate_s_per_d: -8.1, amplitude_deg: 260, beat_error_ms: 0.7 },
} as const;

// Chromium's fake device runs at this rate; at another it would resample.
export const SAMPLE_RATE_HZ = 44_100;
const LENGTH = '5m';

function balance(truth: (typeof TRUTH)['A' | 'B'], loudness: number): string {
  return [
    'bph=28800',
    `rate=${truth.rate_s_per_d}`,
    `amplitude=${truth.amplitude_deg}`,
    `beat-error=${truth.beat_error_ms}`,
    `loudness=${loudness}`,
  ].join(',');
}

/** Playwright calls this once before all tests. */
export default async function make(): Promise<void> {
  await mkdir(FOLDER, { recursive: true });
  await promisify(execFile)(BINARY, [
    'simulate',
    ...['--output', WATCH_WAV],
    ...['--duration', LENGTH],
    ...['--sample-rate', String(SAMPLE_RATE_HZ)],
    ...['--balance', balance(TRUTH.A, 1)],
    ...['--balance', balance(TRUTH.B, 0.4)],
  ]);
}
