// Hears a player, by a microphone or by the keys of a MIDI instrument, and says how
// each statement of a session was played. The work is done in a Worker, so that the
// page and its click are not held up; the sound goes there and nowhere else, and is
// kept only where that is asked for.
//
//	const listener = await Listener.microphone(audio, { instrument: "trumpet" });
//	listener.onsay = ({ turn, verdict, words }) => { … };   // "third note: G"
//	listener.follow(session, player.zero);

import { KeyorderError } from "./keyorder.js";

const patience = 50; // ms between the times at which keys are judged
const lead = 0.8; // seconds at least from a note that was held to the count-in

const noMIDI = "The browser gives this page no MIDI instrument: it was refused, here or in the browser's settings.";
const words = {
  microphone: {
    NotAllowedError: "The browser gives this page no microphone: it was refused, here or in the browser's settings.",
    NotFoundError: "There is no microphone.",
    NotReadableError: "Another program has the microphone.",
  },
  midi: {
    NotAllowedError: noMIDI,
    SecurityError: noMIDI,
    NotSupportedError: "The system gives the browser no MIDI instruments.",
  },
};

async function microphone() {
  try {
    if (!navigator.mediaDevices) throw new DOMException("This browser gives pages no microphone, or not to this address.", "NotSupported");
    return await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
  } catch (e) {
    throw refused(e, words.microphone);
  }
}

// refused puts the browser's refusal into words.
function refused(e, words) { return new KeyorderError({ field: "", text: words[e.name] || e.message }); }

/** countFrom is when to begin after a note that was held for two beats: in time with
    it, and not before a time that is now. */
export function countFrom(since, beat, now) {
  let at = since + Math.ceil(2 + lead / beat - 1e-9) * beat;
  while (at < now + 0.2) at += beat;
  return at;
}

/** A Listener hears one player. */
export class Listener {
  #audio;
  #worker;
  #answers = new Map();
  #asked = 0;
  #end = [];
  #keys;

