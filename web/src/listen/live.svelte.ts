// The watch that this page hears. There is one, whichever page is open: who looks up the job for a
// moment goes on hearing.

import * as api from '../server/api';
import { Refused, sentence } from '../server/request';
import type { Clock } from '../wire/Clock';
import type { Level } from '../wire/Level';
import type { LiveFrame } from '../wire/LiveFrame';
import type { LiveReading } from '../wire/LiveReading';
import type { LiveReadingWish } from '../wire/LiveReadingWish';
import type { LiveSettings } from '../wire/LiveSettings';
import type { LiveState } from '../wire/LiveState';
import type { QuartzWish } from '../wire/QuartzWish';
import { openMicrophone, type Microphone } from './microphone';
import { Stream } from './stream';

/** Where sound shall come from. */
export type Wish = { kind: 'device'; name: string } | { kind: 'browser'; input: string | null };

class Live {
  id = $state<string | null>(null);
  starting = $state(false);
  state = $state.raw<LiveState | null>(null);
  level = $state.raw<Level | null>(null);
  reading = $state.raw<LiveReading | null>(null);
  /** What went wrong last, as a sentence. */
  failure = $state('');
  /** Whether the line to the program holds. */
  online = $state(true);
  /** The reading that was kept last. */
  kept = $state<string | null>(null);
  /** The clock that was found last, by a quartz movement. */
  clockKept = $state.raw<Clock | null>(null);
  #stream: Stream | null = null;
  #microphone: Microphone | null = null;

  /** Whether the sound comes from this very page, and ends with it. */
  get isFromHere(): boolean {
    return this.#microphone !== null;
  }

  async start(wish: Wish, settings: LiveSettings, job_id: string | null): Promise<void> {
    this.failure = '';
    this.starting = true;
    try {
      if (wish.kind === 'device') {
        const { id } = await api.live.start({
          source: { kind: 'device', name: wish.name },
          settings,
          job_id,
        });
        this.follow(id);
        return;
      }
      const microphone = await openMicrophone(wish.input, () => {
        this.failure = 'The microphone is gone. Plug it in, then start again.';
        void this.end();
      });
      this.#microphone = microphone;
      const { name, sample_rate_hz, channels } = microphone;
      const source = { kind: 'browser' as const, name, sample_rate_hz, channels };
      const { id } = await api.live.start({ source, settings, job_id });
      this.follow(id);
      microphone.follow((block) => this.#stream?.send(block));
    } catch (cause) {
      this.#leave();
      this.failure = sentence(cause);
    } finally {
      this.starting = false;
    }
  }

  /** Hears what is being heard already. */
  follow(id: string) {
    this.#stream?.close();
    this.state = null;
    this.level = null;
    this.reading = null;
    this.kept = null;
    this.clockKept = null;
    this.online = true;
    this.id = id;
    this.#stream = new Stream(id, {
      onframe: (frame) => this.#take(frame),
      online: (open) => {
        this.online = open;
        if (!open) void this.#stillThere(id);
      },
    });
  }

  async tell(settings: LiveSettings) {
    if (this.id) await this.#try(() => api.live.tell(this.id ?? '', settings));
  }

  async takeReading(wish: LiveReadingWish) {
    this.kept = null;
    await this.#try(() => api.live.take(this.id ?? '', wish));
  }

  /** Ends the reading early and keeps what there is of it. */
  async keepReading() {
    await this.#try(() => api.live.keepSoFar(this.id ?? ''));
  }

  /** Forgets what was heard so far: another watch, another position. */
  async hearAnew() {
    this.reading = null;
    await this.#try(() => api.live.anew(this.id ?? ''));
  }

  /** Compares the device's clock with a quartz movement on the pickup. */
  async hearQuartz(wish: QuartzWish) {
    this.clockKept = null;
    await this.#try(() => api.live.hearQuartz(this.id ?? '', wish));
  }

  /** Hears a device of the bench, which may be heard already; gives back whether it was begun. */
  async hearDevice(name: string): Promise<boolean> {
    const isIt = ({ source }: LiveState) => source.kind === 'device' && source.name === name;
    this.failure = '';
    if (this.state && isIt(this.state)) return false;
    if (this.isFromHere) {
      this.failure = "This browser's microphone is being heard: stop listening first.";
      return false;
    }
    try {
      const heard = (await api.live.list()).live.find(isIt);
      if (heard) {
        this.follow(heard.id);
        return false;
      }
    } catch (cause) {
      this.failure = sentence(cause);
      return false;
    }
    const settings = { lift_angles_deg: [], beats_per_hour: [], balances: null };
    await this.start({ kind: 'device', name }, settings, null);
    return this.id !== null;
  }

  /** Also ends listening to a quartz movement. */
  async cancelReading() {
    await this.#try(() => api.live.cancel(this.id ?? ''));
  }

  /** Ends listening, for everybody. */
  async end() {
    const { id } = this;
    this.#leave();
    if (id) await this.#try(() => api.live.end(id));
  }

  /** Looks away; a device of the bench is heard on. */
  leave() {
    this.#leave();
  }

  async #try(action: () => Promise<unknown>) {
    this.failure = '';
    try {
      await action();
    } catch (cause) {
      this.failure = sentence(cause);
    }
  }

  /** A line that breaks because there is nothing at its other end is not opened again. */
  async #stillThere(id: string) {
    try {
      const { live } = await api.live.list();
      if (this.id === id && !live.some((one) => one.id === id)) {
        this.#leave();
        this.failure = 'Listening has ended.';
      }
    } catch (cause) {
      // Nobody answers: the line is tried again. A stranger is told.
      if (cause instanceof Refused) this.failure = cause.message;
    }
  }

  #take(frame: LiveFrame) {
    switch (frame.type) {
      case 'level':
        this.level = frame;
        break;
      case 'reading':
        this.reading = frame;
        break;
      case 'state':
        this.state = frame;
        break;
      case 'kept':
        this.kept = frame.reading_id;
        break;
      case 'clock_kept':
        this.clockKept = frame;
        break;
      case 'failed':
        this.failure = frame.message;
        break;
      case 'ended':
        this.#leave();
        break;
    }
  }

  #leave() {
    this.#stream?.close();
    this.#stream = null;
    this.#microphone?.stop();
    this.#microphone = null;
    this.id = null;
    this.state = null;
  }
}

export const live = new Live();
