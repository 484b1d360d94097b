// What was played, as sound: heard back beside the model, and kept on this device
// only where that is asked for. Nothing here throws; a browser may keep nothing.

import { Player } from "./player.js";

const base = "keyorder takes", store = "takes";

function request(r) {
  return new Promise((resolve, reject) => {
    r.onsuccess = () => resolve(r.result);
    r.onerror = () => reject(r.error);
  });
}

async function within(mode, f) {
  const asked = indexedDB.open(base, 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(store, { keyPath: "id", autoIncrement: true });
  const db = await request(asked);
  try {
    return await request(f(db.transaction(store, mode).objectStore(store)));
  } finally {
    db.close();
  }
}

/** keep keeps a take, {name, given, rate, samples}, and reports whether it could. */
export function keep(take) { return within("readwrite", (s) => s.add({ ...take, when: Date.now() })).then(() => true, () => false); }

/** takes are those that are kept, the newest first. */
export function takes() { return within("readonly", (s) => s.getAll()).then((all) => all.reverse(), () => []); }

export function remove(id) { return within("readwrite", (s) => s.delete(id)).then(() => true, () => false); }

/** A Sound plays one thing at a time: a take, or the model of a session. */
export class Sound {
  #audio;
  #hertz;
  #stop = () => {};
  #until = 0;

  constructor(audio, hertz) {
    this.#audio = audio;
    this.#hertz = hertz;
  }

  stop() { this.#stop(); this.#stop = () => {}; }

  /** until is the time of the audio clock at which what it played last ends. */
  get until() { return this.#until; }

  /** take plays samples; volume is a gain. */
  take({ rate, samples }, volume) {
    this.stop();
    if (!samples.length) return;
    const buffer = this.#audio.createBuffer(1, samples.length, rate);
    buffer.getChannelData(0).set(Float32Array.from(samples, (x) => x / 32768));
    const source = this.#audio.createBufferSource(), level = this.#audio.createGain();
    source.buffer = buffer;
    level.gain.value = volume;
    source.connect(level).connect(this.#audio.destination);
    source.start();
    this.#until = this.#audio.currentTime + buffer.duration;
    this.#stop = () => { source.stop(); level.disconnect(); };
  }

  /** model plays the first statement of a plan in which the model sounds. */
  model(plan, volume) {
    this.stop();
    const turn = plan.turns.find((t) => t.who === "both");
    if (!turn) return;
    const player = new Player(this.#audio, this.#hertz);
    player.start({ ...plan, clicks: [], duration: turn.to }, { from: turn.at, volume });
    this.#until = player.zero + turn.to;
    this.#stop = () => player.stop();
  }
}
