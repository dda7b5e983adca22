// What a WAV holds (RIFF: after twelve bytes chunks of four letters, a length, as much).

export function chunk(wav: Buffer, name: string): { from: number; to: number } {
  for (let at = 12; at + 8 <= wav.length; ) {
    const length = wav.readUInt32LE(at + 4);
    if (wav.toString('latin1', at, at + 4) === name) return { from: at + 8, to: Math.min(wav.length, at + 8 + length) };
    at += 8 + length + (length % 2);
  }
  throw new Error(`a WAV without a chunk “${name}”`);
}

export const samplesOf = (wav: Buffer) => wav.subarray(chunk(wav, 'data').from, chunk(wav, 'data').to);
