// Loads the library's program and answers with objects: a library, its sessions,
// and errors that name the field that they are about.
//
//	import { load } from "./keyorder.js";
//	const library = await load();
//	const session = library.open({ figure: "3 5 1 6", order: "m3" });
//	session.plan.statements[0].key   // "C"

import "./wasm_exec.js";

/** What the library refuses. field is the setting that it is about, or "". */
export class KeyorderError extends Error {
  constructor({ field, text }) {
    super(text);
    this.name = "KeyorderError";
    this.field = field;
  }
}

const ready = new Map(); // programs, by their address

/** load starts the program, once for all callers. */
export function load(address = new URL("keyorder.wasm", import.meta.url)) {
  const key = String(address);
  if (!ready.has(key)) {
    ready.set(key, start(address, () => ready.delete(key)).catch((e) => {
      ready.delete(key); // so that one can try again
      throw e;
    }));
  }
  return ready.get(key);
}

async function start(address, over) {
  const go = new globalThis.Go();
  const name = "keyorder started";
  go.argv = ["keyorder", name];
  const started = new Promise((resolve) => { globalThis[name] = resolve; });
  const { instance } = await instantiate(fetch(address), go.importObject);
  const ended = go.run(instance).then(() => { throw new Error("the program has ended"); });
  try {
    return new Library(await Promise.race([started, ended]));
  } finally {
    ended.catch(over); // the next load starts it anew
    delete globalThis[name];
  }
}

// instantiate compiles while the program arrives, where the server says what it is.
async function instantiate(response, imports) {
  const r = await response;
  if (!r.ok) throw new Error(`the program is not there: ${r.status}`);
  if (WebAssembly.instantiateStreaming && r.headers.get("Content-Type") === "application/wasm") {
    return WebAssembly.instantiateStreaming(r, imports);
  }
  return WebAssembly.instantiate(await r.arrayBuffer(), imports);
}

/** A Library opens sessions. */
export class Library {
  #program;

  constructor(program) { this.#program = program; }

  /** call asks the program; it is for the modules here. */
  call(name, ...given) {
    let text;
    try {
      text = this.#program[name](...given.map((v) => (v instanceof Uint8Array ? v : String(v))));
    } catch { /* as where there is no answer */ }
    if (typeof text !== "string") throw new KeyorderError({ field: "", text: "The program has ended; load it again." });
    const answer = JSON.parse(text);
    if (answer?.error) throw new KeyorderError(answer.error);
    return answer;
  }

  /** choices are what can be chosen, and the fields of the settings. */
  choices() { return this.call("choices"); }

  /** open works a session out. */
  open(settings, log = "") { return new Session(this, this.call("open", JSON.stringify(settings), log)); }

  /** resume opens a session again that Session.state has kept. */
  resume(state, log = "") { return new Session(this, this.call("resume", state, log)); }

  /** check says what there is in a practice log: how many entries, what is not read. */
  check(log) { return this.call("check", log); }

  /** picture is the circle of keys with the route of an order, as SVG. */
  picture(order) { return this.call("picture", order); }

  /** shortLink writes settings as what stands after the # of an address that is typed
      by hand. */
  shortLink(settings) { return this.call("short", JSON.stringify(settings)); }

  /** readLink reads what shortLink has written, in small letters or capitals. */
  readLink(link) { return this.call("long", link); }
  /** today plans a day's practice from a log: what to do, in words. */
  today(day, log = "") { return this.call("today", JSON.stringify(day), log); }

  /** block opens a block of that plan, by its number. */
  block(day, log, number) { return new Session(this, this.call("block", JSON.stringify(day), log, number)); }

  /** past is what was practised, for pictures. */
  past(day, log = "") { return this.call("past", JSON.stringify(day), log); }

  /** figure is what can be done with the figure of the settings: variations, beginnings. */
  figure(day, log = "") { return this.call("figure", JSON.stringify(day), log); }

  /** keep returns a log with the lines of a session in place of those that it had. */
  keep(log, had, lines) { return this.call("keep", log, had, lines); }
}

/** A Session is one practice session. */
export class Session {
  #library;
  #number;

  constructor(library, plan) {
    this.#library = library;
    this.#number = plan.session;
    this.plan = plan;
  }

  #call(name, ...texts) { return this.#library.call(name, this.#number, ...texts); }

  /** state is the session as it is, a text to be kept. */
  state() { return JSON.stringify(this.#call("state")); }

  /** circle is the circle of keys with the move to a statement, as SVG. */
  circle(statement) { return this.#call("circle", statement); }

  /** answer is what to play in a statement. */
  answer(statement) { return this.#call("answer", statement); }

  /** classKeys are what the parts of a class read in each statement. settings are those
      that the session was opened with. */
  classKeys(settings) { return this.#call("class", JSON.stringify(settings)); }

  /** say says how the statement of a turn was played. */
  say(turn, verdict) { this.#call("say", turn, verdict); }

  /** hear takes what a listener says, unless the player says something. */
  hear(turn, verdict) { this.#call("hear", turn, verdict); }

  /** go says that the player has come to a turn. */
  go(turn) { this.#call("go", turn); }

  /** setTempo has the session go on, from a turn, in another tempo: a new plan. */
  setTempo(turn, beats) {
    this.plan = this.#call("tempo", turn, beats);
    return this.plan;
  }

  /** report says what came of the session so far, on a day, after so many seconds. */
  report(date, seconds = 0) { return this.#call("report", date, seconds); }

  /** close forgets the session. */
  close() { this.#call("close"); }
}
