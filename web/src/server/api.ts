// Every request that the page makes, by name.

import type { BinnedList } from '../wire/BinnedList';
import type { Clock } from '../wire/Clock';
import type { ClockList } from '../wire/ClockList';
import type { CurrencyList } from '../wire/CurrencyList';
import type { Device } from '../wire/Device';
import type { DeviceList } from '../wire/DeviceList';
import type { Emptied } from '../wire/Emptied';
import type { Health } from '../wire/Health';
import type { HearingProgress } from '../wire/HearingProgress';
import type { History } from '../wire/History';
import type { Hits } from '../wire/Hits';
import type { Job } from '../wire/Job';
import type { JobChange } from '../wire/JobChange';
import type { JobList } from '../wire/JobList';
import type { JoinCode } from '../wire/JoinCode';
import type { Joined } from '../wire/Joined';
import type { LiveList } from '../wire/LiveList';
import type { LiveReadingWish } from '../wire/LiveReadingWish';
import type { LiveSettings } from '../wire/LiveSettings';
import type { LiveStart } from '../wire/LiveStart';
import type { LiveStarted } from '../wire/LiveStarted';
import type { NewClock } from '../wire/NewClock';
import type { NewJob } from '../wire/NewJob';
import type { NewOwner } from '../wire/NewOwner';
import type { NewPart } from '../wire/NewPart';
import type { NewWatch } from '../wire/NewWatch';
import type { Owner } from '../wire/Owner';
import type { OwnerChange } from '../wire/OwnerChange';
import type { OwnerList } from '../wire/OwnerList';
import type { Part } from '../wire/Part';
import type { PartChange } from '../wire/PartChange';
import type { PartList } from '../wire/PartList';
import type { Photo } from '../wire/Photo';
import type { PhotoChange } from '../wire/PhotoChange';
import type { PhotoList } from '../wire/PhotoList';
import type { QuartzWish } from '../wire/QuartzWish';
import type { ReadAgain } from '../wire/ReadAgain';
import type { Reading } from '../wire/Reading';
import type { ReadingChange } from '../wire/ReadingChange';
import type { ReadingList } from '../wire/ReadingList';
import type { ReadingWheels } from '../wire/ReadingWheels';
import type { RepeatsIn } from '../wire/RepeatsIn';
import type { Role } from '../wire/Role';
import type { Session } from '../wire/Session';
import type { Settings } from '../wire/Settings';
import type { SoundDeviceList } from '../wire/SoundDeviceList';
import type { Stage } from '../wire/Stage';
import type { Watch } from '../wire/Watch';
import type { WatchChange } from '../wire/WatchChange';
import type { WatchList } from '../wire/WatchList';
import { BASE, query, request } from './request';

const get = <T>(path: string, signal?: AbortSignal) => request<T>('GET', path, undefined, { signal });
const post = <T>(path: string, body?: unknown) => request<T>('POST', path, body);
const remove = (path: string) => request<void>('DELETE', path);

// A change goes out even where the page is closed behind it.
const patch = <T>(path: string, change: unknown, leaving: boolean) =>
  request<T>('PATCH', path, change, { keepalive: leaving });

export const session = () => get<Session>('/session');

export const health = () => get<Health>('/health');

/** Which jobs, and in which order. */
export interface WhichJobs {
  search: string;
  stage: Stage | '';
  /** Only those that are still here; undefined for all. */
  open?: true;
  due_first?: true;
}

export const jobs = {
  list: (which: WhichJobs, page: number, signal?: AbortSignal) =>
    get<JobList>(`/jobs${query({ ...which, page })}`, signal),
  get: (id: string) => get<Job>(`/jobs/${id}`),
  create: (job: NewJob) => post<Job>('/jobs', job),
  change: (id: string, change: JobChange, leaving = false) =>
    patch<Job>(`/jobs/${id}`, change, leaving),
  move: (id: string, version: number, stage: Stage) =>
    post<Job>(`/jobs/${id}/stage`, { version, stage }),
  remove: (id: string) => remove(`/jobs/${id}`),
  history: (id: string, page: number) => get<History>(`/jobs/${id}/history${query({ page })}`),
  readings: (id: string, page: number) =>
    get<ReadingList>(`/jobs/${id}/readings${query({ page })}`),
};

export const photos = {
  list: (job: string, page: number) => get<PhotoList>(`/jobs/${job}/photos${query({ page })}`),
  add: (job: string, photo: Blob, name: string) => {
    const form = new FormData();
    form.append('photo', photo, name);
    return post<Photo>(`/jobs/${job}/photos`, form);
  },
  change: (id: string, change: PhotoChange, leaving = false) =>
    patch<Photo>(`/photos/${id}`, change, leaving),
  remove: (id: string) => remove(`/photos/${id}`),
};

export const parts = {
  list: (job: string, page: number) => get<PartList>(`/jobs/${job}/parts${query({ page })}`),
  add: (job: string, part: NewPart) => post<Part>(`/jobs/${job}/parts`, part),
  change: (id: string, change: PartChange, leaving = false) =>
    patch<Part>(`/parts/${id}`, change, leaving),
  remove: (id: string) => remove(`/parts/${id}`),
};

