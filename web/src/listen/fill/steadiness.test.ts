import { expect, test } from 'vitest';
import { Steadiness, type Sound } from './steadiness';

/** The meter tells ten times a second; a slow watch beats in every second or third frame of it. */
function hear(steadiness: Steadiness, from_s: number, seconds: number, beat_dbfs: number, between_dbfs = -60) {
  const told: Sound[] = [];
  for (let frame = 1; frame <= seconds * 10; frame++) {
    const peak = frame % 3 === 0 ? beat_dbfs : between_dbfs;
    const sound = steadiness.take({ elapsed_s: from_s + frame / 10, peak_dbfs: [peak] });
    if (sound) told.push(sound);
  }
  return told;
}
const handled = (told: Sound[]) => told.some((sound) => sound.handled);

test('beats in a quiet room are steady after a few seconds, and nobody is at it', () => {
  const told = hear(new Steadiness(), 0, 8, -20);
  expect(told[0]).toEqual({ steady: false, handled: false });
  expect(told.at(-1)).toEqual({ steady: true, handled: false });
  expect(handled(told)).toBe(false);
});

test('hands are louder, an empty pickup softer; after either it is steady again in the new place', () => {
  for (const disturbed of [-4, -55]) {
    const steadiness = new Steadiness();
    hear(steadiness, 0, 6, -20);
    expect(handled(hear(steadiness, 6, 4, disturbed)), String(disturbed)).toBe(true);
    // It lies another way, and is heard softer there.
    const after = hear(steadiness, 10, 8, -30);
    expect(after.some(({ steady }) => !steady)).toBe(true);
    expect(after.at(-1)).toEqual({ steady: true, handled: false });
  }
});

test('a single knock is no hand', () => {
  const steadiness = new Steadiness();
  hear(steadiness, 0, 6, -20);
  const told = [...hear(steadiness, 6, 1, -2), ...hear(steadiness, 7, 5, -20)];
  expect(handled(told)).toBe(false);
  expect(told.at(-1)?.steady).toBe(true);
});

test('silence is not steady', () => {
  expect(hear(new Steadiness(), 0, 8, -90, -90).some(({ steady }) => steady)).toBe(false);
});

test('what is left out, and a meter that begins anew, make no short block of silence', () => {
  const steadiness = new Steadiness();
  hear(steadiness, 0, 6, -20);
  steadiness.rest();
  const told = [...hear(steadiness, 9, 4, -20), ...hear(steadiness, 0, 4, -20)];
  expect(told.every(({ steady, handled }) => steady && !handled)).toBe(true);
});
