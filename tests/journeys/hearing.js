// Hears what the page plays: every sample that goes to the loudspeaker, whoever plays it.
window.heard = [];
// When the first of it was played, in the context's time.
window.since = null;
(async () => {
  const worklet = `registerProcessor('ear', class extends AudioWorkletProcessor {
    constructor() { super(); this.part = new Float32Array(4800); this.filled = 0; }
    process([input]) {
      const samples = input[0] ?? new Float32Array(128);
      for (const sample of samples) {
        this.part[this.filled] = sample;
        this.filled += 1;
        if (this.filled === this.part.length) { this.port.postMessage({ part: this.part, until: currentTime + 128 / sampleRate }); this.part = new Float32Array(4800); this.filled = 0; }
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
      window.context = this;
      this.listens = this.audioWorklet.addModule(source).then(() => {
        const ear = new AudioWorkletNode(this, 'ear', { numberOfInputs: 1, numberOfOutputs: 1, channelCount: 1, channelCountMode: 'explicit' });
        ear.port.onmessage = ({ data: { part, until } }) => {
          window.since ??= until - part.length / this.sampleRate;
          window.heard.push(part);
        };
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

/** Each finger's lifting, in the context's time: what is at the loudspeaker at that moment. */
window.lifted = [];
addEventListener(
  'pointerup',
  ({ timeStamp }) => {
    if (window.context === undefined) return;
    const { contextTime, performanceTime } = window.context.getOutputTimestamp();
    window.lifted.push(contextTime + (timeStamp - performanceTime) / 1000);
  },
  true,
);

/** What the browser and the sound card add to what the page does, in milliseconds. */
window.latency = () => 1000 * (window.context.baseLatency + window.context.outputLatency);

/** How long after a finger's lifting another tone is what the loudspeaker gives, in milliseconds, for each time that it changes. */
window.switched = (between) => {
  const all = window.heard.flatMap((part) => [...part]);
  // A window as long as the lower tone's wave: how fast what is in it swings, by what it moves from sample to sample.
  const length = 218;
  const pitch = (from) => {
    let [power, slope] = [0, 0];
    for (let at = from + 1; at < from + length; at += 1) {
      power += all[at] ** 2;
      slope += (all[at] - all[at - 1]) ** 2;
    }
    return power < 1e-4 ? null : (Math.sqrt(slope / power) * window.rate) / (2 * Math.PI);
  };
  const took = [];
  let before = null;
  let last = 0;
  for (let from = 0; from + length < all.length; from += 24) {
    const found = pitch(from);
    if (found === null) continue;
    const high = found > between;
    // As one fades into the other the pitch wavers.
    if (before !== null && high !== before && from - last > 0.2 * window.rate) {
      last = from;
      const at = window.since + (from + length / 2) / window.rate;
      const lifted = window.lifted.filter((time) => time < at).at(-1);
      if (lifted !== undefined) took.push(1000 * (at - lifted));
    }
    before = high;
  }
  return took;
};
