// Hands what a microphone hears to a port, in blocks, each with the number of its
// first frame. It runs beside the page's own thread and works nothing out.

const size = 1024; // frames of a block

registerProcessor("keyorder blocks", class extends AudioWorkletProcessor {
  #to;
  #block = new Float32Array(size);
  #filled = 0;

  constructor() {
    super();
    this.port.onmessage = ({ data }) => { this.#to = data; };
  }

  process([[channel]]) {
    if (!this.#to) return true;
    const frames = channel?.length ?? 128; // without a microphone there is silence
    if (channel) this.#block.set(channel, this.#filled);
    else this.#block.fill(0, this.#filled, this.#filled + frames);
    this.#filled += frames;
    if (this.#filled < size) return true;
    this.#to.postMessage({ frame: currentFrame + frames - size, block: this.#block }, [this.#block.buffer]);
    this.#block = new Float32Array(size);
    this.#filled = 0;
    return true;
  }
});
