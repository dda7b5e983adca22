// Runs on the browser's audio thread: gathers raw samples into blocks, each with the index of its
// first frame, and hands them to the page. Nothing is filtered, scaled or resampled.

const BLOCK_FRAMES = 4096;

class Capture extends AudioWorkletProcessor {
  constructor({ processorOptions: { channels, skipFrames } }) {
    super();
    this.channels = channels;
    this.skip = skipFrames;
    this.begin();
    this.first = 0;
    this.start = undefined;
  }

  begin() {
    this.block = new Float32Array(BLOCK_FRAMES * this.channels);
    this.filled = 0;
  }

  process([input]) {
    // While the microphone is gone there is no channel; time goes on, so frames will be missing.
    const frames = input[0]?.length ?? 0;
    // The first moments of a capture belong to the device, not to the watch.
    if (this.skip > 0) {
      this.skip -= frames;
      return true;
    }
    this.start ??= currentFrame;
    for (let n = 0; n < frames; n++) {
      if (this.filled === 0) this.first = currentFrame - this.start + n;
      for (let c = 0; c < this.channels; c++) {
        this.block[this.filled * this.channels + c] = (input[c] ?? input[0])[n];
      }
      if (++this.filled === BLOCK_FRAMES) this.send();
    }
    if (frames === 0 && this.filled > 0) this.send();
    return true;
  }

  send() {
    const samples = this.block.subarray(0, this.filled * this.channels);
    this.port.postMessage({ first: this.first, samples }, [this.block.buffer]);
    this.begin();
  }
}

registerProcessor('endshake-capture', Capture);
