// The simulated watch of the other tests, turned by hand now and then: lifted off the pickup, where
// little of it is heard, with a knock when it is taken and when it is laid.

import { readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { WATCH_WAV } from './watch-sound.ts';

export const HANDLED_WAV = path.join(path.dirname(WATCH_WAV), 'handled.wav');

/** When it is lifted first, how often, and for how long, s. */
const FIRST_S = 16;
const EVERY_S = 26;
const AWAY_S = 4;
/** How much of the watch is heard then. */
const AWAY = 0.02;
const KNOCK_S = 0.25;

/** What a chunk of a WAV holds (RIFF: after twelve bytes chunks of four letters, a length, as much). */
function chunk(wav: Buffer, name: string): { from: number; to: number } {
  for (let at = 12; at + 8 <= wav.length; ) {
    const length = wav.readUInt32LE(at + 4);
    if (wav.toString('latin1', at, at + 4) === name) return { from: at + 8, to: Math.min(wav.length, at + 8 + length) };
    at += 8 + length + (length % 2);
  }
  throw new Error(`a WAV without a chunk “${name}”`);
}

export async function makeHandled(): Promise<void> {
  const wav = await readFile(WATCH_WAV);
  const format = chunk(wav, 'fmt ').from;
  const channels = wav.readUInt16LE(format + 2);
  const rate_hz = wav.readUInt32LE(format + 4);
  const bytes = wav.readUInt16LE(format + 14) / 8;
  const { from, to } = chunk(wav, 'data');
  const top = 2 ** (8 * bytes - 1) - 1;
  // Any noise will do for a knock; this one is the same each time.
  let state = 1;
  const noise = () => (state = (state * 48271) % 2147483647) / 1073741823.5 - 1;
  for (let n = 0; from + (n + 1) * bytes <= to; n++) {
    const since_s = Math.floor(n / channels) / rate_hz - FIRST_S;
    const s = since_s < 0 ? Infinity : since_s % EVERY_S;
    if (s >= AWAY_S) continue;
    const knock = s < KNOCK_S || s > AWAY_S - KNOCK_S;
    const at = from + n * bytes;
    const was = wav.readIntLE(at, bytes);
    wav.writeIntLE(Math.round(knock ? 0.9 * top * noise() : AWAY * was), at, bytes);
  }
  await writeFile(HANDLED_WAV, wav);
}
