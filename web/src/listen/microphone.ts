// This browser's microphone as a source of raw samples.

import workletUrl from './capture.worklet.js?url';

export interface Block {
  /** Index of the first frame since capture began. */
  first: number;
  /** Frames, channels interleaved, -1 to 1. */
  samples: Float32Array;
}

export interface Microphone {
  name: string;
  sample_rate_hz: number;
  channels: number;
  /** From now on blocks go to `take`; those gathered before go first. */
  follow(take: (block: Block) => void): void;
  stop(): void;
}

export interface Input {
  id: string;
  name: string;
}

const SKIP_S = 0.5;
const FIRST_SOUND_MS = 8000;

/** Why this browser gives no microphone, as a sentence; nothing where it may. */
export function whyNoMicrophone(): string {
  if (!isSecureContext) {
    return 'A browser gives its microphone only to pages over https, or on the machine itself.';
  }
  if (!('mediaDevices' in navigator) || !('AudioWorkletNode' in globalThis)) {
    return 'This browser cannot hand over the sound of its microphone.';
  }
  return '';
}

/** The microphones that the browser tells of; their names only once it was allowed to listen. */
export async function inputs(): Promise<Input[]> {
  if (whyNoMicrophone() !== '') return [];
  const devices = await navigator.mediaDevices.enumerateDevices();
  return devices
    .filter((device) => device.kind === 'audioinput' && device.label !== '')
    .map((device) => ({ id: device.deviceId, name: device.label }));
}

function refusal(cause: unknown): Error {
  const name = cause instanceof DOMException ? cause.name : '';
  switch (name) {
    case 'NotAllowedError':
      return new Error(
        'The browser was not allowed to use the microphone. Allow it beside the address of this page, then start again.',
      );
    case 'NotFoundError':
    case 'OverconstrainedError':
      return new Error('There is no such microphone. Plug one in, then start again.');
    case 'NotReadableError':
      return new Error('The microphone does not open; another program may hold it.');
    default:
      return cause instanceof Error ? cause : new Error('The microphone does not open.');
  }
}

/** Keeps a phone from falling asleep over its watch; gives back how to let it. */
function keepAwake(): () => void {
  let lock: WakeLockSentinel | undefined;
  let over = false;
  const ask = async () => {
    if (over || document.visibilityState !== 'visible') return;
    // Refused where the battery is low: then it is the user who has to keep it awake.
    lock = await navigator.wakeLock?.request('screen').catch(() => undefined);
    if (over) void lock?.release();
  };
  void ask();
  // The lock is lost whenever the page is out of sight.
  document.addEventListener('visibilitychange', ask);
  return () => {
    over = true;
    document.removeEventListener('visibilitychange', ask);
    void lock?.release();
  };
}

/** A microphone with one channel is often given out as two that are the same. */
export function isOneChannelTwice(samples: Float32Array): boolean {
  for (let n = 0; n + 1 < samples.length; n += 2) {
    if (samples[n] !== samples[n + 1]) return false;
  }
  return true;
}

export const leftOf = (block: Block): Block => ({
  first: block.first,
  samples: block.samples.filter((_, n) => n % 2 === 0),
});

function withinReason(begun: Promise<Block>): Promise<Block> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(
      () => reject(new Error('The microphone opens, but no sound comes from it.')),
      FIRST_SOUND_MS,
    );
    void begun.then((block) => {
      clearTimeout(timer);
      resolve(block);
    });
  });
}

/**
 * Opens a microphone with everything off that browsers do to voices. `onlost` is called when the
 * device goes away.
 */
export async function openMicrophone(id: string | null, onlost: () => void): Promise<Microphone> {
  const why = whyNoMicrophone();
  if (why !== '') throw new Error(why);
  let stream: MediaStream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: {
        echoCancellation: false,
        noiseSuppression: false,
        autoGainControl: false,
        ...(id === null ? {} : { deviceId: { exact: id } }),
      },
    });
  } catch (cause) {
    throw refusal(cause);
  }
  // At its own rate: a context with another one would resample.
  const context = new AudioContext();
  const awake = keepAwake();
  const stop = () => {
    awake();
    for (const track of stream.getTracks()) track.stop();
    void context.close();
  };
  try {
    const [track] = stream.getAudioTracks();
    const channels = Math.min(track?.getSettings().channelCount ?? 1, 2);
    await context.audioWorklet.addModule(workletUrl);
    const node = new AudioWorkletNode(context, 'endshake-capture', {
      numberOfOutputs: 0,
      channelCount: channels,
      channelCountMode: 'explicit',
      channelInterpretation: 'discrete',
      processorOptions: { channels, skipFrames: Math.round(SKIP_S * context.sampleRate) },
    });
    const early: Block[] = [];
    let take: (block: Block) => void = (block) => early.push(block);
    const begun = new Promise<Block>((resolve) => {
      node.port.onmessage = (event: MessageEvent<Block>) => {
        take(event.data);
        resolve(event.data);
      };
    });
    context.createMediaStreamSource(stream).connect(node);
    await context.resume();
    track?.addEventListener('ended', onlost);
    const first = await withinReason(begun);
    const twice = channels > 1 && isOneChannelTwice(first.samples);
    const shape = twice ? leftOf : (block: Block) => block;
    return {
      name: track?.label || 'microphone of this browser',
      sample_rate_hz: context.sampleRate,
      channels: twice ? 1 : channels,
      follow(next) {
        take = (block) => next(shape(block));
        for (const block of early.splice(0)) take(block);
      },
      stop,
    };
  } catch (cause) {
    stop();
    throw refusal(cause);
  }
}
