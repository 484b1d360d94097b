// The player by a clock that is turned by hand: what it schedules, and when.
import assert from "node:assert/strict";
import test from "node:test";

const { Player, gain, together } = await import(`${process.env.KEYORDER_WEB}/player.js`);

// A Clock is an audio context that only notes what it is asked for.
class Clock {
  currentTime = 10;
  outputLatency = 0;
  tones = [];
  destination = {};
  #param() { return { value: 0, setValueAtTime() {}, linearRampToValueAtTime() {}, setTargetAtTime(v) { this.value = v; } }; }
  createGain() { return { gain: this.#param(), connect: (to) => to, disconnect() {} }; }
  createOscillator() {
    const tone = { frequency: this.#param(), connect: (to) => to, start: (at) => { tone.at = at; }, stop: (at) => { tone.end = at; } };
    this.tones.push(tone);
    return tone;
  }
}

// A plan of 40 clicks at 100 a minute, a note on each second one and a cue.
const plan = {
  clicks: Array.from({ length: 40 }, (_, n) => [n * 0.6, n % 4 === 0 ? 1 : 0]),
  notes: Array.from({ length: 20 }, (_, n) => [n * 1.2, 0.5, 60 + n, n === 3 ? 1 : 0, n % 4]),
  duration: 24,
};
const hertz = Array.from({ length: 128 }, (_, n) => 440 * 2 ** ((n - 69) / 12));

function turned(options = {}) {
  const clock = new Clock(), clicks = [];
  let look;
  const player = new Player(clock, hertz, { every: (f) => { look = f; return () => { look = () => {}; }; } });
  player.onclick = (at) => clicks.push(at);
  return { clock, player, clicks, turn: (seconds) => { clock.currentTime += seconds; look(); }, options };
}

test("every click and note is scheduled once, ahead, at its time, however unevenly the timer comes", () => {
  const { clock, player, clicks, turn } = turned();
  let done = 0;
  player.start(plan, { done: () => done++ });
  for (let n = 0; done === 0 && n < 1000; n++) {
    const before = clock.tones.length;
    turn([0.05, 0.3, 1.1, 0.01][n % 4]);
    for (const tone of clock.tones.slice(before)) assert.ok(tone.at >= clock.currentTime - 1e-9, "scheduled for what is over");
  }
  assert.equal(done, 1);
  assert.equal(clicks.length, 40);
  assert.equal(clock.tones.length, 60);
  clicks.forEach((at, n) => assert.ok(Math.abs(at - player.zero - n * 0.6) < 1e-9));
  const pitches = clock.tones.filter((t) => Math.abs(t.end - t.at - 0.51) < 1e-9).map((t) => t.frequency.value);
  assert.deepEqual(pitches, plan.notes.map(([, , key]) => hertz[key]));
  assert.equal(player.playing, false);
});

test("it begins anywhere, and stops", () => {
  const { clock, player, clicks, turn } = turned();
  player.start(plan, { from: 12, delay: 1 });
  assert.equal(player.zero + 12, clock.currentTime + 1);
  turn(0.5);
  assert.ok(clicks.every((at) => at >= 11));
  assert.ok(clicks.length > 0);
  player.stop();
  const before = clock.tones.length;
  turn(5);
  assert.equal(clock.tones.length, before);
});

test("another plan takes over after what is scheduled: no click twice, none left out", () => {
  const { player, clicks, turn } = turned();
  player.start(plan);
  turn(1);
  turn(1);
  const from = player.scheduled;
  const kept = plan.clicks.filter(([at]) => at < from);
  const slower = { ...plan, clicks: [...kept, ...Array.from({ length: 9 }, (_, n) => [from + 0.1 + n, 0])], notes: [], duration: from + 10 };
  player.replace(slower);
  for (let n = 0; n < 300; n++) turn(0.05);
  assert.deepEqual(clicks.map((at) => Math.round((at - player.zero) * 1e6)), slower.clicks.map(([at]) => Math.round(at * 1e6)));
});

test("a quarter of the volume's way is ten decibels; 0 is silence", () => {
  assert.equal(gain(0), 0);
  assert.equal(gain(1), 1);
  for (const place of [0.25, 0.5, 0.75]) assert.ok(Math.abs(20 * Math.log10(gain(place + 0.25) / gain(place)) - 10) < 1e-9);
});

test("notes that begin together share the peak", () => {
  assert.equal(together([]), 1);
  assert.equal(together([[0, 1, 60, 0], [1, 1, 60, 0], [1, 1, 64, 0], [1, 1, 67, 0]]), 3);
});
