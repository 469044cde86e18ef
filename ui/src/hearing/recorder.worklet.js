// Runs beside the page, where sound comes in: hands on every sample as it came, half a second at a time, and says how loud it is.

class Recorder extends AudioWorkletProcessor {
  constructor() {
    super();
    this.channels = 0;
    this.size = Math.round(sampleRate / 2);
    this.parts = [];
    this.filled = 0;
    this.peak = 0;
    this.clipped = 0;
    this.told = 0;
    this.keeping = false;
    this.port.onmessage = ({ data }) => {
      if (data === 'keep') this.keeping = true;
      if (data === 'end') {
        this.keeping = false;
        this.handOn();
        this.port.postMessage({ ended: true });
      }
    };
  }

  /** Hands on what is there, frame by frame, all channels beside each other. */
  handOn() {
    if (this.filled === 0) return;
    const samples = new Float32Array(this.filled * this.channels);
    this.parts.forEach((part, channel) => {
      for (let at = 0; at < this.filled; at += 1) samples[at * this.channels + channel] = part[at];
    });
    this.filled = 0;
    this.port.postMessage({ samples, channels: this.channels }, [samples.buffer]);
  }

  process([input]) {
    if (input === undefined || input.length === 0) return true;
    const count = Math.min(input.length, 2);
    if (this.channels === 0) {
      this.channels = count;
      this.parts = Array.from({ length: count }, () => new Float32Array(this.size));
    }
    const frames = input[0].length;
    for (let channel = 0; channel < count; channel += 1) {
      for (const sample of input[channel]) {
        const height = Math.abs(sample);
        if (height > this.peak) this.peak = height;
        if (height >= 0.999) this.clipped += 1;
      }
    }
    if (this.keeping) {
      for (let at = 0; at < frames; at += 1) {
        for (let channel = 0; channel < this.channels; channel += 1) {
          this.parts[channel][this.filled] = (input[channel] ?? input[0])[at];
        }
        this.filled += 1;
        if (this.filled === this.size) this.handOn();
      }
    }
    this.told += frames;
    if (this.told >= sampleRate / 20) {
      this.port.postMessage({ peak: this.peak, clipped: this.clipped });
      this.told = this.peak = this.clipped = 0;
    }
    return true;
  }
}

registerProcessor('recorder', Recorder);
