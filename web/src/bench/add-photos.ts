import type { LogChange } from '../wire/LogChange';
import { bench } from './outbox.svelte';

/** Lays photos down and says what to enter for them, with the words for it. */
export async function addedPhotos(job: string, step: string, files: File[]): Promise<[LogChange[], string]> {
  const photos = await bench.photos(job, files);
  const words = photos.length === 1 ? 'A photo is added.' : `${photos.length} photos are added.`;
  return [photos.map((photo) => ({ kind: 'photo_added', step, photo })), words];
}
