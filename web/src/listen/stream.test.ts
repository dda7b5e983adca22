// @vitest-environment jsdom

import { beforeEach, expect, test, vi } from 'vitest';
import { pack, Stream } from './stream';

class Socket {
  static readonly OPEN = 1;
  static made: Socket[] = [];
  readyState = 0;
  bufferedAmount = 0;
  sent: ArrayBuffer[] = [];
  onopen?: () => void;
  onclose?: () => void;
  onmessage?: (message: { data: unknown }) => void;

  constructor(readonly address: URL) {
    Socket.made.push(this);
  }
  send(bytes: ArrayBuffer) {
    this.sent.push(bytes);
  }
  close() {
    this.readyState = 3;
    this.onclose?.();
  }
  opens() {
    this.readyState = 1;
    this.onopen?.();
  }
}

const first = (bytes: ArrayBuffer) => Number(new DataView(bytes).getBigUint64(0, true));
const block = (at: number) => ({ first: at, samples: Float32Array.of(0.25, -1) });

beforeEach(() => {
  Socket.made = [];
  vi.stubGlobal('WebSocket', Socket);
});

test('a block travels as its first index and then its samples, little endian', () => {
  const bytes = new Uint8Array(pack({ first: 258, samples: Float32Array.of(1, -0.5) }));
  // 258 = 0x0102; 1.0f = 0x3f800000; -0.5f = 0xbf000000 (IEEE 754).
  expect([...bytes]).toEqual([2, 1, 0, 0, 0, 0, 0, 0, 0, 0, 128, 63, 0, 0, 0, 191]);
});

test('blocks made while the line is down follow in order once it is up again', () => {
  vi.useFakeTimers();
  const online: boolean[] = [];
  const stream = new Stream('7', { onframe: () => undefined, online: (open) => online.push(open) });
  stream.send(block(0));
  Socket.made[0]?.opens();
  stream.send(block(2));
  expect(Socket.made[0]?.sent.map(first)).toEqual([0, 2]);
  Socket.made[0]?.close();
  stream.send(block(4));
  stream.send(block(6));
  vi.advanceTimersByTime(5000);
  Socket.made[1]?.opens();
  expect(Socket.made[1]?.sent.map(first)).toEqual([4, 6]);
  expect(online).toEqual([true, false, true]);
});

test('a slow line holds blocks back instead of piling them up', () => {
  const stream = new Stream('7', { onframe: () => undefined, online: () => undefined });
  const [socket] = Socket.made;
  socket?.opens();
  if (socket) socket.bufferedAmount = 1 << 21;
  stream.send(block(0));
  expect(socket?.sent).toEqual([]);
  if (socket) socket.bufferedAmount = 0;
  stream.send(block(2));
  expect(socket?.sent.map(first)).toEqual([0, 2]);
});

test('after the end the line is not opened again', () => {
  vi.useFakeTimers();
  const frames: unknown[] = [];
  new Stream('7', { onframe: (frame) => frames.push(frame), online: () => undefined });
  Socket.made[0]?.opens();
  Socket.made[0]?.onmessage?.({ data: '{"type":"ended"}' });
  Socket.made[0]?.close();
  vi.advanceTimersByTime(60_000);
  expect(Socket.made).toHaveLength(1);
  expect(frames).toEqual([{ type: 'ended' }]);
});