export const watches = {
  list: (search: string, page: number, signal?: AbortSignal) =>
    get<WatchList>(`/watches${query({ search, page })}`, signal),
  ofOwner: (owner_id: string, page: number) =>
    get<WatchList>(`/watches${query({ owner_id, page })}`),
  get: (id: string) => get<Watch>(`/watches/${id}`),
  create: (watch: NewWatch) => post<Watch>('/watches', watch),
  change: (id: string, change: WatchChange, leaving = false) =>
    patch<Watch>(`/watches/${id}`, change, leaving),
  remove: (id: string) => remove(`/watches/${id}`),
  visits: (id: string, page: number) => get<JobList>(`/watches/${id}/jobs${query({ page })}`),
};

export const owners = {
  list: (search: string, page: number, signal?: AbortSignal) =>
    get<OwnerList>(`/owners${query({ search, page })}`, signal),
  get: (id: string) => get<Owner>(`/owners/${id}`),
  create: (owner: NewOwner) => post<Owner>('/owners', owner),
  change: (id: string, change: OwnerChange, leaving = false) =>
    patch<Owner>(`/owners/${id}`, change, leaving),
  remove: (id: string) => remove(`/owners/${id}`),
};

export const bin = {
  list: (page: number) => get<BinnedList>(`/bin${query({ page })}`),
  restore: (kind: string, id: string) => post<void>(`/bin/${kind}/${id}/restore`),
  destroy: (kind: string, id: string) => remove(`/bin/${kind}/${id}`),
  /** Of what was deleted so many days ago or longer. */
  empty: (days: number) => request<Emptied>('DELETE', `/bin${query({ days })}`),
};

export const search = (text: string, from: number | null, signal?: AbortSignal) =>
  get<Hits>(`/search${query({ q: text, from })}`, signal);

export const live = {
  devices: () => get<SoundDeviceList>('/sound-devices'),
  list: () => get<LiveList>('/live'),
  start: (start: LiveStart) => post<LiveStarted>('/live', start),
  tell: (id: string, settings: LiveSettings) => request<void>('PATCH', `/live/${id}`, settings),
  take: (id: string, wish: LiveReadingWish) => post<void>(`/live/${id}/reading`, wish),
  anew: (id: string) => post<void>(`/live/${id}/anew`),
  cancel: (id: string) => remove(`/live/${id}/reading`),
  keepSoFar: (id: string) => remove(`/live/${id}/reading?keep=true`),
  hearQuartz: (id: string, wish: QuartzWish) => post<void>(`/live/${id}/quartz`, wish),
  end: (id: string) => remove(`/live/${id}`),
};

export const readings = {
  get: (id: string) => get<Reading>(`/readings/${id}`),
  change: (id: string, change: ReadingChange, leaving = false) =>
    patch<Reading>(`/readings/${id}`, change, leaving),
  readAgain: (id: string, wish: ReadAgain) => post<Reading>(`/readings/${id}/read-again`, wish),
  remove: (id: string) => remove(`/readings/${id}`),
  // With the version in its address, a picture that was read again is fetched again.
  driftPicture: ({ id, version }: Reading, theme: string, width: number) =>
    `${BASE}/readings/${id}/drift.svg${query({ theme, width, version })}`,
  beatPicture: ({ id, version }: Reading, balance: string, theme: string, width: number) =>
    `${BASE}/readings/${id}/beat.svg${query({ balance, theme, width, version })}`,
  repeatsPicture: (
    { id, version }: Reading,
    balance: string,
    of: RepeatsIn,
    theme: string,
    width: number,
  ) => `${BASE}/readings/${id}/repeats.svg${query({ balance, of, theme, width, version })}`,
  wheels: (id: string, signal: AbortSignal) => get<ReadingWheels>(`/readings/${id}/wheels`, signal),
  /** How far the hearing of its sound is, while an answer that wants it is awaited. */
  hearing: (id: string) => get<HearingProgress>(`/readings/${id}/hearing`),
  sound: (id: string) => `${BASE}/readings/${id}/sound`,
};

export const settings = {
  get: () => get<Settings>('/settings'),
  put: (all: Settings) => request<Settings>('PUT', '/settings', all),
  currencies: () => get<CurrencyList>('/currencies'),
  clocks: () => get<ClockList>('/clocks'),
  keepClock: (clock: NewClock) => post<Clock>('/clocks', clock),
};

export const devices = {
  list: () => get<DeviceList>('/devices'),
  turnOut: (id: string) => remove(`/devices/${id}`),
  newCode: (role: Role) => post<JoinCode>('/join-codes', { role }),
  giveRole: (id: string, role: Role) => request<Device>('PATCH', `/devices/${id}`, { role }),
  join: (code: string, name: string) => post<Joined>('/join', { code, name }),
};

export const picture = (media: string) => `${BASE}/media/${media}`;
export const smallPicture = (media: string) => `${BASE}/media/${media}/small`;

