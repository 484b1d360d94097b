// Listening in Node: the Worker with its program, the worklet, and what the page's
// side makes of keys, without a browser.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";

const at = process.env.KEYORDER_WEB;
const files = { "keyorder.wasm": await readFile(new URL("keyorder.wasm", at + "/")), "ear.wasm": await readFile(new URL("ear.wasm", at + "/")) };
globalThis.fetch = async (address) => new Response(files[String(address).split("/").at(-1)], { headers: { "Content-Type": "application/wasm" } });

const { load } = await import(`${at}/keyorder.js`);
const library = await load();

// The worker: what it is told goes in by onmessage, what it tells comes out here.
const told = [];
globalThis.onmessage = null;
globalThis.postMessage = (m) => told.push(m);
await import(`${at}/listen-worker.js`);
let number = 0;
async function ask(act, ...given) {
  const id = ++number;
  globalThis.onmessage({ data: { id, act, given } });
  for (;;) {
    const answer = told.find((m) => m.id === id);
    if (answer?.error) throw Object.assign(new Error(answer.error.text), { field: answer.error.field });
    if (answer) return answer.value;
    await new Promise((r) => setTimeout(r, 2));
  }
}
const says = () => told.flatMap((m) => m.says ?? []);

const rate = 44100;
const hertz = (key) => 440 * 2 ** ((key - 69) / 12);

// sound has the notes of a plan's model, as blocks of an audio clock that began at 7 s.
function blocks(notes, duration, zero) {
  const all = new Float32Array(Math.ceil((duration + 1.5) * rate / 1024) * 1024);
  for (const [on, length, key] of notes) {
    for (let n = 0; n < length * rate; n++) {
      const t = n / rate, shape = Math.min(1, t * 50, (length - t) * 50) * 0.2;
      for (let k = 1; k < 5; k++) all[Math.round((zero - 7 + on) * rate) + n] += (shape / k) * Math.sin(2 * Math.PI * hertz(key) * k * t);
    }
  }
  return Array.from({ length: all.length / 1024 }, (_, n) => ({ frame: 7 * rate + 1024 * n, block: all.slice(1024 * n, 1024 * (n + 1)) }));
}

const settings = { figure: "3 5 1 6", meter: "2/4", tempo: "150", keys: "C Eb", instrument: "flute", sound: "model" };

test("sound is judged in the time of the audio clock, and kept only where that is asked for", async () => {
  const session = library.open(settings), zero = 8.25;
  const { notes, duration, statements } = session.plan;
  const played = notes.map(([on, length, key], n) => [on, length * 0.9, key + (n === 6 ? 1 : 0)]);
  await ask("open", "flute", rate);
  const port = {};
  globalThis.onmessage({ data: { port } });
  const following = ask("follow", session.state(), { zero, from: 0, alone: true, charge: "rhythm" });
  const sound = blocks(played, duration + 1.25, zero);
  sound.slice(0, 20).forEach((data) => port.onmessage({ data }));
  await following;
  await ask("keep", true);
  sound.slice(20).forEach((data) => port.onmessage({ data }));
  assert.deepEqual(says().map((s) => [s.turn, s.verdict, s.words]), [[statements[0].turn, "clean", "clean"], [statements[1].turn, "not clean", "third note: F♭"]]);
  const levels = told.filter((m) => m.level > 0.05);
  assert.ok(levels.length > 5 && levels.every((m) => m.level < 1));
  const take = await ask("take", zero + statements[1].start, zero + statements[1].end);
  assert.equal(take.samples.length, Math.round(take.samples.length));
  assert.ok(Math.abs(take.samples.length / rate - (statements[1].end - statements[1].start)) < 0.001);
  assert.ok(Math.abs(take.at - zero - statements[1].start) < 0.001);
  const first = take.samples.findIndex((x) => Math.abs(x) > 300);
  assert.ok(first / rate < 0.02, "the note begins where it was played");
  const idea = await ask("idea", zero + statements[0].start - 0.1, 150);
  assert.match(idea.figure, /^7 9 5 10 0:4 9 11 7 12/); // E G C A, from F
  await ask("keep", false);
  assert.equal((await ask("take", 0, 100)).samples.length, 0);
});

test("what is refused comes back as an error, and listening goes on", async () => {
  await assert.rejects(ask("open", "spoon", rate), /spoon/);
  await assert.rejects(ask("idea", 1e6, 100), /no note was heard/);
  await assert.rejects(ask("follow", "no state", { zero: 0 }), /session/);
});

test("the worklet hands on every frame once, silence where there is no microphone", async () => {
  let Made;
  globalThis.registerProcessor = (name, made) => { assert.equal(name, "keyorder blocks"); Made = made; };
  globalThis.AudioWorkletProcessor = class { port = {}; };
  await import(`${at}/listen-worklet.js`);
  const made = new Made(), got = [];
  globalThis.currentFrame = 0;
  const process = (channel) => { assert.equal(made.process([channel ? [channel] : []]), true); globalThis.currentFrame += 128; };
  process(new Float32Array(128).fill(9)); // nobody listens yet
  made.port.onmessage({ data: { postMessage: ({ frame, block }) => got.push({ frame, block: block.slice() }) } });
  for (let n = 0; n < 16; n++) process(n % 2 ? undefined : Float32Array.from({ length: 128 }, (_, k) => n + k / 128));
  assert.deepEqual(got.map((g) => g.frame), [128, 128 + 1024]);
  got.forEach(({ block }, b) => block.forEach((x, k) => {
    const n = 8 * b + Math.floor(k / 128);
    assert.equal(x, n % 2 ? 0 : n + (k % 128) / 128);
  }));
});

test("keys are told in the time in which they are heard", async () => {
  const { Listener, countFrom } = await import(`${at}/listener.js`);
  const posted = [];
  globalThis.Worker = class {
    postMessage(m) {
      posted.push(m);
      if (m.id) setTimeout(() => this.onmessage({ data: { id: m.id, value: true } }));
    }
    terminate() {}
  };
  const input = { name: "a keyboard" };
  Object.defineProperty(globalThis, "navigator", { value: { requestMIDIAccess: async () => ({ inputs: new Map([["1", input]]) }) }, configurable: true });
  const audio = { currentTime: 20, outputLatency: 0.1, getOutputTimestamp: () => ({ contextTime: 19.9, performanceTime: 5000 }) };
  const listener = await Listener.keys(audio, { instrument: "piano" });
  assert.deepEqual(listener.instruments, ["a keyboard"]);
  input.onmidimessage({ data: [0x93, 64, 80], timeStamp: 5250 });
  input.onmidimessage({ data: [0x93, 64, 0], timeStamp: 5300 });
  input.onmidimessage({ data: [0xb0, 64, 127], timeStamp: 5300 }); // a pedal is no key
  const keys = posted.filter((m) => m.act === "press" || m.act === "release").map(({ act, given }) => [act, ...given]);
  assert.deepEqual(keys, [["press", 64, 80, 19.9 + 0.25], ["release", 64]]);
  listener.follow({ state: () => "x" }, 30);
  assert.equal(posted.at(-1).given[1].zero, 30);
  listener.close();
  assert.equal(input.onmidimessage, null);
  for (const [since, beat, now, want] of [[10, 0.5, 11.2, 12], [10, 1, 12.1, 13], [10, 0.5, 13.4, 14], [10, 0.375, 10.9, 11.875]]) {
    assert.ok(Math.abs(countFrom(since, beat, now) - want) < 1e-9, `${since}, ${beat}, ${now}: ${countFrom(since, beat, now)}`);
  }
});
