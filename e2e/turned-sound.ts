// A watch that is turned by hand through the positions of a rate sheet, with a truth of its own in
// each: it lies, is lifted off the pickup, where little of it is heard, with a knock when it is taken
// and when it is laid, and lies in the next position.

import { execFile } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { promisify } from 'node:util';
import { BINARY } from './program.ts';
import { FOLDER, SAMPLE_RATE_HZ } from './watch-sound.ts';
import { chunk, samplesOf } from './wav.ts';

export const TURNED_WAV = path.join(FOLDER, 'turned.wav');

export const POSITIONS = ['CH', 'FH', '12H', '3H', '6H', '9H'] as const;
export type Position = (typeof POSITIONS)[number];

/** Clockwise from 12, seen from the dial: 20 to 7 on the dial's hours. */
export const HEAVY_TOWARDS_DEG = 200;
/**
 * Of balance A, per mm. At 28,800 beats an hour m g r / k is 0.0020, with 86400 J1(A)/A that is some
 * 11 s/d either way at 280 degrees: a balance that one would poise.
 */
const HEAVY_PER_MM = 0.00013;

/**
 * How each goes but for the heavy spot, s/d, and how far it swings, degrees. Two
 * balances that beat together and go alike could not be told apart in some seconds.
 */
const GOES: Record<Position, { A: [rate: number, amplitude: number]; B: [rate: number, amplitude: number] }> = {
  CH: { A: [4.5, 302], B: [21, 270] },
  FH: { A: [1.5, 298], B: [18, 274] },
  '12H': { A: [3, 281], B: [20, 246] },
  '3H': { A: [3, 276], B: [20, 251] },
  '6H': { A: [3, 285], B: [20, 243] },
  '9H': { A: [3, 279], B: [20, 248] },
};

/** It lies as it lay for so long, then in each position; each time it is away for so long, s. */
const FIRST_S = 14;
const LIES_S = 21;
const AWAY_S = 3;
/** How much of the watch is heard when it is away. */
const AWAY = 0.02;
/** More than twice as loud as the watch, as hands are. */
const KNOCK = 0.9;
const KNOCK_S = 0.25;

export interface Goes {
  rate_s_per_d: number;
  amplitude_deg: number;
}
export type Truth = Record<Position, Goes[]>;

const balance = ([rate, amplitude]: [number, number], more: string) =>
  `bph=28800,rate=${rate},amplitude=${amplitude},jitter-us=10,${more}`;

/** The watch lying in one position: its samples, and what was laid down. */
async function lying(position: Position, seconds: number, seed: number): Promise<{ wav: Buffer; goes: Goes[] }> {
  const file = path.join(FOLDER, `lying-${position}.wav`);
  const { A, B } = GOES[position];
  await promisify(execFile)(BINARY, [
    'simulate',
    ...['--output', file, '--truth', `${file}.json`],
    ...['--duration', String(seconds), '--sample-rate', String(SAMPLE_RATE_HZ)],
    ...['--seed', String(seed), '--position', position],
    ...['--balance', balance(A, `beat-error=0.3,loudness=0.4,heavy=${HEAVY_PER_MM},heavy-towards=${HEAVY_TOWARDS_DEG}`)],
    ...['--balance', balance(B, 'beat-error=0.7,loudness=0.2')],
  ]);
  const { balances } = JSON.parse(await readFile(`${file}.json`, 'utf8')) as { balances: Goes[] };
  return { wav: await readFile(file), goes: balances };
}

/** Lifted and laid: softened, with a knock at either end. */
function handle(samples: Buffer, noise: () => number) {
  for (let n = 0; n < AWAY_S * SAMPLE_RATE_HZ; n++) {
    const s = n / SAMPLE_RATE_HZ;
    const knock = s < KNOCK_S || s > AWAY_S - KNOCK_S;
    const was = samples.readInt16LE(2 * n);
    samples.writeInt16LE(Math.round(knock ? KNOCK * 32_767 * noise() : AWAY * was), 2 * n);
  }
}

/** Makes the recording; gives back what is true of it. */
export async function makeTurned(): Promise<Truth> {
  // Any noise will do for a knock; this one is the same each time.
  let state = 1;
  const noise = () => (state = (state * 48271) % 2147483647) / 1073741823.5 - 1;
  const pieces: Buffer[] = [];
  const truth = {} as Truth;
  // It comes lying in some position; what is called first it is turned to.
  const first = await lying('9H', FIRST_S, 99);
  const head = first.wav.subarray(0, chunk(first.wav, 'data').from);
  pieces.push(samplesOf(first.wav));
  for (const [n, position] of POSITIONS.entries()) {
    const { wav, goes } = await lying(position, AWAY_S + LIES_S, n + 1);
    handle(samplesOf(wav), noise);
    pieces.push(samplesOf(wav));
    truth[position] = goes;
  }
  const all = Buffer.concat([head, ...pieces]);
  all.writeUInt32LE(all.length - 8, 4);
  all.writeUInt32LE(all.length - head.length, head.length - 4);
  await writeFile(TURNED_WAV, all);
  return truth;
}
