// Runs beside the page, where sound goes out: of sounds that go round together it lets one be heard. A switch begins with the samples that
// are played next, however busy the page is, and the one sound goes down exactly as the other comes up.

class Switch extends AudioWorkletProcessor {
  constructor({ processorOptions: { now, fade } }) {
    super();
    // -1 is silence.
    this.from = now;
    this.to = now;
    this.next = now;
    this.done = 0;
    this.step = 1 / (fade * sampleRate);
    this.port.onmessage = ({ data }) => (this.next = data);
  }

  process(inputs, [[out]]) {
    const sound = (index) => inputs[index]?.[0];
    let [from, to] = [sound(this.from), sound(this.to)];
    for (let at = 0; at < out.length; at += 1) {
      // A switch that is under way is heard to its end first.
      if (this.from === this.to && this.next !== this.to) {
        this.to = this.next;
        this.done = 0;
        to = sound(this.to);
      }
      if (this.from === this.to) {
        out[at] = from?.[at] ?? 0;
        continue;
      }
      this.done = Math.min(this.done + this.step, 1);
      // Sounds that have nothing to do with each other keep their power by these.
      const turn = (this.done * Math.PI) / 2;
      out[at] = Math.cos(turn) * (from?.[at] ?? 0) + Math.sin(turn) * (to?.[at] ?? 0);
      if (this.done === 1) {
        this.from = this.to;
        from = to;
      }
    }
    // Nothing is heard of it any more.
    return this.to !== -1 || this.from !== -1;
  }
}

registerProcessor('switch', Switch);
