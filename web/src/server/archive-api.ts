// Archives and older paper records. Apart from the others, so that the first page does not carry them.

import type { ArchiveBrought } from '../wire/ArchiveBrought';
import type { ArchiveMade } from '../wire/ArchiveMade';
import type { ArchiveProgress } from '../wire/ArchiveProgress';
import type { PaperRecords } from '../wire/PaperRecords';
import { BASE, query, request } from './request';

/** Where an archive is fetched from: the browser keeps it as a file. */
export const archiveOf = {
  job: (id: string) => `${BASE}/archive${query({ job: id })}`,
  watch: (id: string) => `${BASE}/archive${query({ watch: id })}`,
};

/** An archive in hand, under an id that is made here: sent once, looked at, then added or left. */
export const archive = {
  send: (id: string, file: Blob, signal: AbortSignal) =>
    request<void>('PUT', `/archive/sent/${id}`, file, { signal }),
  /** What it would bring; nothing is added. */
  look: (id: string, newNumbers: boolean) =>
    request<ArchiveBrought>('POST', `/archive/sent/${id}/look${query({ new_numbers: newNumbers })}`),
  add: (id: string, newNumbers: boolean) =>
    request<ArchiveBrought>('POST', `/archive/sent/${id}/add${query({ new_numbers: newNumbers })}`),
  /** Writes everything; it is fetched from `made`. */
  make: (id: string, signal: AbortSignal) =>
    request<ArchiveMade>('PUT', `/archive/made/${id}`, undefined, { signal }),
  made: (id: string) => `${BASE}/archive/made/${id}`,
  progress: (id: string) => request<ArchiveProgress>('GET', `/archive/hand/${id}`),
  /** Stops what is done at it, and leaves it; also while the page goes away. */
  leave: (id: string) => request<void>('DELETE', `/archive/hand/${id}`, undefined, { keepalive: true }),
};

export const paperRecords = {
  look: (file: Blob) => request<PaperRecords>('POST', `/paper-records${query({ dry_run: true })}`, file),
  take: (file: Blob) => request<PaperRecords>('POST', '/paper-records', file),
};
