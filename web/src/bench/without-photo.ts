import type { LogEntry } from '../wire/LogEntry';

/** The entry without a photo that was given up; none where nothing of it is left. */
export function withoutPhoto(entry: LogEntry, photo: string): LogEntry | null {
  const { change } = entry;
  if (change.kind === 'photo_added' && change.photo === photo) return null;
  if (change.kind !== 'took_out' || !change.photos.includes(photo)) return entry;
  return { ...entry, change: { ...change, photos: change.photos.filter((id) => id !== photo) } };
}
