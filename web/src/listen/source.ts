import type { LiveSource } from '../wire/LiveSource';
import type { SoundDeviceList } from '../wire/SoundDeviceList';

/** What the sound comes from, for people. */
export function sourceWords(source: LiveSource, known: SoundDeviceList | undefined): string {
  if (source.kind === 'browser') return source.name;
  return known?.devices.find((device) => device.name === source.name)?.words ?? source.name;
}
