// What is told of a quartz movement on the pickup, as text fields have it.

import type { QuartzWish } from '../wire/QuartzWish';
import { numberIn } from '../words/numbers';

export interface ToldQuartz {
  seconds: string;
  period: string;
  error: string;
  sd: string;
}

export const USUAL_QUARTZ: ToldQuartz = { seconds: '120', period: '1', error: '', sd: '' };

/** What is asked of the program, or a sentence about the field that cannot be read. */
export function quartzWish(
  told: ToldQuartz,
): QuartzWish | { field: keyof ToldQuartz; error: string } {
  const seconds = numberIn(told.seconds);
  if (seconds === undefined || seconds < 20 || seconds > 864_000) {
    return { field: 'seconds', error: 'From 20 s to ten days; two minutes are good.' };
  }
  const period_s = numberIn(told.period);
  if (period_s === undefined || period_s < 0.0625 || period_s > 60) {
    return { field: 'period', error: 'From 0.0625 s to 60 s; most step once a second.' };
  }
  const wish = { seconds, period_s };
  if (told.error.trim() === '' && told.sd.trim() === '') return wish;
  const reference_error_ppm = numberIn(told.error);
  if (reference_error_ppm === undefined) {
    return { field: 'error', error: 'A number, such as -1.2; or nothing in both fields.' };
  }
  const reference_sd_ppm = numberIn(told.sd);
  if (reference_sd_ppm === undefined || reference_sd_ppm < 0) {
    return { field: 'sd', error: 'How well it is known, such as 0.5.' };
  }
  return { ...wish, reference_error_ppm, reference_sd_ppm };
}
