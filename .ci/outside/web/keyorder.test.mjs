// The program in Node: sessions as objects, errors with their field.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { brotliCompressSync } from "node:zlib";

const wasm = await readFile(new URL("keyorder.wasm", process.env.KEYORDER_WEB + "/"));
let loads = 0;
globalThis.fetch = async (address) => {
  if (String(address).endsWith("nothing")) return new Response("", { status: 404 });
  loads++;
  return new Response(wasm, { headers: { "Content-Type": loads % 2 ? "application/wasm" : "text/plain" } });
};
const { KeyorderError, Library, load } = await import(`${process.env.KEYORDER_WEB}/keyorder.js`);

test("what is not there can be loaded later; all callers share one program", async () => {
  await assert.rejects(load("nothing"), /not there: 404/);
  const [one, two] = await Promise.all([load("there"), load("there")]);
  assert.equal(one, two);
  assert.equal(loads, 1);
});

test("the program is small where the server compresses it", () => {
  assert.ok(brotliCompressSync(wasm).length <= 1.25 * 2 ** 20);
});

test("errors name the field that they are about, and say what would be right", async () => {
  const library = await load();
  for (const [settings, field, words] of [
    [{ figure: "1 x" }, "figure", "x"],
    [{ order: "sideways" }, "order", "sideways"],
    [{ tempo: "fast" }, "tempo", "beats a minute"],
    [{ instrument: "spoon" }, "instrument", "spoon"],
    [{ instrument: "trumpet C4-D4" }, "fit", "fit"],
    [{ sound: "answer", rest: "0" }, "rest", "rest"],
    [{ colour: "red" }, "", "colour"],
  ]) {
    assert.throws(() => library.open(settings), (e) => e instanceof KeyorderError && e.field === field && e.message.includes(words) && e.message.endsWith("."), JSON.stringify(settings));
  }
  assert.throws(() => library.resume("no state"), KeyorderError);
});

test("sessions are apart: what one is told, and its end, is nothing to the others", async () => {
  const library = await load();
  const one = library.open({ figure: "3 5 1 6" }), two = library.open({ figure: "5 2 b3:2 1", order: "P4" });
  one.say(one.plan.statements[0].turn, "clean");
  assert.equal(JSON.parse(one.state()).verdicts.length, 1);
  assert.equal(JSON.parse(two.state()).verdicts, undefined);
  assert.throws(() => two.say(-1, "clean"), KeyorderError);
  assert.throws(() => two.say(two.plan.statements[0].turn, "splendid"), KeyorderError);
  assert.throws(() => two.answer(99), KeyorderError);
  one.close();
  assert.throws(() => one.answer(0), /closed/);
  assert.match(two.answer(0).notes, /^G D E♭ C$/);
});

test("a kept session is gone on with, in its tempo, and reports", async () => {
  const library = await load();
  const s = library.open({ figure: "3 5 1 6", order: "P4", tempo: "120" });
  const { statements, duration } = s.plan;
  s.say(statements[0].turn, "clean");
  s.say(statements[1].turn, "not clean");
  assert.ok(s.setTempo(statements[2].turn, 60).duration > duration);
  const again = library.resume(s.state());
  assert.deepEqual(again.plan.statements, s.plan.statements.map((x, n) => ({ ...x, verdict: ["clean", "not clean"][n] || "unsaid" })));
  const r = again.report("2025-03-02", 30);
  assert.equal(r.moves, 1);
  assert.equal(library.keep("", "", r.log), r.log);
  assert.equal(JSON.parse(r.log.split("\n")[0]).date, "2025-03-02");
});

test("chords come with their times, as the player reads them", async () => {
  const { plan } = (await load()).open({ figure: "{2 m7} 2 4 1 6 {5 7} 5 2 4 3", order: "P4", instrument: "alto saxophone" });
  const [first, second] = plan.statements;
  assert.deepEqual(first.chords.map((c) => c.symbol), ["Dm7", "G7"]);
  assert.deepEqual(second.chords.map((c) => c.symbol), ["Gm7", "C7"]);
  assert.ok(Math.abs(first.chords[1].at - first.chords[0].at - 4 * 30 / 80) < 1e-6); // four eighths at 80
});

test("a day is planned; a block of it is a session whose report says it is done", async () => {
  const library = await load();
  const day = { date: "2025-03-02", minutes: 3, settings: { instrument: "flute" }, ideas: [{ name: "tune", settings: { figure: "3 5 1 6" }, variations: ["retrograde"] }] };
  const { blocks, ours } = library.today(day);
  assert.equal(ours, false);
  assert.equal(blocks[0].title, "tune");
  const block = library.block(day, "", 1);
  assert.equal(block.plan.planned, 1);
  for (const s of block.plan.statements) block.say(s.turn, "clean");
  const { log } = block.report(day.date, 60);
  assert.match(library.today(day, log).blocks[0].done, / clean$/);
  assert.throws(() => library.block(day, "", 99), KeyorderError);
  assert.throws(() => library.today({ ...day, minutes: 999 }), /1 to 240/);
  const past = library.past(day, log);
  assert.equal(past.orders.flatMap((o) => o.moves).filter((m) => m.clean.length).length, block.report(day.date).clean);
  assert.equal(past.takes[0].name, "tune");
  const about = library.figure({ ...day, settings: { figure: "3 5 1 6" } }, log);
  assert.deepEqual(about.beginnings, ["3 5", "3 5 1", "3 5 1 6"]);
  assert.equal(library.open({ figure: "3 5 1 6", vary: about.offers[0].text }).plan.degrees, about.offers[0].degrees);
});

test("a program that has ended says so", () => {
  assert.throws(() => new Library({ choices: () => undefined }).choices(), (e) => e instanceof KeyorderError && /ended/.test(e.message));
  assert.throws(() => new Library({}).choices(), KeyorderError);
});

test("a class reads its keys, and a short link says it", async () => {
  const library = await load();
  const settings = { figure: "5 2 b3:2 1", keys: "Bb Eb", parts: "trumpet, horn" };
  const { parts, keys } = library.open(settings).classKeys(settings);
  assert.deepEqual(parts, ["trumpet in B♭", "horn in F"]);
  assert.deepEqual(keys.map((k) => k.map((x) => x.key)), [["C", "F"], ["F", "B♭"]]);
  assert.equal(library.shortLink(settings), "5.2.b3:2.1/k:bb.eb/p:tpt,hn");
  assert.deepEqual(library.readLink("5.2.B3:2.1/K:BB.EB").settings, { figure: "5 2 b3:2 1", keys: "Bb Eb" });
});
