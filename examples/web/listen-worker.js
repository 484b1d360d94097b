// Listens beside the page's own thread: blocks of sound from listen-worklet.js, or
// keys, go to the program ear.wasm, and what it says goes to listener.js. Times that
// come and go are those of the audio clock, in seconds. Nothing leaves the device.

import { KeyorderError, load } from "./keyorder.js";

const longest = 600; // seconds of sound that are kept at most, where that is asked for
const often = 0.08; // seconds from level to level

let ear, rate = 0, next; // next is the frame that comes next
let zero = 0; // when the program's own clock began
let waiting = []; // for the first block
let kept, peak = 0, told = 0, sounds = 0;

const acts = {
  async open(instrument, of) {
    ear = await load(new URL("ear.wasm", import.meta.url)).catch(() => {
      throw new KeyorderError({ field: "program", text: "The program that listens could not be loaded." });
    });
    rate = of;
    ear.call("open", instrument, rate);
  },
  follow: (state, { zero: at, ...rest }) => begun(() => ear.call("follow", state, JSON.stringify({ ...rest, offset: at - zero }))),
  await: (state, turn) => begun(() => ear.call("await", state, turn)),
  leave: () => begun(() => ear.call("leave")),
  press: (key, velocity, at) => ear.call("press", key, velocity, at),
  release: (key) => ear.call("release", key),
  at: (now) => tell(ear.call("at", now)),
  idea: (from, tempo) => begun(() => ear.call("idea", from - zero, tempo)),
  keep(on) { kept = on ? { blocks: [], at: undefined } : undefined; },
  take,
};

// begun does something once the first block is there, with which the clock begins.
function begun(f) {
  if (!rate || next !== undefined) return f();
  return new Promise((resolve, reject) => {
    waiting.push(() => { try { resolve(f()); } catch (e) { reject(e); } });
  });
}

function hear({ data: { frame, block } }) {
  if (!ear) return;
  if (next === undefined) {
    zero = frame / rate;
    for (const f of waiting) f();
    waiting = [];
  } else if (frame > next && frame < next + 10 * rate) write(new Float32Array(frame - next)); // what was lost is silence
  next = frame + block.length;
  write(block);
  if (kept && kept.blocks.length * block.length < longest * rate) {
    kept.at ??= frame / rate;
    kept.blocks.push(Int16Array.from(block, (x) => Math.max(-32768, Math.min(32767, Math.round(x * 32767)))));
  }
  for (const x of block) peak = Math.max(peak, Math.abs(x));
  if (next / rate < told + often) return;
  told = next / rate;
  postMessage({ level: peak });
  peak = 0;
}

function write(samples) {
  tell(ear.call("write", new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength)));
}

function tell({ now, says, held, note = 0 }) {
  if (says) postMessage({ says });
  if (held) postMessage({ held: zero + held });
  if (note !== sounds) postMessage({ note, now: zero + now });
  sounds = note;
}

// take is the sound that was kept between two times; it begins at the time at.
function take(from, to) {
  if (!kept?.blocks.length) return { rate, at: 0, samples: new Int16Array() };
  const size = kept.blocks[0].length, have = kept.blocks.length * size;
  const first = Math.min(have, Math.max(0, Math.round((from - kept.at) * rate)));
  const last = Math.min(have, Math.max(first, Math.round((to - kept.at) * rate)));
  const samples = new Int16Array(last - first);
  for (let n = Math.floor(first / size); n * size < last; n++) {
    const block = kept.blocks[n].subarray(Math.max(0, first - n * size), last - n * size);
    samples.set(block, Math.max(0, n * size - first));
  }
  return { rate, at: kept.at + first / rate, samples };
}

let last = Promise.resolve(); // one after another

onmessage = ({ data: { id, act, given, port } }) => {
  if (port) {
    port.onmessage = hear;
    return;
  }
  const answer = () => acts[act](...given);
  last = last.then(answer).then(
    (value) => { if (id) postMessage({ id, value }); },
    (e) => postMessage({ id, error: { field: e.field ?? "", text: e.message } }),
  );
};
