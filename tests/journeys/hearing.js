// Hears what the page plays: every sample that goes to the loudspeaker, whoever plays it.
window.heard = [];
(async () => {
  const worklet = `registerProcessor('ear', class extends AudioWorkletProcessor {
    constructor() { super(); this.part = new Float32Array(4800); this.filled = 0; }
    process([input]) {
      const samples = input[0] ?? new Float32Array(128);
      for (const sample of samples) {
        this.part[this.filled] = sample;
        this.filled += 1;
        if (this.filled === this.part.length) { this.port.postMessage(this.part); this.part = new Float32Array(4800); this.filled = 0; }
      }
      return true;
    }
  })`;
  const source = URL.createObjectURL(new Blob([worklet], { type: 'text/javascript' }));
  const connect = AudioNode.prototype.connect;
  const ears = new Map();
  AudioNode.prototype.connect = function (to, ...rest) {
    if (to === this.context.destination && ears.has(this.context)) connect.call(this, ears.get(this.context));
    return connect.call(this, to, ...rest);
  };
  const Context = window.AudioContext;
  window.AudioContext = class extends Context {
    constructor(...given) {
      super(...given);
      window.rate = this.sampleRate;
      this.listens = this.audioWorklet.addModule(source).then(() => {
        const ear = new AudioWorkletNode(this, 'ear', { numberOfInputs: 1, numberOfOutputs: 1, channelCount: 1, channelCountMode: 'explicit' });
        ear.port.onmessage = ({ data }) => window.heard.push(data);
        connect.call(ear, this.destination);
        ears.set(this, ear);
      });
    }
    async resume() { await this.listens; return super.resume(); }
  };
})();

/** The longest pause in what was heard, in milliseconds, and the greatest jump, against the height of it. */
window.judged = () => {
  const all = window.heard.flatMap((part) => [...part]);
  const height = all.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const loud = (sample) => Math.abs(sample) > height * 0.05;
  const [first, last] = [all.findIndex(loud), all.findLastIndex(loud)];
  // Its own beginning and end are none of it.
  const inside = all.slice(first + 480, last - 4800);
  let pause = 0;
  let longest = 0;
  let jump = 0;
  inside.forEach((sample, at) => {
    pause = loud(sample) ? 0 : pause + 1;
    longest = Math.max(longest, pause);
    // What is left of a wave after the slope that it had: a click is a jump of it.
    if (at > 1) jump = Math.max(jump, Math.abs(sample - 2 * inside[at - 1] + inside[at - 2]));
  });
  return { seconds: inside.length / window.rate, pause: (1000 * longest) / window.rate, jump: jump / height };
};