  /** microphone asks for the microphone, as it is: no echo is cancelled, no noise
      suppressed, no level changed. */
  static async microphone(audio, { instrument }) {
    const l = new Listener(audio);
    try {
      // All is ready when the microphone begins.
      await Promise.all([audio.audioWorklet.addModule(new URL("listen-worklet.js", import.meta.url)), l.#ask("open", instrument, audio.sampleRate)]);
      const stream = await microphone();
      l.#end.push(() => stream.getTracks().forEach((t) => t.stop()));
      const source = audio.createMediaStreamSource(stream);
      const blocks = new AudioWorkletNode(audio, "keyorder blocks", { channelCount: 1, channelCountMode: "explicit" });
      const { port1, port2 } = new MessageChannel();
      l.#worker.postMessage({ port: port1 }, [port1]);
      blocks.port.postMessage(port2, [port2]);
      source.connect(blocks).connect(audio.destination); // it sounds nothing, but is called
      l.#end.push(() => { source.disconnect(); blocks.disconnect(); });
      stream.getAudioTracks()[0].onended = () => l.onend("The microphone is gone.");
      return l;
    } catch (e) {
      l.close();
      throw e;
    }
  }

  /** keys asks for MIDI instruments, and hears all that there are. */
  static async keys(audio, { instrument }) {
    let midi;
    try {
      if (!navigator.requestMIDIAccess) throw new DOMException("This browser gives pages no MIDI instrument.", "NotSupported");
      midi = await navigator.requestMIDIAccess();
    } catch (e) {
      throw refused(e, words.midi);
    }
    const l = new Listener(audio);
    l.#keys = midi;
    const heard = (e) => l.#message(e);
    const attach = () => {
      for (const input of midi.inputs.values()) input.onmidimessage = heard;
      l.onlevel(0);
    };
    try {
      await l.#ask("open", instrument, 0);
    } catch (e) {
      l.close();
      throw e;
    }
    attach();
    midi.onstatechange = attach;
    const timer = setInterval(() => l.#tell("at", l.#clock(performance.now())), patience);
    l.#end.push(() => {
      clearInterval(timer);
      midi.onstatechange = null;
      for (const input of midi.inputs.values()) input.onmidimessage = null;
    });
    return l;
  }

  constructor(audio) {
    this.#audio = audio;
    this.#worker = new Worker(new URL("listen-worker.js", import.meta.url), { type: "module" });
    this.#worker.onmessage = ({ data }) => this.#hear(data);
    this.#worker.onerror = (e) => {
      const text = "The program that listens has ended, or could not be loaded.";
      for (const { reject } of this.#answers.values()) reject(new KeyorderError({ field: "", text }));
      this.#answers.clear();
      this.onend(text);
      e.preventDefault?.();
    };
    this.#end.push(() => this.#worker.terminate());
    // told each say, the level, the note that sounds, a note that was held, and that
    // it hears no more
    this.onsay = () => {};
    this.onlevel = () => {};
    this.onnote = () => {};
    this.onheld = () => {};
    this.onend = () => {};
  }

  /** instruments are the names of the MIDI instruments that it hears. */
  get instruments() { return this.#keys ? [...this.#keys.inputs.values()].map((i) => i.name || "an instrument") : []; }

  /** follow judges a session whose plan began, or begins, at a time of the audio
      clock; of what comes before the time from of the plan nothing is said. The same
      session in another tempo goes on. */
  follow(session, zero, { from = 0, alone = false, charge = "rhythm" } = {}) {
    this.#tell("follow", session.state(), { zero: zero + this.#late(), from, alone, charge });
  }

  /** await has onheld told once when the first note of the statement of a turn is
      held for two beats. */
  await(session, turn) { this.#tell("await", session.state(), turn); }

  /** leave follows nothing any more, and waits for nothing. */
  leave() { this.#tell("leave"); }

  /** keep keeps the sound from now on, for take, or forgets it. */
  keep(on) { this.#tell("keep", on); }

  /** take is the sound that was kept between two times of the audio clock. */
  take(from, to) { return this.#ask("take", from + this.#late(), to + this.#late()); }

  /** idea is the figure that was played from a time of the audio clock on, to a
      count of so many quarters a minute. */
  idea(from, tempo) { return this.#ask("idea", from + this.#late(), tempo); }

  /** close lets go of the microphone. */
  close() {
    for (const f of this.#end.reverse()) f();
    this.#end = [];
  }

  // late is by how much later than scheduled a sound comes out, which the player
  // plays to; what the way into the microphone takes the judge finds out. Keys are
  // timed by what is heard.
  #late() { return this.#keys ? 0 : Math.min(this.#audio.outputLatency || 0, 0.5); }

  #tell(act, ...given) { this.#worker.postMessage({ act, given }); }

  #ask(act, ...given) {
    const id = ++this.#asked;
    return new Promise((resolve, reject) => {
      this.#answers.set(id, { resolve, reject });
      this.#worker.postMessage({ id, act, given });
    });
  }

  #hear({ id, value, error, level, says, held, note, now }) {
    if (id) {
      const { resolve, reject } = this.#answers.get(id) ?? {};
      this.#answers.delete(id);
      if (error) reject?.(new KeyorderError(error));
      else resolve?.(value);
    } else if (error) this.onend(error.text);
    if (level !== undefined) this.onlevel(level);
    for (const s of says ?? []) this.onsay(s);
    if (note !== undefined) this.onnote(note, now - this.#late());
    if (held !== undefined) this.onheld(held - this.#late());
  }

  // clock is the time of the audio clock that is heard at a time of the page's.
  #clock(at) {
    const { contextTime, performanceTime } = this.#audio.getOutputTimestamp?.() ?? {};
    if (performanceTime > 0) return contextTime + (at - performanceTime) / 1000;
    return this.#audio.currentTime - Math.min(this.#audio.outputLatency || 0, 0.5) + (at - performance.now()) / 1000;
  }

  #message({ data: [status, key, velocity], timeStamp }) {
    const kind = status & 0xf0; // MIDI 1.0: note off 8n, note on 9n; on with velocity 0 is off
    if (kind === 0x90 && velocity > 0) this.#tell("press", key, velocity, this.#clock(timeStamp));
    else if (kind === 0x80 || kind === 0x90) this.#tell("release", key);
    if (kind === 0x90) this.onlevel(velocity / 127);
  }
}
