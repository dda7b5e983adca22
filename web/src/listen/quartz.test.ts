import { expect, test } from 'vitest';
import { quartzWish, USUAL_QUARTZ } from './quartz';

test('a quartz of which nothing is known is listened to for two minutes', () => {
  expect(quartzWish(USUAL_QUARTZ)).toEqual({ seconds: 120, period_s: 1 });
});

test('its own error is nothing without how well it is known', () => {
  expect(quartzWish({ ...USUAL_QUARTZ, error: '−1,2', sd: '0.5' })).toEqual({
    seconds: 120,
    period_s: 1,
    reference_error_ppm: -1.2,
    reference_sd_ppm: 0.5,
  });
  expect(quartzWish({ ...USUAL_QUARTZ, error: '1' })).toMatchObject({ field: 'sd' });
  expect(quartzWish({ ...USUAL_QUARTZ, sd: '1' })).toMatchObject({ field: 'error' });
});

test('what the program would refuse is said at its field', () => {
  expect(quartzWish({ ...USUAL_QUARTZ, seconds: '19' })).toMatchObject({ field: 'seconds' });
  expect(quartzWish({ ...USUAL_QUARTZ, seconds: '' })).toMatchObject({ field: 'seconds' });
  expect(quartzWish({ ...USUAL_QUARTZ, period: '0' })).toMatchObject({ field: 'period' });
});
