// A recording of a watch with known truth is sent as a page sends the sound of a microphone, only
// faster than it was: the program counts the samples, not the hours.

import { expect, type Page } from '@playwright/test';
import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { promisify } from 'node:util';
import type { LiveReadingWish } from '../web/src/wire/LiveReadingWish.ts';
import type { LiveStart } from '../web/src/wire/LiveStart.ts';
import type { LiveStarted } from '../web/src/wire/LiveStarted.ts';
import type { Reading } from '../web/src/wire/Reading.ts';
import type { Asked } from './asked.ts';
import { BINARY } from './program.ts';
import { FOLDER, SAMPLE_RATE_HZ } from './watch-sound.ts';
import { samplesOf } from './wav.ts';

export interface Goes {
  rate_s_per_d: number;
  amplitude_deg: number;
  beat_error_ms: number;
}

/** How each of two balances goes. */
export type Truth = { A: Goes; B: Goes };

/** So long a reading is. */
const READ_S = 10;
/** And so long the recording: a reading ends where sound has gone by, not where it stops. */
const SOUND_S = READ_S + 2;

async function recording(truth: Truth, seed: number): Promise<Buffer> {
  const file = path.join(FOLDER, `sent-${seed}.wav`);
  const balance = ({ rate_s_per_d, amplitude_deg, beat_error_ms }: Goes, loudness: number) =>
    `bph=28800,rate=${rate_s_per_d},amplitude=${amplitude_deg},beat-error=${beat_error_ms},jitter-us=10,loudness=${loudness}`;
  await promisify(execFile)(BINARY, [
    'simulate',
    ...['--output', file, '--seed', String(seed)],
    ...['--duration', String(SOUND_S), '--sample-rate', String(SAMPLE_RATE_HZ)],
    ...['--balance', balance(truth.A, 0.4), '--balance', balance(truth.B, 0.2)],
  ]);
  return samplesOf(await readFile(file));
}

/** Hears a watch in one position and keeps the reading with the job. */
export async function readSent(
  page: Page,
  asked: Asked,
  wish: Pick<LiveReadingWish, 'job_id' | 'position' | 'wind' | 'note'>,
  truth: Truth,
  seed: number,
): Promise<Reading> {
  const sound = await recording(truth, seed);
  const start: LiveStart = {
    source: { kind: 'browser', name: 'pickup', sample_rate_hz: SAMPLE_RATE_HZ, channels: 1 },
    settings: { lift_angles_deg: [52], beats_per_hour: [], balances: 2 },
    job_id: wish.job_id,
  };
  const { id } = await asked.post<LiveStarted>('/live', start);
  const kept = await page.evaluate(
    async ({ id, wish, sound, block }) => {
      const socket = new WebSocket(`/api/v1/live/${id}/stream`);
      const told = new Promise<string>((resolve, reject) => {
        socket.addEventListener('message', ({ data }) => {
          const frame = JSON.parse(data as string);
          if (frame.type === 'kept') resolve(frame.reading_id);
          if (frame.type === 'failed' || frame.type === 'ended') reject(new Error(data as string));
        });
        socket.addEventListener('close', () => reject(new Error('the line was closed')));
      });
      await new Promise((open) => socket.addEventListener('open', open));
      // The reading begins with the first sample: the same sound gives the same reading.
      const asked = await fetch(`/api/v1/live/${id}/reading`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(wish),
      });
      if (!asked.ok) throw new Error(await asked.text());
      const bytes = Uint8Array.from(atob(sound), (letter) => letter.charCodeAt(0));
      const samples = new Int16Array(bytes.buffer);
      for (let first = 0; first < samples.length; first += block) {
        const some = Float32Array.from(samples.subarray(first, first + block), (sample) => sample / 32_768);
        const message = new Uint8Array(8 + some.byteLength);
        new DataView(message.buffer).setBigUint64(0, BigInt(first), true);
        message.set(new Uint8Array(some.buffer), 8);
        socket.send(message);
      }
      const reading = await told;
      socket.close();
      return reading;
    },
    { id, wish: { ...wish, seconds: READ_S }, sound: sound.toString('base64'), block: 4_096 },
  );
  const reading = await asked.get<Reading>(`/readings/${kept}`);
  expect(reading.lost_samples, 'nothing of what was sent was lost').toBe(0);
  return reading;
}
