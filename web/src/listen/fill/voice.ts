// Says things aloud, by a voice of this device alone: others would send the words elsewhere.

function ownVoice(): SpeechSynthesisVoice | null {
  if (typeof speechSynthesis === 'undefined') return null;
  const voices = speechSynthesis.getVoices().filter((voice) => voice.localService);
  const english = voices.filter((voice) => voice.lang.startsWith('en'));
  return english.find((voice) => voice.default) ?? english[0] ?? null;
}

/** Calls `listener` with whether there is a voice, now and when that changes; gives back how to stop. */
export function onVoice(listener: (there: boolean) => void): () => void {
  const tell = () => listener(ownVoice() !== null);
  tell();
  if (typeof speechSynthesis === 'undefined') return () => {};
  // Browsers list their voices a moment after they are first asked.
  speechSynthesis.addEventListener('voiceschanged', tell);
  return () => speechSynthesis.removeEventListener('voiceschanged', tell);
}

/** Says it now, instead of what is being said. */
export function say(words: string) {
  const voice = ownVoice();
  if (!voice) return;
  const saying = new SpeechSynthesisUtterance(words);
  saying.voice = voice;
  saying.lang = voice.lang;
  speechSynthesis.cancel();
  speechSynthesis.speak(saying);
}

export const isSpeaking = (): boolean =>
  typeof speechSynthesis !== 'undefined' && speechSynthesis.speaking;

export function hush() {
  if (typeof speechSynthesis !== 'undefined') speechSynthesis.cancel();
}
