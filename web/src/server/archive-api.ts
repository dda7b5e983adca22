// Archives and older paper records. Apart from the others, so that the first page does not carry them.

import type { ArchiveBrought } from '../wire/ArchiveBrought';
import type { PaperRecords } from '../wire/PaperRecords';
import { BASE, query, request } from './request';

/** Where an archive is fetched from: the browser keeps it as a file. */
export const archiveOf = {
  job: (id: string) => `${BASE}/archive${query({ job: id })}`,
  watch: (id: string) => `${BASE}/archive${query({ watch: id })}`,
  everything: () => `${BASE}/archive`,
};

export const archive = {
  /** What it would bring; nothing is added. */
  look: (file: Blob, newNumbers: boolean) =>
    request<ArchiveBrought>('POST', `/archive${query({ dry_run: true, new_numbers: newNumbers })}`, file),
  read: (file: Blob, newNumbers: boolean) =>
    request<ArchiveBrought>('POST', `/archive${query({ new_numbers: newNumbers })}`, file),
};

export const paperRecords = {
  look: (file: Blob) => request<PaperRecords>('POST', `/paper-records${query({ dry_run: true })}`, file),
  take: (file: Blob) => request<PaperRecords>('POST', '/paper-records', file),
};
