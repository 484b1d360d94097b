// Plays a plan on the audio clock. Every sound is scheduled a little before it is
// heard; the timer only has to look ahead often enough, so that a busy page does
// not move the click.

const ahead = 1.2; // seconds that sounds are scheduled before they are heard
const aheadHidden = 3; // the same of a page that is not seen, whose timers come once a second
const loudest = 0.5; // peak of a click, and of all notes at once: together they never overload

/** gain is the gain for a place from 0 to 1 of a volume control. The ear measures
    by ratios, so equal steps are equal decibels, 10 for each quarter of the way:
    about twice as loud (common practice, no source). At 0 there is silence. */
export function gain(place) { return place > 0 ? 10 ** (2 * (place - 1)) : 0; }

/** together is the most notes that sound at once. */
export function together(notes) {
  const changes = notes.flatMap(([at, length]) => [[at, 1], [at + length, -1]]);
  changes.sort(([a, up], [b, down]) => (Math.abs(a - b) > 1e-5 ? a - b : up - down)); // ends go before beginnings
  let now = 0, most = 1;
  for (const [, by] of changes) most = Math.max(most, (now += by));
  return most;
}

const voices = ["notes", "bass", "chords", "drone"]; // by the number of a note's layer

/** layers are what has a level of its own. */
export const layers = ["click", "cue", ...voices];

/** A Player plays the clicks and notes of a plan from a time on. */
export class Player {
  #audio;
  #hertz;
  #events = [];
  #next = 0;
  #zero = 0;
  #master;
  #timer;
  #ends = Infinity;
  #done;
  #layers = {};
  #every;
  #note = 0; // the peak of a note
  #until = 0; // what comes before is scheduled

  /** every is how the player is called again, for tests without a clock. */
  constructor(audio, hertz, { every = (f) => { const t = setInterval(f, 50); return () => clearInterval(t); } } = {}) {
    this.#audio = audio;
    this.#hertz = hertz;
    this.#every = every;
    this.onclick = undefined; // told when each click was scheduled, in the clock's time
  }

  get playing() { return this.#timer !== undefined; }

  /** scheduled is the time of the plan up to which sounds are scheduled. */
  get scheduled() { return this.#until; }

  /** zero is the time of the audio clock at which the plan begins. */
  get zero() { return this.#zero; }

  /** start plays a plan from a time of it on, in a moment, or at a time of the audio
      clock; done is called at its end. */
  start({ clicks, notes, duration }, { from = 0, volume = 1, levels = {}, done = () => {}, delay = 0.25, at } = {}) {
    this.stop();
    this.#note = Math.min(0.22, loudest / together(notes));
    this.#set({ clicks, notes, duration }, from);
    this.#done = done;
    this.#master = this.#audio.createGain();
    this.#master.gain.value = volume;
    this.#master.connect(this.#audio.destination);
    this.#layers = {};
    for (const name of layers) {
      const layer = this.#audio.createGain();
      layer.gain.value = levels[name] ?? 1;
      layer.connect(this.#master);
      this.#layers[name] = layer;
    }
    this.#zero = (at ?? this.#audio.currentTime + delay) - from;
    this.#until = from;
    this.#timer = this.#every(() => this.#look());
    this.#look();
  }

  /** replace goes on with another plan that is the same up to what is scheduled. */
  replace(plan) {
    if (this.playing) this.#set(plan, this.#until);
  }

  #set({ clicks, notes, duration }, from) {
    this.#events = [
      ...clicks.map(([at, accent]) => ({ at, layer: "click", accent, peak: loudest })),
      ...notes.map(([at, length, key, cue, layer = 0]) => ({ at, layer: cue ? "cue" : voices[layer], length, hertz: this.#hertz[key], peak: this.#note })),
    ].filter((e) => e.at >= from - 1e-9).sort((a, b) => a.at - b.at);
    this.#next = 0;
    this.#ends = duration;
  }

  /** time is the time of the plan that is heard now. */
  time() { return this.#audio.currentTime - Math.min(this.#audio.outputLatency || 0, 0.5) - this.#zero; }

  /** setVolume changes the gain of everything, setLevel that of a layer. */
  setVolume(value) { this.#master?.gain.setTargetAtTime(value, this.#audio.currentTime, 0.02); }

  setLevel(layer, value) { this.#layers[layer]?.gain.setTargetAtTime(value, this.#audio.currentTime, 0.02); }

  /** stop ends all sound at once. */
  stop() {
    if (this.#timer === undefined) return;
    this.#timer();
    this.#timer = undefined;
    this.#master.disconnect();
  }

  #look() {
    this.#until = Math.max(this.#until, this.#audio.currentTime + (globalThis.document?.hidden ? aheadHidden : ahead) - this.#zero);
    while (this.#next < this.#events.length && this.#events[this.#next].at < this.#until) this.#sound(this.#events[this.#next++]);
    if (this.time() >= this.#ends) {
      this.stop();
      this.#done();
    }
  }

  #sound(e) {
    const at = Math.max(this.#zero + e.at, this.#audio.currentTime);
    const tone = this.#audio.createOscillator();
    const shape = this.#audio.createGain();
    const length = e.hertz ? Math.max(e.length, 0.05) : 0.04;
    tone.type = e.hertz ? "triangle" : "square";
    tone.frequency.value = e.hertz || (e.accent ? 1700 : 1130);
    shape.gain.setValueAtTime(0, at);
    shape.gain.linearRampToValueAtTime(e.peak, at + (e.hertz ? 0.01 : 0.001));
    if (e.hertz) shape.gain.setValueAtTime(e.peak * 0.8, at + length * 0.8);
    shape.gain.linearRampToValueAtTime(0, at + length);
    tone.connect(shape).connect(this.#layers[e.layer]);
    tone.start(at);
    tone.stop(at + length + 0.01);
    if (!e.hertz) this.onclick?.(at);
  }
}
