// The line to a watch that is heard live: frames come, blocks of sound go. Breaks are bridged.

import { BASE } from '../server/request';
import type { LiveFrame } from '../wire/LiveFrame';
import type { Block } from './microphone';

/** Bytes that may wait in the line before newer blocks are held back here. */
const MOST_IN_LINE = 1 << 20;
/** Blocks held while the line is down or slow: about a minute at 48 kHz. */
const MOST_HELD = 700;
const AGAIN_MS = 1000;

/** A block as it travels: index of its first frame (u64 LE), then samples (f32 LE). */
export function pack(block: Block): ArrayBuffer {
  const bytes = new ArrayBuffer(8 + 4 * block.samples.length);
  const view = new DataView(bytes);
  view.setBigUint64(0, BigInt(block.first), true);
  block.samples.forEach((sample, n) => view.setFloat32(8 + 4 * n, sample, true));
  return bytes;
}

export interface StreamEvents {
  onframe: (frame: LiveFrame) => void;
  /** Whether the line holds. */
  online: (open: boolean) => void;
}

export class Stream {
  #socket: WebSocket | null = null;
  #held: Block[] = [];
  #timer: ReturnType<typeof setTimeout> | undefined;
  #closed = false;

  constructor(
    private readonly id: string,
    private readonly events: StreamEvents,
  ) {
    this.#open();
  }

  send(block: Block) {
    this.#held.push(block);
    // The server sees from the indexes what is missing, and says so.
    if (this.#held.length > MOST_HELD) this.#held.shift();
    this.#drain();
  }

  close() {
    this.#closed = true;
    clearTimeout(this.#timer);
    this.#socket?.close();
  }

  #drain() {
    const socket = this.#socket;
    if (socket?.readyState !== WebSocket.OPEN) return;
    while (this.#held.length > 0 && socket.bufferedAmount < MOST_IN_LINE) {
      const block = this.#held.shift();
      if (block) socket.send(pack(block));
    }
  }

  #open() {
    const address = new URL(`${BASE}/live/${this.id}/stream`, location.href);
    address.protocol = address.protocol === 'https:' ? 'wss:' : 'ws:';
    const socket = new WebSocket(address);
    this.#socket = socket;
    socket.onopen = () => {
      this.events.online(true);
      this.#drain();
    };
    socket.onmessage = (message: MessageEvent<unknown>) => {
      if (typeof message.data !== 'string') return;
      const frame = JSON.parse(message.data) as LiveFrame;
      if (frame.type === 'ended') this.#closed = true;
      this.events.onframe(frame);
    };
    socket.onclose = () => {
      if (this.#closed) return;
      this.events.online(false);
      this.#timer = setTimeout(() => this.#open(), AGAIN_MS);
    };
  }
}
