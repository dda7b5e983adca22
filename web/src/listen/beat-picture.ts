// Where things stand in the Beat picture. The curve, its spread, the three events and the amplitude
// scale come from the server.

import type { AveragedBeatShape } from '../wire/AveragedBeatShape';

export interface Lane {
  shape: AveragedBeatShape;
  /** The curve, and the band of its spread, as SVG paths. */
  curve: string;
  band: string;
  events: { words: string; x: number; row: number; anchor: 'start' | 'end' }[];
  scale: { x: number; degrees: number; named: boolean }[];
}

export interface Frame {
  width: number;
  /** Height of a curve. */
  height: number;
}

// What is shown before the first and after the last event, as shares of the time between them: the
// silence before, and the marks of low amplitudes after.
const BEFORE = 0.22;
const AFTER = 0.95;
const LEAST_BUSY_MS = 2;
const LABEL_PX = { unlocking: 58, impulse: 48, drop: 30 };
const SCALE_LABEL_PX = 34;
const SCALE_MARK_PX = 5;

function timeRange(shapes: AveragedBeatShape[]): [number, number] {
  const ends = shapes.map((s) => [s.start_ms, s.start_ms + s.step_ms * (s.mean.length - 1)] as const);
  const from = Math.min(...ends.map(([start]) => start));
  const to = Math.max(...ends.map(([, end]) => end));
  const events = shapes
    .flatMap((s) => [s.unlocking_ms, s.impulse_ms, s.drop_ms])
    .filter((at) => at !== null);
  if (events.length === 0) return [from, to];
  const [first, last] = [Math.min(...events), Math.max(...events)];
  const busy = Math.max(last - first, LEAST_BUSY_MS);
  return [Math.max(from, first - BEFORE * busy), Math.min(to, last + AFTER * busy)];
}

export function lay(shapes: AveragedBeatShape[], frame: Frame): Lane[] {
  const drawable = shapes.filter((shape) => shape.mean.length > 1 && shape.step_ms > 0);
  if (drawable.length === 0) return [];
  const [from, to] = timeRange(drawable);
  const x = (ms: number) => ((ms - from) / (to - from)) * frame.width;
  // One scale for both sides, so that they can be compared.
  const loudest = Math.max(...drawable.flatMap((s) => s.mean.map((m, n) => m + (s.spread[n] ?? 0))));
  const y = (value: number) => frame.height - (Math.max(0, value) / (loudest || 1)) * frame.height;
  return drawable.map((shape) => {
    const points = shape.mean
      .map((mean, n) => ({ ms: shape.start_ms + n * shape.step_ms, mean, spread: shape.spread[n] ?? 0 }))
      .filter(({ ms }) => ms >= from && ms <= to);
    const line = (at: (p: (typeof points)[number]) => number) =>
      points.map((p) => `${x(p.ms).toFixed(1)},${y(at(p)).toFixed(1)}`);
    const upper = line((p) => p.mean + p.spread);
    const lower = line((p) => p.mean - p.spread).reverse();
    return {
      shape,
      curve: `M${line((p) => p.mean).join('L')}`,
      band: `M${[...upper, ...lower].join('L')}Z`,
      events: placeEvents(shape, x, frame.width),
      scale: placeScale(shape, x, frame.width),
    };
  });
}

function placeEvents(shape: AveragedBeatShape, x: (ms: number) => number, width: number) {
  const found: Lane['events'] = [];
  const ends: number[] = [];
  const named = [
    ['unlocking', shape.unlocking_ms],
    ['impulse', shape.impulse_ms],
    ['drop', shape.drop_ms],
  ] as const;
  for (const [words, ms] of named) {
    if (ms === null) continue;
    const at = x(ms);
    const wide = LABEL_PX[words];
    // Beside the mark; on its other side where the picture ends; in the next row where it is taken.
    const anchor = at + wide > width ? 'end' : 'start';
    const start = anchor === 'end' ? at - wide : at;
    let row = ends.findIndex((end) => end <= start);
    if (row < 0) row = ends.length;
    ends[row] = start + wide;
    found.push({ words, x: at, row, anchor });
  }
  return found;
}

function placeScale(shape: AveragedBeatShape, x: (ms: number) => number, width: number) {
  const marks = shape.amplitude_scale
    .map(([ms, degrees]) => ({ x: x(ms), degrees, named: false }))
    .filter((mark) => mark.x >= 0 && mark.x <= width);
  const far = (at: number, others: { x: number }[], least: number) =>
    others.every((other) => Math.abs(other.x - at) >= least);
  // Where they crowd, the round ones stay and get the names.
  const kept: typeof marks = [];
  for (const step of [100, 50, 20, 10, 5, 1]) {
    for (const mark of marks) {
      if (mark.degrees % step !== 0 || !far(mark.x, kept, SCALE_MARK_PX)) continue;
      const inside = mark.x > SCALE_LABEL_PX / 2 && mark.x < width - SCALE_LABEL_PX / 2;
      const named = kept.filter((other) => other.named);
      mark.named = step >= 10 && inside && far(mark.x, named, SCALE_LABEL_PX);
      kept.push(mark);
    }
  }
  return kept;
}
