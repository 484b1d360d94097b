// The thin layer between the player and the library: fields, keys, pedals, what is
// on the screen. It knows no music; that comes from keyorder.js, and the sound goes
// through player.js.

import { KeyorderError, load } from "./keyorder.js";
import choices from "./choices.js";
import { Ears } from "./ears.js";
import { Idea } from "./idea.js";
import { Sound } from "./takes.js";
import { countFrom } from "./listener.js";
import { Player, gain, layers } from "./player.js";
import * as classroom from "./class.js";
import * as own from "./ideas.js";
import * as learn from "./learn.js";
import * as mine from "./own.js";
import * as past from "./history.js";
import * as plans from "./today.js";
import { Tab, lastKey, levelKey, logKey, restKey, save, saved, savedObject } from "./store.js";

const $ = (id) => document.getElementById(id);
const inMain = ["figure", "order", "instrument"];
const chosen = ["scale", "range", "rest", "close", "fit", "sound", "show", "bass", "chords", "drone", "between", "free"]; // from a list only
const short = ["tempo", "meter", "first"];
const longPress = 700; // ms that a switch is held for a pause
const typingPause = 1000; // ms after which what is wrong is said

const layerNames = { click: "Click", cue: "Cue", notes: "Model", bass: "Bass", chords: "Chords", drone: "Drone" };

// What was scheduled and shown, for whoever wants to measure the page. Times are
// those of the audio clock, in seconds; ready, and planned when the first plan is there,
// are in ms after the navigation began.
const record = { ready: 0, planned: 0, start: 0, clicks: [], keys: [], heard: [] };
window.practiceRecord = record;

let library, session, play, done, audio, ears;
let workedOut; // what session was worked out of, "" once it was played
let staffOf; // the session whose first key stands on the staff
const tab = new Tab();
const roomy = matchMedia("(min-aspect-ratio: 1/1) and (min-height: 700px)"); // for the circle, as in the style

// Elements and texts. Whatever is shown goes through textContent; pictures come from
// the library alone.

function make(tag, attributes = {}, text = "") {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.textContent = text;
  return e;
}

function spoken(sign, words) {
  return [make("span", { "aria-hidden": "true" }, sign), make("span", { class: "unseen" }, words)];
}

// keyName shows a key, its accidental as heavy as its letter.
function keyName(name, words) {
  const key = plain(name);
  const sign = make("span", { "aria-hidden": "true" });
  sign.append(key.slice(0, 1));
  if (key.length > 1) sign.append(make("span", { class: "accidental" }, key.slice(1)));
  return [sign, make("span", { class: "unseen" }, words)];
}

function nodes(svgs) {
  const roots = (svgs || []).map((svg) => new DOMParser().parseFromString(svg, "image/svg+xml").documentElement);
  return roots.filter((r) => r.localName === "svg").map((r) => document.adoptNode(r));
}

function picture(place, svgs) { place.replaceChildren(...nodes(svgs)); }

function put(id, text) { if ($(id).textContent !== text) $(id).textContent = text; }

// plain writes double accidentals as two signs, which every font has.
function plain(text) { return text.replaceAll("𝄫", "♭♭").replaceAll("𝄪", "♯♯"); }

function capital(text) { return text.slice(0, 1).toUpperCase() + text.slice(1); }

function tell(text) { $("message").textContent = capital(text); }

function defaultOf(field) { return choices.fields.find((f) => f.name === field).default; }

// attempt does what the library may refuse, and returns its error.
function attempt(f) {
  try {
    f();
    return null;
  } catch (e) {
    if (e instanceof KeyorderError) return e;
    throw e;
  }
}

// Settings: the fields, the address, the plan.

function fieldOf({ name, label, hint }) {
  const box = make("div", { class: short.includes(name) ? "field short" : "field" });
  const control = make(chosen.includes(name) ? "select" : "input", { id: "field-" + name, name });
  const options = choices.choices[name] || [];
  if (control.localName === "select") {
    for (const o of options) control.append(make("option", { value: o.text }, o.means || o.text));
  } else {
    for (const [k, v] of [["type", "text"], ["autocomplete", "off"], ["autocapitalize", "off"], ["spellcheck", "false"]]) control.setAttribute(k, v);
    if (name === "tempo") control.setAttribute("inputmode", "numeric");
    if (options.length) {
      const list = make("datalist", { id: "list-" + name });
      for (const o of options) list.append(make("option", { value: o.text }, o.means));
      control.setAttribute("list", list.id);
      box.append(list);
    }
  }
  box.prepend(make("label", { for: control.id }, label), control);
  const described = ["wrong-" + name];
  box.append(make("p", { class: "wrong", id: "wrong-" + name, hidden: "" }));
  if (hint) {
    box.append(make("p", { class: "small", id: "hint-" + name }, hint));
    described.push("hint-" + name);
  }
  control.setAttribute("aria-describedby", described.join(" "));
  return box;
}

function settings() {
  const given = {};
  for (const f of choices.fields) {
    const value = $("field-" + f.name).value.trim();
    if (value !== f.default && value !== "") given[f.name] = value;
  }
  return given;
}

function fill(given) {
  for (const f of choices.fields) {
    const control = $("field-" + f.name);
    const value = Object.hasOwn(given, f.name) ? given[f.name] : f.default;
    if (control.localName === "select" && ![...control.options].some((o) => o.value === value)) {
      control.append(make("option", { value }, value));
    }
    control.value = value;
    if (value !== f.default && !inMain.includes(f.name)) $("more").open = true;
  }
}

// last are the settings that were last started with in this browser.
function last() {
  return Object.fromEntries(Object.entries(savedObject(lastKey)).filter(([name, value]) => typeof value === "string" && choices.fields.some((f) => f.name === name)));
}

// fillLast fills in those, if there are some that can be played, and reports whether it has.
function fillLast() {
  const given = last();
  if (!Object.keys(given).length || workOut(given)) return false;
  fill(given);
  refresh(false);
  return true;
}

// What the player does before the program is there is done once it is.
const early = { changed: false, final: false, start: undefined };

// fillEarly fills in what will be worked out, as far as that is known without the program,
// which reads short links; it reports whether it is.
function fillEarly() {
  Object.assign(early, { changed: false, start: undefined });
  put("summary", "Working it out …");
  const text = location.hash.slice(1);
  if (text !== "" && !text.includes("=")) return false;
  const linked = location.href.includes("#");
  fill(linked && text.length <= choices.max_length ? Object.fromEntries(new URLSearchParams(text)) : linked ? {} : last());
  return true;
}

function remember({ given, task }) { save(lastKey, JSON.stringify(task?.base || given)); }

function readAddress() {
  for (const f of choices.fields) wrong(f.name, "");
  const text = location.hash.slice(1);
  if (text.length > choices.max_length) {
    fill({});
    refresh(false);
    tell(`The address holds ${text.length} characters of settings; at most ${choices.max_length} are read.`);
    return;
  }
  const given = new URLSearchParams(text);
  const names = [...given.keys()];
  const short = classroom.readShort(library, text);
  const object = short ? short.settings : Object.fromEntries(given);
  fill(object);
  const refused = workOut(object);
  if (!refused) showWorkedOut(settings(), refused, false);
  const twice = short ? short.twice || undefined : names.find((n, at) => names.indexOf(n) < at);
  if (refused) {
    refresh(false);
    clearTimeout(typing);
    refuse(refused);
    const label = choices.fields.find((f) => f.name === refused.field)?.label;
    if (label && !inMain.includes(refused.field)) tell(`This cannot be played: see ${label} below.`); // which may be out of sight
  } else if (twice !== undefined) tell(`The address gives the setting “${twice}” twice; the last one counts.`);
}

// workOut plans a session, unless that has been done, and forgets the one that it takes
// the place of. It returns what the library refuses.
function workOut(given) {
  const log = saved(logKey);
  const of = JSON.stringify([given, log]);
  if (session && of === workedOut) return null;
  if (session && play?.session !== session && done?.session !== session) session.close();
  session = undefined;
  workedOut = of;
  return attempt(() => { session = library.open(given, log); });
}

let typing; // the pause until an error is told

// refresh works out the drill that the fields ask for and shows it.
function refresh(final) {
  if (!library) {
    early.changed = true;
    early.final = final;
    return;
  }
  const given = settings();
  showWorkedOut(given, workOut(given), final);
  if (final) parts();
}

// showWorkedOut shows what was worked out; an error is told once a field is left, or
// nobody has typed for a while, and stays until it is mended.
function showWorkedOut(given, refused, final) {
  clearTimeout(typing);
  $("first").hidden = !session;
  if (!session) $("class").hidden = true;
  put("summary", "");
  const say = () => {
    for (const f of choices.fields) wrong(f.name, "");
    if (refused) refuse(refused);
    put("quiet", refused ? refused.message : "");
  };
  if (refused && !final) typing = setTimeout(() => { if (!$("setup").hidden) say(); }, typingPause);
  else say();
  if (refused) return;
  tell("");
  const { plan } = session;
  const address = "#" + new URLSearchParams(given);
  if (final && location.hash !== address && (address !== "#" || location.hash)) history.replaceState(null, "", address);
  classroom.showLink(library, given);
  classroom.order(session, given);
  const keys = plan.statements.length;
  const left = plan.left_out ? ` Left out: ${plan.left_out.join(", ")}.` : "";
  const varied = plan.varied ? ` Varied: ${plan.varied}.` : "";
  const titles = plan.orders.length > 3 ? `${plan.orders.length} orders` : plan.orders.map((o) => o.title).join("; ");
  const keysOnly = given.keys ? ", in place of the order" : "";
  const concert = given.parts ? " In concert keys, for the class." : "";
  put("summary", `${capital(titles)}${keysOnly}: ${keys} ${keys === 1 ? "key" : "keys"} to play, ${plan.minutes}.${varied}${left}${concert}${taken(given)}`);
  if (record.planned) showFirst();
  if (final) ears.reopen();
  ears.await(session, plan.statements[0].turn);
}

// taken says what is taken where nothing is written.
function taken(given) {
  const empty = choices.fields.filter((f) => f.default && !$("field-" + f.name).value.trim() && !(f.name === "order" && given.keys));
  return empty.length ? ` Left empty: ${empty.map((f) => `${f.label.toLowerCase()}, taken as ${f.default}`).join("; ")}.` : "";
}

// showFirst shows the first key on a staff.
function showFirst() {
  if (!session || staffOf === session) return;
  staffOf = session;
  const first = session.answer(0);
  put("first-caption", plain(`In ${session.plan.statements[0].key}: ${first.notes}`));
  picture($("first-staff"), first.svg);
}

function wrong(name, text) { mark($("field-" + name), $("wrong-" + name), text); }

// mark puts what is wrong with a control beside it, until it is mended.
function mark(control, place, text) {
  if (place.textContent !== text) place.textContent = text;
  place.hidden = text === "";
  if (text) control.setAttribute("aria-invalid", "true");
  else control.removeAttribute("aria-invalid");
}

function refuse({ field, message }) {
  if (!field || !$("field-" + field)) {
    tell(message);
    return;
  }
  tell("");
  wrong(field, message);
  if (!inMain.includes(field)) $("more").open = true;
}

// Orders as pictures, and what is the player's own.

function showOrders() {
  if (!$("orders").open || $("order-pictures").childElementCount) return;
  const eleven = new Set(choices.choices.order.slice(0, 11).map((o) => o.text));
  for (const { text, means } of choices.choices.order) {
    const b = make("button", { type: "button" });
    if (text !== "fresh" && text !== "all") b.append(...nodes([library.picture(text)]));
    for (const svg of b.children) {
      svg.setAttribute("aria-hidden", "true");
      svg.removeAttribute("role");
      svg.setAttribute("viewBox", "11 11 78 78"); // the circle alone
    }
    b.append(make("span", {}, capital(means)));
    b.addEventListener("click", () => {
      $("field-order").value = text;
      refresh(true);
      $("field-order").focus();
    });
    $(eleven.has(text) ? "order-pictures" : "order-others").append(b);
  }
}

function showOwn() {
  const all = own.ideas();
  $("ideas").replaceChildren(...mine.listed(all).map((idea) => {
    const { name, settings: given } = idea;
    const use = make("button", { type: "button" }, name);
    use.addEventListener("click", () => {
      fill(given);
      refresh(true);
      $("start").focus();
    });
    const remove = make("button", { type: "button", "aria-label": `Remove ${name}` }, "×");
    remove.addEventListener("click", () => {
      if (!confirm(`Remove “${name}” from your ideas?`) || !own.remove(name)) return;
      put("own-says", `Removed: ${name}.`);
      showOwn();
    });
    const item = make("li");
    item.append(use, " ", remove, mine.about(idea));
    return item;
  }));
  offer($("ideas-file"), own.text(all));
  offer($("log-file"), saved(logKey));
}

function keepIdea() {
  refresh(true);
  const name = $("idea-name").value.trim() || session?.plan.degrees;
  if (!session) return;
  const kept = own.add([{ name, settings: settings() }]);
  put("own-says", kept < 0 ? "This browser saves nothing for this page." : kept ? keptAs(name) : "You have this idea already.");
  if (kept > 0) $("idea-name").value = "";
  showOwn();
}

// keptAs says the name of the idea that was kept last, which was to be this one.
function keptAs(name) {
  const got = own.ideas().at(-1).name;
  return got === name.slice(0, own.longest) ? `Kept: ${got}.` : `Kept as ${got}: another idea is called ${name}.`;
}

// addFile adds what a file has to what is saved: ideas, or a practice log.
async function addFile() {
  const [file] = $("file").files;
  if (!file) return;
  const text = await file.text();
  $("file").value = "";
  const ideas = own.read(text);
  if (ideas.length) {
    const added = own.add(ideas);
    put("own-says", added < 0 ? "This browser saves nothing for this page." : `${added} of ${ideas.length} ideas are new.`);
  } else {
    const found = library.check(text);
    const have = new Set(saved(logKey).split(/\r?\n/));
    const fresh = text.split(/\r?\n/).filter((line) => line.trim() && !have.has(line));
    if (!found.entries) put("own-says", `${file.name} has neither ideas nor a practice log.`);
    else if (!save(logKey, library.keep(saved(logKey), "", fresh.map((l) => l + "\n").join("")))) put("own-says", "This browser saves nothing for this page.");
    else put("own-says", `${library.check(fresh.join("\n")).entries} of ${found.entries} entries are new. ${found.problem || ""}`);
    refresh(false);
  }
  showOwn();
  parts();
}

// parts shows anew what depends on the settings, the ideas and the log.
function parts() { for (const part of [plans, past, learn]) part.show(); }

// Playing. The player schedules the sound; the screen follows the clock.

async function openAudio() {
  try {
    audio ||= new AudioContext();
    audio.onstatechange = () => {
      if (play && !play.paused && audio.state !== "running") pause("The browser holds back the sound of this page.");
    };
    await Promise.race([audio.resume(), new Promise((r) => setTimeout(r, 1500))]);
    return audio.state === "running";
  } catch {
    return false;
  }
}

async function start(at) {
  if (!record.offered) {
    early.start = () => start(at);
    early.changed = true; // what stands in the fields is played
    if (!library) put("summary", "Working it out … It starts as soon as that is done.");
    openAudio();
    return;
  }
  const given = settings();
  showWorkedOut(given, workOut(given), true);
  if (!session) {
    (document.querySelector("[aria-invalid]") || $("field-figure")).focus();
    return;
  }
  begin({ session, given, seconds: 0, from: 0, at });
}

// begin plays a session from a time of its plan on, at a time of the audio clock if
// one is given.
async function begin({ session: of, given, seconds, from, says = [], heard: judged = [], tempo, task, at }) {
  if (play) return;
  const mine = {
    session: of, plan: of.plan, given, seconds, from, says, heard: judged, task, log: saved(logKey), shown: "", answered: -1, target: -2, kept: true,
    tempo: tempo || of.plan.settings.drill.tempo, answers: new Map(), circles: new Map(), ahead: 0,
  };
  play = mine;
  done = undefined;
  remember(mine);
  workedOut = "";
  show("stage");
  classroom.begin(of, given);
  showSaid("", "");
  put("degrees", of.plan.degrees);
  put("tempo", String(mine.tempo));
  setTimeout(fitDegrees); // what comes here makes the sound ready, which takes long
  $("ask").setAttribute("aria-pressed", "false");
  if (!(await openAudio())) {
    if (play !== mine) return;
    if (!window.AudioContext) {
      play = null;
      show("setup");
      tell("This browser plays no sound from pages (Web Audio), which the click needs.");
      return;
    }
    pause("The browser holds back the sound of this page.");
    return;
  }
  if (play !== mine) return;
  record.clicks = [];
  record.keys = [];
  record.heard = [];
  await ears.reopen();
  if (play !== mine) return;
  run(from, at);
}

// run lets the sound begin at a time of the plan.
function run(from, at) {
  play.paused = false;
  play.from = from;
  if (!play.player) {
    play.player = new Player(audio, choices.hertz);
    play.player.onclick = (at) => record.clicks.push(at);
  }
  $("held").hidden = true;
  put("pause", "Pause");
  if (at < audio.currentTime + 0.1) at = undefined; // it has taken too long
  play.player.start(play.plan, { from, volume: gain($("volume").value / 100), levels: levels(), done: finish, at });
  ears.follow(play, play.player, from);
  if (play.keeps === undefined) play.keeps = ears.keepSound();
  record.start = play.player.zero;
  cancelAnimationFrame(play.frame);
  update(from);
  play.frame = requestAnimationFrame(frame);
  holdScreen();
}

// fitDegrees makes a long figure smaller, so that all of it is there.
function fitDegrees() {
  const line = $("degrees");
  line.style.setProperty("--fit", 1);
  if (line.scrollWidth > line.clientWidth) line.style.setProperty("--fit", Math.max(0.4, line.clientWidth / line.scrollWidth - 0.01));
}

function heard() { return play.paused || !play.player ? play.from : play.player.time(); }

// pause stops the sound and keeps the place: it goes on before the key that is due.
function pause(why) {
  const t = Math.max(0, heard());
  play.seconds += Math.max(0, t - play.from);
  play.player?.stop();
  const turns = play.plan.turns;
  let n = turnAt(t);
  while (n > 0 && turns[n].statement === turns[n - 1].statement && turns[n].who !== "rest") n--;
  while (n > 0 && turns[n].who !== "rest" && turns[n].who !== "count") n--;
  play.from = turns[n].at;
  play.paused = true;
  play.fill?.cancel();
  play.filling = undefined;
  play.until = t;
  keep();
  ears.await(play.session, turns[n].next >= 0 ? turns[n].next : -1);
  put("held-why", why || "Paused. Page Down or the space bar goes on, Page Up ends it.");
  put("pause", "Go on");
  $("held").hidden = false;
  $("unhold").focus();
}

async function unpause(at) {
  if (!(await openAudio())) {
    put("held-why", "The browser still holds back the sound; touch the button once more.");
    return;
  }
  if (play?.paused) run(play.from, at);
}

function togglePause() {
  if (!play) return;
  if (play.paused) unpause();
  else pause();
}

// The screen is not to go dark while somebody plays; the lock is taken again when
// the page was hidden.
function holdScreen() {
  const mine = play;
  navigator.wakeLock?.request("screen").then((lock) => (play === mine ? (mine.lock = lock) : lock.release())).catch(() => {});
}

function frame() {
  if (!play || play.paused) return;
  update(heard());
  play.frame = requestAnimationFrame(frame);
}

// turnAt is the turn that there is at a time.
function turnAt(t) {
  const { turns } = play.plan;
  let low = 0, high = turns.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (turns[middle].at <= t + 1e-6) low = middle;
    else high = middle - 1;
  }
  return low;
}

// look says what leads on the screen at a time: a statement, how, and what is next.
function look(t) {
  const { turns, statements } = play.plan;
  const n = turnAt(t);
  const turn = turns[n];
  const next = turn.next >= 0 ? turns[turn.next].statement : -1;
  const entry = turn.next >= 0 ? turns[turn.next].at : turn.to;
  const bar = barOf(turn);
  if (turn.who === "model" || turn.who === "both" || turn.who === "you" || turn.who === "free") {
    const mine = turn.who !== "model";
    // The next key takes over for the last full bar before the entry, but not before
    // half of the answer was heard.
    const takes = Math.max(entry - bar, (turn.at + turn.to) / 2);
    if (turn.who !== "model" || next < 0 || t < takes) return { lead: turn.statement, how: mine ? (turn.who === "both" ? "both" : turn.who === "free" ? "free" : "play") : "listen", next, from: turn.at, to: turn.to };
    return { lead: next, how: "coming", next: -1, from: takes, to: entry };
  }
  const after = turns[n + 1];
  if (turn.who === "rest" && after && after.statement === turn.statement && after.who !== "rest") {
    return { lead: turn.statement, how: after.who === "model" ? "then listen" : "then play", next, from: turn.at, to: turn.to };
  }
  if (next < 0) return { lead: Math.max(turn.statement, 0), how: "end", next: -1, from: turn.at, to: turn.to };
  return { lead: next, how: turn.who === "count" ? "count" : "coming", next: -1, from: turn.at, to: entry };
}

// barOf is the length of a bar there, in seconds: from accent to accent.
function barOf(turn) {
  const { clicks } = play.plan;
  const accents = [];
  for (let n = clickAt(turn.at); n < clicks.length && clicks[n][0] < turn.to - 1e-6 && accents.length < 2; n++) if (clicks[n][1]) accents.push(clicks[n][0]);
  return accents.length > 1 ? accents[1] - accents[0] : turn.to - turn.at;
}

// clickAt is the number of the first click that is not before a time.
function clickAt(t) {
  const { clicks } = play.plan;
  let low = 0, high = clicks.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (clicks[middle][0] < t - 1e-6) low = middle + 1;
    else high = middle;
  }
  return low;
}

const phases = { count: "count-in", coming: "coming", play: "you", both: "together", free: "free: yours", listen: "listen", "then listen": "listen next", "then play": "you next", end: "the end" };

function update(t) {
  const now = look(t);
  const { statements } = play.plan;
  const state = [now.lead, now.how, now.next].join();
  if (state !== play.shown) {
    play.shown = state;
    const seen = { statement: now.lead, how: now.how, key: statements[now.lead].key, due: now.from, shown: heard() };
    record.keys.push(seen);
    setTimeout(() => { if (play && !play.paused) seen.painted = heard(); }); // after the frame, before all else
    showLook(now);
  }
  const rest = now.how === "coming" || now.how === "count" || now.how.startsWith("then");
  put("beats", beats(t, now, rest));
  showChord(t, now, rest);
  showFill(now, rest);
  showTarget(target(t));
  const reached = turnAt(t);
  if (reached !== play.reached) {
    play.reached = reached;
    const mine = play;
    clearTimeout(mine.keeping);
    mine.keeping = setTimeout(() => { if (play === mine) keep(); }, 20); // after the key is drawn, long before the next
  }
}

// showFill lets the bar fill until the entry: the browser does that beside the page's own
// thread, so that no frame is drawn for it and the next key need not wait for one.
function showFill({ from, to }, rest) {
  const filling = rest ? `${from} ${to}` : "";
  if (play.filling === filling) return;
  play.filling = filling;
  play.fill?.cancel();
  if (!rest) return;
  play.fill = $("fill").animate({ transform: ["scaleX(0)", "scaleX(1)"] }, { duration: 1000 * (to - from), fill: "forwards" });
  play.fill.startTime = performance.now() - 1000 * (heard() - from); // when from is, or was, heard
}

// beats counts: until the entry in a rest, in the bar while one plays.
function beats(t, now, rest) {
  const { clicks } = play.plan;
  if (now.how === "end") return "";
  if (rest) return String(clickAt(now.to) - clickAt(t + 2e-6) + 1);
  let beat = 0;
  for (let n = clickAt(t + 2e-6) - 1; n >= 0 && clicks[n][0] >= now.from - 1e-6; n--) {
    beat++;
    if (clicks[n][1]) break;
  }
  return beat ? String(beat) : "";
}

function showLook(now) {
  const { statements, orders, moves } = play.plan;
  const s = statements[now.lead];
  put("phase", phases[now.how]);
  $("now").replaceChildren(...(now.how === "end" ? [] : keyName(s.key, s.said)));
  classroom.call(statements, now.how === "end" ? -1 : now.lead, now.how === "coming" || now.how === "count" ? now.lead + 1 : now.next);
  const next = now.next >= 0 ? statements[now.next] : null;
  $("then").classList.toggle("half", now.how === "listen");
  $("then").replaceChildren(...(next ? [make("span", { class: "word" }, "then "), ...keyName(next.key, next.said)] : []));
  const to = now.how === "coming" || now.how === "count" ? now.lead : now.next;
  put("move", to >= 0 && moves[to] ? (statements[to].held ? "one note held: " : "first note: ") + moves[to] : to >= 0 && statements[to].held ? "one note held" : "");
  const where = `${now.lead + 1} of ${statements.length}` + (orders.length > 1 ? `, ${orders[s.order].title}` : "");
  put("setting", `in ${play.plan.scale}${play.plan.varied ? ", " + play.plan.varied : ""} · ${where}`);
  showChords(s, now);
  $("bar").classList.toggle("off", !(now.how === "coming" || now.how === "count" || now.how.startsWith("then")));
  const wants = play.given.show === "after" ? now.how === "listen" || now.how === "then listen" : play.asked === now.lead;
  if (now.how === "listen" || wants) answer(now.lead);
  else if (play.given.show === "after" && (now.how === "coming" || now.how === "end") && play.answered >= 0) { /* it stays until the entry */ }
  else if (play.given.show === "after" && now.how === "coming") answer(Math.max(0, now.lead - 1));
  else hideAnswer();
  showCircle(now.lead);
  // Who does not see the screen hears the key to come before it comes, and nothing else.
  if (now.how === "coming" || now.how === "count") put("live", "next: " + s.said);
}

// The chords of the key that leads, the one that sounds marked.
function showChords(s, now) {
  const chords = now.how === "end" ? [] : s.chords || [];
  $("chords").hidden = !chords.length;
  $("chords").replaceChildren(...chords.flatMap((c, n) => [n ? " " : "", make("span", {}, plain(c.symbol))]));
  play.chord = -1;
}

function showChord(t, now, rest) {
  const { chords = [], end } = play.plan.statements[now.lead];
  let n = -1;
  if (!rest && chords.length && now.how !== "end") {
    const at = t - (now.how === "listen" ? now.from - play.plan.statements[now.lead].start : 0); // an answer comes later
    while (n + 1 < chords.length && chords[n + 1].at <= at + 1e-6 && at < end) n++;
  }
  if (n === play.chord) return;
  play.chord = n;
  [...$("chords").children].forEach((c, k) => c.classList.toggle("sounds", k === n));
}

// Pictures take longer than letters: a key that comes first shows its letter, and
// what comes next is made ready meanwhile.
function showCircle(n) {
  const mine = play;
  const put = () => {
    if (mine.circle === n || !mine.circles.has(n)) return;
    mine.circle = n;
    $("circle").replaceChildren(...mine.circles.get(n));
  };
  if (roomy.matches) setTimeout(() => { if (play === mine) put(); }); // once the letter is drawn
  const answers = mine.plan.sound === "answer" || mine.given.show === "after";
  clearTimeout(mine.later);
  mine.later = setTimeout(() => {
    if (play !== mine) return;
    for (const ready of [n, n + 1]) {
      if (ready >= mine.plan.statements.length) continue;
      if (roomy.matches && !mine.circles.has(ready)) mine.circles.set(ready, nodes([mine.session.circle(ready)]));
      if (answers) answerOf(mine, ready);
    }
    if (roomy.matches) put();
    for (const old of [mine.circles, mine.answers]) for (const k of old.keys()) if (k < n - 2 || k > n + 2) old.delete(k);
  }, 10);
}

function answerOf(mine, n) {
  if (!mine.answers.has(n)) {
    const a = mine.session.answer(n);
    mine.answers.set(n, { notes: a.notes, text: plain(`${mine.plan.statements[n].key}: ${a.notes}`), staff: nodes(a.svg.slice(0, 1)) });
  }
  return mine.answers.get(n);
}

function answer(n) {
  if (play.answered === n) return;
  const a = answerOf(play, n);
  play.answered = n;
  $("answer").classList.remove("off");
  if (!classroom.answer(play.plan.statements, n, a.notes)) {
    put("answer-notes", a.text);
    $("answer-staff").replaceChildren(...a.staff);
    for (const svg of a.staff) crop(svg);
  }
  $("ask").setAttribute("aria-pressed", "true");
}

// crop has a staff take the room that there is: no margin of the paper around it.
function crop(svg) {
  if (svg.hasAttribute("preserveAspectRatio")) return;
  const ink = svg.getBBox();
  if (!ink.width) return;
  svg.setAttribute("viewBox", [ink.x, ink.y, ink.width, ink.height].join(" "));
  svg.setAttribute("preserveAspectRatio", "xMinYMid");
}

function hideAnswer() {
  play.answered = -1;
  $("answer").classList.add("off");
  $("ask").setAttribute("aria-pressed", "false");
}

function toggleAnswer() {
  const now = look(heard());
  if (play.answered >= 0) {
    play.asked = -1;
    hideAnswer();
  } else {
    play.asked = now.lead;
    answer(now.lead);
  }
}

// target is the statement that a say is for: the one before until half of the
// present one is played.
function target(t) {
  const { statements } = play.plan;
  let n = -1;
  while (n + 1 < statements.length && (statements[n + 1].start + statements[n + 1].end) / 2 <= t) n++;
  return n;
}

function showTarget(n) {
  if (play.target === n) return;
  play.target = n;
  const key = n < 0 ? "" : play.plan.statements[n].key + " ";
  for (const id of ["missed", "clean"]) {
    $(id).disabled = n < 0;
    $(id).querySelector(".word").textContent = key + (id === "clean" ? "clean" : "not clean");
  }
}

function saySo(verdict, n = target(heard())) {
  if (n < 0) return;
  play.says[n] = verdict;
  play.session.say(play.plan.statements[n].turn, verdict);
  showSaid(verdict, `${play.plan.statements[n].key}: ${verdict}.`);
  keep();
}

// showSaid shows what was said of a key, with a sign before it.
function showSaid(verdict, text) {
  for (const v of ["clean", "not clean", "unclear"]) $("stage").classList.toggle("said-" + v.replace(" ", "-"), v === verdict);
  put("said", text);
}

// takeHeard takes what was heard of a statement: on the stage, or of the last one
// when it is over already. What the player says goes before it.
function takeHeard(mine, { turn, verdict, words: text }) {
  const of = mine === play ? play : done?.session === mine?.session ? done : null;
  if (!of) return;
  const n = of.plan.turns[turn].statement;
  if (of === play ? play.paused && of.plan.statements[n].end > play.until : n >= done.says.length) return;
  of.session.hear(turn, verdict);
  of.heard[n] = { verdict, words: text };
  if (of.keeps) of.heard[n].zero = of.player.zero;
  record.heard.push({ statement: n, verdict, words: text, after: of === play ? heard() - of.plan.statements[n].end : undefined });
  if (of === done) {
    of.says[n] = saidOf(of, n);
    report();
    return;
  }
  if ((of.says[n] || "unsaid") === "unsaid") showSaid(verdict, `${of.plan.statements[n].key}: ${text}.`);
  keep();
}

// takeHeld begins, or goes on, after the note that comes was held.
function takeHeld(since) {
  if (document.querySelector("dialog[open]")) return;
  const ended = !play && !$("result").hidden;
  if (ended && since < (done.sound?.until ?? 0)) { // the page's own sound
    awaitNext(true);
    return;
  }
  const plan = play ? play.paused && play.plan : ended ? done.waits : !$("setup").hidden && session?.plan;
  if (!plan) return;
  const at = countFrom(since, plan.clicks[1][0] - plan.clicks[0][0], audio.currentTime);
  if (play) unpause(at);
  else if (ended) done.next[0].go(at);
  else start(at);
}

// keep saves the session as it is, so that a reload comes back to it.
function keep() {
  const seconds = play.seconds + (play.paused ? 0 : Math.max(0, heard() - play.from));
  const turn = play.plan.turns[play.reached];
  if (turn?.statement >= 0) play.session.go(turn.index);
  const { given, says, heard: judged, tempo, task } = play;
  const ok = tab.keep(JSON.stringify({ state: play.session.state(), given, says, heard: judged, seconds, tempo, task, when: Date.now() }));
  if (ok) play.took?.();
  if (!ok && play.kept) put("said", "This browser saves nothing: do not close the page before the end.");
  play.kept = ok;
  if (ok) play.took = undefined;
}

// Tempo: from the next turn that is not scheduled yet.
function changeTempo(by) {
  if (!play || play.paused || !play.player) return;
  const t = heard();
  const turn = play.plan.turns.find((u) => u.at >= Math.max(t, play.player.scheduled));
  if (!turn) return;
  const beatsNow = play.tempo;
  const refused = attempt(() => { play.session.setTempo(turn.index, beatsNow + by); });
  if (refused) {
    put("said", refused.message);
    return;
  }
  play.plan = play.session.plan;
  play.tempo = beatsNow + by;
  play.player.replace(play.plan);
  ears.follow(play, play.player, play.from);
  put("tempo", String(play.tempo));
  play.answers.clear();
  const shown = play.answered;
  play.answered = -1;
  if (shown >= 0) answer(shown);
  if (play.task?.kind === "block") return; // whose tempo is the plan's
  play.given = inTempo(play.given, play.tempo);
  if (play.task?.base) play.task.base = inTempo(play.task.base, play.tempo);
  $("field-tempo").value = String(play.tempo);
  remember(play);
}

// inTempo are settings in another tempo.
function inTempo({ ...given }, tempo) {
  if (String(tempo) === defaultOf("tempo")) delete given.tempo;
  else given.tempo = String(tempo);
  return given;
}

function stopPlaying() {
  const t = heard();
  play.seconds += play.paused ? 0 : Math.max(0, t - play.from);
  cancelAnimationFrame(play.frame);
  play.fill?.cancel();
  play.player?.stop();
  play.lock?.release().catch(() => {});
  return t;
}

function finish() {
  const t = stopPlaying();
  const ended = play;
  play = null;
  let played = ended.plan.statements.filter((s) => s.end <= t + 1e-6).length;
  played = Math.max(played, ended.says.length);
  if (played === 0) {
    tab.keep("");
    show("setup");
    refresh(true);
    tell("Stopped before the first key was played.");
    $("start").focus();
    return;
  }
  const says = Array.from({ length: played }, (_, n) => saidOf(ended, n));
  const mine = { session: ended.session, plan: ended.plan, given: ended.given, tempo: ended.tempo, task: ended.task, before: ended.log, says, heard: ended.heard, keeps: ended.keeps, player: ended.player, seconds: Math.min(ended.seconds, ended.plan.duration) };
  done = mine;
  if (count()) tab.keep("");
  // One thing after another, so that none takes long.
  setTimeout(() => {
    if (done !== mine) return;
    show("result");
    showReport();
    requestAnimationFrame(() => setTimeout(() => { if (done === mine && !$("result").hidden) $("result-head").focus(); }));
  });
}

// saidOf is what was said of a statement, by the player or else by who listened.
function saidOf({ says, heard: judged }, n) {
  const own = says[n] || "unsaid";
  return own === "unsaid" && words[judged[n]?.verdict] ? judged[n].verdict : own;
}

// settle tells the session what was said of each statement.
function settle(of) {
  of.plan.statements.forEach((s, n) => {
    if (of.heard[n]) of.session.hear(s.turn, "not played"); // all that was said is in says
    of.session.say(s.turn, of.says[n] || "unsaid");
  });
  of.session.go(of.says.length < of.plan.statements.length ? of.plan.statements[of.says.length].turn : of.plan.turns.length);
}

// What came of it.

function today(later = 0) { // so many days
  const d = new Date();
  d.setDate(d.getDate() + later);
  const two = (n) => String(n).padStart(2, "0");
  return `${String(d.getFullYear()).padStart(4, "0")}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
}

const words = { clean: "clean", "not clean": "not clean", unsaid: "not judged", unclear: "unclear" };
const signs = { clean: "✓", "not clean": "×", played: "·", "not judged": "·", unclear: "?", "": "" };

// report counts what was said, saves it and shows it. It reports whether it is saved.
function report() {
  const kept = count();
  showReport();
  return kept;
}

function count() {
  settle(done);
  const judged = done.says.filter((s) => s === "clean" || s === "not clean").length;
  // An entry has whole minutes: what a session leaves over goes to the next one of the day.
  const share = judged / done.says.length;
  const { day, seconds } = savedObject(restKey);
  done.over ??= day === today() && Number.isFinite(seconds) ? seconds : 0;
  done.refused = attempt(() => { done.report = done.session.report(today(), Math.max(0, done.seconds + done.over / (share || 1))); });
  if (done.refused) return false;
  const minutes = done.report.log.split("\n").filter(Boolean).reduce((n, line) => n + (JSON.parse(line).minutes || 0), 0);
  save(restKey, JSON.stringify({ day: today(), seconds: done.over + done.seconds * share - 60 * minutes }));
  done.saved = keepLines(done.report.log);
  return done.saved;
}

function showReport() {
  if (done.refused) {
    tell(done.refused.message);
    return;
  }
  const { report: r, saved: kept } = done;
  const count = (v) => done.says.filter((s) => s === v).length;
  const { degrees, scale, varied, orders } = done.plan;
  put("played", plain(`${degrees} in ${scale}${varied ? ", " + varied : ""}, ${orders.length > 3 ? `${orders.length} orders` : orders.map((o) => o.title).join("; ")}, tempo ${done.tempo}.`));
  put("told", `${done.says.length} of ${done.plan.statements.length} ${keysOrTries(done.plan)} played: ${count("clean")} clean, ${count("not clean")} not clean, ${count("unsaid")} not judged${count("unclear") ? `, ${count("unclear")} unclear` : ""}.`);
  $("list").replaceChildren(...done.says.map((s, n) => sayButton(s, n)));
  showHeard();
  put("made", `This session made ${r.moves} of the 132 moves, ${r.clean} of them clean. With what is saved in this browser for ${done.plan.instrument}, ${r.made} were clean at least once.`);
  table(r);
  put("fresh", r.fills ? `The order that would fill most gaps: ${means(r.freshest)} (${r.freshest}), ${r.fills} moves that were never clean.` : "No gap is left: all 132 moves were clean at least once.");
  put("logged", (r.log ? "" : "Nothing was judged, so this session has no line for the log. ") + (kept ? "The log is saved in this browser only." : "This browser saves nothing for this page: download the session to keep it.") + (r.problem ? " " + r.problem : ""));
  offer($("download"), r.log);
  offer($("download-all"), kept ? saved(logKey) : library.keep(done.before, "", r.log));
  showNext();
}

// keysOrTries is what a session is counted in: one key again and again is tries.
function keysOrTries({ statements }) {
  return statements.length > 1 && statements.every((s) => s.key === statements[0].key) ? "tries" : "keys";
}

// showHeard lists what was heard of keys that were not clean.
function showHeard() {
  const lines = done.heard.map((h, n) => {
    if (!words[h?.verdict] || h.verdict === "clean" || n >= done.says.length) return null;
    const line = make("li", {}, `${done.plan.statements[n].key}: ${h.words || words[h.verdict]} `);
    if (h.zero !== undefined && ears.listener) line.append(...besideModel(done, n, h.zero));
    return line;
  }).filter(Boolean);
  $("heard").hidden = !lines.length;
  $("heard-list").replaceChildren(...lines);
}

// besideModel has a statement heard back as it was played, and as the model plays it.
function besideModel(of, n, zero) {
  const { key, said, start: from, end } = of.plan.statements[n];
  const sound = (of.sound ??= new Sound(audio, choices.hertz));
  const button = (text, act) => {
    const b = make("button", { type: "button", "aria-label": `${text}, ${said}` }, text);
    b.addEventListener("click", act);
    return b;
  };
  return [
    button("Yours", async () => sound.take(await ears.listener.take(zero + from - 0.1, zero + end + 0.3), gain($("volume").value / 100))), " ",
    button("The model", () => {
      const refused = attempt(() => {
        const one = library.open({ ...of.given, order: "", first: "", keys: key, tempo: String(of.tempo), sound: "model" });
        sound.model(one.plan, gain($("volume").value / 100));
        one.close();
      });
      if (refused) tell(refused.message);
    }),
  ];
}

// What follows a session that is part of something; others are played again, or in
// the order that fills most gaps.
const follows = new Map([["block", plans.after], ["learn", learn.afterStep], ["cold", learn.afterCold]]);

function showNext() {
  const entries = done.report.log.split("\n").filter(Boolean).map((line) => JSON.parse(line));
  const sum = (field) => entries.reduce((n, e) => n + e[field], 0);
  const { says, next } = follows.get(done.task?.kind)?.(done, { clean: sum("clean"), judged: sum("statements") }) || {
    says: ladderText(),
    next: [nextRound("Again"), { ...nextRound(`Next order: ${means(done.report.freshest)}`, done.report.freshest), none: !done.report.fills }],
  };
  done.next = next;
  put("ladder-says", says || "");
  ["again", "take"].forEach((id, n) => {
    const next = done.next[n];
    put(id, next?.text || "");
    $(id).hidden = !next || Boolean(next.none);
  });
  put("result-keys", `Page Down or the space bar: ${$("again").textContent}.${$("take").hidden ? "" : ` Page Up: ${$("take").textContent}.`}`);
  awaitNext();
}

// awaitNext has the first note of what follows, when it is held, do as the pedal does.
function awaitNext(anew) {
  let of;
  if (ears.listener) attempt(() => { of = done.next?.[0].open?.(); });
  const state = of?.state() ?? "";
  if (of && (anew || state !== done.awaited)) ears.await(of, of.plan.statements[0].turn);
  done.awaited = state;
  done.waits = of?.plan;
  put("hold-says", of ? `Or hold the first note, in ${of.plan.statements[0].key}, for two beats: ${done.next[0].text}.` : "");
  of?.close();
}

// means is an order in words, if it is one to choose.
function means(order) {
  return choices.choices.order.find((c) => c.text === order)?.means || "an order";
}

// The ladder of tempos: up after a round in which all was clean, down after faults.
function nextTempo() {
  const tempo = done.tempo;
  if (!$("ladder").checked || done.says.every((s) => s === "unsaid")) return tempo;
  const step = Math.max(1, Math.round(tempo * 0.04));
  if (done.says.some((s) => s === "not clean")) return tempo - step;
  return done.says.every((s) => s === "clean") && done.says.length === done.plan.statements.length ? tempo + step : tempo;
}

function ladderText() {
  return $("ladder").checked ? `The next round goes at ${nextTempo()}.` : "";
}

// keepLines saves the lines of the session in place of those that it had, and
// leaves what another tab has saved meanwhile.
function keepLines(lines) {
  const kept = save(logKey, library.keep(saved(logKey), done.kept || "", lines));
  done.kept = lines;
  return kept;
}

function sayButton(s, n) {
  const item = make("li");
  const b = make("button", { type: "button", class: "say " + words[s].replace(" ", "-") });
  b.append(...spoken(done.plan.statements[n].key, done.plan.statements[n].said + ": "), make("span", { "aria-hidden": "true" }, " " + signs[words[s]]), make("span", { class: "unseen" }, words[s]));
  b.addEventListener("click", () => {
    done.says[n] = { clean: "not clean", "not clean": "unsaid", unsaid: "clean", unclear: "clean" }[s];
    report();
    $("list").children[n].firstChild.focus();
  });
  item.append(b);
  return item;
}

function table(r) {
  const head = make("tr");
  head.append(make("td"));
  r.keys.forEach((k, n) => {
    const th = make("th", { scope: "col" });
    th.append(...spoken(k, r.said[n]));
    head.append(th);
  });
  const body = make("tbody");
  r.keys.forEach((k, from) => {
    const row = make("tr");
    const th = make("th", { scope: "row" });
    th.append(...spoken(k, r.said[from]));
    row.append(th);
    r.table[from].forEach((cell, to) => {
      const td = make("td", { class: (from === to ? "same" : cell.ever.replace(" ", "-")) + (cell.now ? " fresh" : "") });
      if (from !== to) td.append(...spoken(signs[cell.ever], cell.ever ? cell.ever + (cell.now ? ", in this session " + cell.now : "") : "never made"));
      row.append(td);
    });
    body.append(row);
  });
  const top = make("thead");
  top.append(head);
  $("table").replaceChildren(top, body);
  $("legend").replaceChildren(...[["✓", "clean at least once"], ["×", "tried, not clean yet"], ["·", "played, not judged"], ["□", "made in this session (framed)"]].map(([sign, text]) => {
    const li = make("li");
    li.append(make("span", { "aria-hidden": "true" }, sign + " "), text);
    return li;
  }));
}

function offer(link, text) {
  if (link.hasAttribute("href")) URL.revokeObjectURL(link.href);
  link.removeAttribute("href");
  link.hidden = text === "";
  if (text) link.href = URL.createObjectURL(new Blob([text], { type: "application/jsonl" }));
}

// nextRound plays what was played, in the tempo that the ladder has come to; with an
// order, that one.
function nextRound(text, order) {
  const given = inTempo(done.given, nextTempo());
  if (order) {
    given.order = order;
    delete given.keys;
  }
  return {
    text,
    open: () => library.open(given, saved(logKey)),
    go(at) {
      fill(given);
      show("setup");
      start(at);
    },
  };
}

// A session that was left in the middle is offered to be gone on with.

async function offerKept() {
  $("kept").hidden = true;
  for (const kept of await tab.left()) {
    const of = { session: undefined };
    try {
      of.session = library.resume(kept.state, saved(logKey));
    } catch {
      continue; // it stays, for a newer page perhaps
    }
    if (play || $("setup").hidden) return;
    offerSession(kept, of.session);
    return;
  }
}

function offerSession(kept, of) {
  const { plan } = of;
  const object = (v) => (v && typeof v === "object" ? v : undefined);
  const given = object(kept.given) || {};
  const task = object(kept.task);
  const said = plan.statements.filter((s) => s.verdict !== "unsaid").length;
  const seconds = kept.seconds >= 0 ? kept.seconds : 0;
  const judged = plan.statements.map((s, n) => (s.judged ? { verdict: s.verdict, words: String(kept.heard?.[n]?.words ?? "") } : null));
  put("kept-what", `${plan.degrees} in ${plan.scale}, ${plan.orders.map((o) => o.title).join("; ")}: ${said} of ${plan.statements.length} ${keysOrTries(plan)} are judged.`);
  $("go-on").onclick = () => {
    $("kept").hidden = true;
    fill(object(task?.base) || given);
    const says = plan.statements.map((s) => (s.judged ? "unsaid" : s.verdict));
    begin({ session: of, given, seconds, from: resumeTime(of), says: says.slice(0, says.findLastIndex((v) => v !== "unsaid") + 1), heard: judged, tempo: kept.tempo, task });
    if (play) play.took = kept.key === tab.key ? undefined : kept.drop;
  };
  $("put-away").onclick = () => {
    const says = plan.statements.map((s) => s.verdict);
    while (says.length && says.at(-1) === "unsaid") says.pop();
    $("kept").hidden = true;
    if (!says.length) {
      kept.drop();
      offerKept();
      return;
    }
    done = { session: of, plan, given, task, tempo: kept.tempo || Number(given.tempo || defaultOf("tempo")), before: saved(logKey), says, heard: judged, seconds };
    show("result");
    if (report()) kept.drop();
  };
  $("kept").hidden = false;
}

// resumeTime is the beginning of the rest before the turn that the session has
// come to.
function resumeTime(of) {
  const { turns } = of.plan;
  const state = JSON.parse(of.state());
  let n = Math.min(Math.max(state.turn ?? 0, 0), turns.length - 1);
  while (n > 0 && turns[n].who !== "rest" && turns[n].who !== "count") n--;
  return turns[n].at;
}

// What is on the screen, and what keys do.

function show(which) {
  for (const id of ["setup", "stage", "result"]) $(id).hidden = id !== which;
  $("unready").hidden = true;
  $("with-program").hidden = !library;
  $("sound").hidden = !library || which === "result";
  $("kept").hidden = true;
  const before = document.body.className;
  document.body.className = which;
  tell("");
  if (before && ![before, which].includes("stage")) scrollTo(0, 0); // on the stage nothing scrolls
}

// A switch that is held down pauses, and says nothing; let go before that it says
// clean or not clean of the statement that it was pressed for.
let held;

function press(key, verdict) {
  letGo();
  const mine = play;
  held = { key, verdict, n: target(heard()), timer: setTimeout(() => { held = undefined; if (play === mine && !mine.paused) pause(); }, longPress) };
}

function letGo() {
  if (held) clearTimeout(held.timer);
  held = undefined;
}

function onKeyUp(e) {
  if (e.key !== held?.key) return;
  const { verdict, n } = held;
  letGo();
  if (play && !play.paused) saySo(verdict, n);
}

function onKey(e) {
  if (e.altKey || e.ctrlKey || e.metaKey || document.querySelector("dialog[open]")) return;
  const control = e.target.closest("input, select, textarea, button, a, summary");
  if (play) {
    const acts = {
      ArrowRight: () => saySo("clean"), PageDown: () => press("PageDown", "clean"),
      ArrowLeft: () => saySo("not clean"), PageUp: () => press("PageUp", "not clean"),
      ArrowUp: toggleAnswer, Escape: finish, p: togglePause, P: togglePause,
      "+": () => changeTempo(2), "=": () => changeTempo(2), "-": () => changeTempo(-2),
      " ": togglePause,
    };
    if (e.key === " " && control?.localName === "button" && !play.paused) return;
    if (!acts[e.key]) return;
    e.preventDefault();
    if (e.repeat) return;
    if (play.paused) {
      if (["PageDown", " ", "p", "P"].includes(e.key)) unpause();
      else if (e.key === "PageUp" || e.key === "Escape") finish();
      return;
    }
    acts[e.key]();
    return;
  }
  if (e.repeat) return;
  const go = e.key === "PageDown" || (e.key === " " && !control);
  if (!$("result").hidden) {
    if (go) { e.preventDefault(); done.next[0].go(); }
    else if (e.key === "PageUp" && !$("take").hidden) { e.preventDefault(); done.next[1].go(); }
    return;
  }
  if (!$("setup").hidden && go) {
    e.preventDefault();
    if (!$("kept").hidden) $("go-on").click();
    else start();
  }
}

function levels() { return Object.fromEntries(layers.map((l) => [l, levelOf(l)])); }

// levelOf is the gain of a layer, where all of the way is as it comes.
function levelOf(layer) { return gain($("level-" + layer).value / 100); }

let taps = [];

function tap() {
  const now = performance.now();
  if (taps.length && now - taps.at(-1) > 2500) taps = [];
  taps = [...taps, now].slice(-5);
  if (taps.length < 3) return;
  const beat = (taps.at(-1) - taps[0]) / (taps.length - 1);
  $("field-tempo").value = String(Math.round(60000 / beat));
  refresh(true);
}

function wire() {
  $("setup").addEventListener("submit", (e) => {
    e.preventDefault();
    if (!document.activeElement?.matches("input:not(#main-fields *, #more-fields *)")) start(); // Enter beside the drill's fields starts nothing
  });
  $("main-fields").addEventListener("input", () => refresh(false));
  $("more-fields").addEventListener("input", () => refresh(false));
  $("main-fields").addEventListener("change", () => refresh(true));
  $("more-fields").addEventListener("change", () => refresh(true));
  $("copy").addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText($("link").href);
      put("copy", "Copied");
    } catch {
      tell("The browser does not let this page copy; take the link beside the button.");
    }
  });
  $("tap").addEventListener("click", tap);
  $("orders").addEventListener("toggle", showOrders);
  $("own").addEventListener("toggle", showOwn);
  $("idea-keep").addEventListener("click", keepIdea);
  $("idea-name").addEventListener("keydown", (e) => { if (e.key === "Enter") { e.preventDefault(); keepIdea(); } });
  $("file").addEventListener("change", addFile);
  $("missed").addEventListener("click", () => saySo("not clean"));
  $("clean").addEventListener("click", () => saySo("clean"));
  $("ask").addEventListener("click", toggleAnswer);
  $("pause").addEventListener("click", togglePause);
  $("unhold").addEventListener("click", () => unpause());
  $("slower").addEventListener("click", () => changeTempo(-2));
  $("faster").addEventListener("click", () => changeTempo(2));
  $("stop").addEventListener("click", finish);
  $("again").addEventListener("click", () => done.next[0].go());
  $("back").addEventListener("click", () => {
    show("setup");
    refresh(true);
    $("start").focus();
  });
  $("take").addEventListener("click", () => done.next[1].go());
  $("erase").addEventListener("click", () => {
    if (!confirm("Erase the practice log that is saved in this browser?")) return;
    save(logKey, "");
    put("logged", "Nothing is saved in this browser.");
    offer($("download-all"), "");
  });
  for (const id of ["volume", ...layers.map((l) => "level-" + l)]) {
    $(id).addEventListener("input", () => {
      document.querySelector(`output[for=${id}]`).textContent = $(id).value + " %";
      save(levelKey, JSON.stringify(Object.fromEntries(["volume", ...layers.map((l) => "level-" + l)].map((n) => [n, $(n).value]))));
      if (id === "volume") play?.player?.setVolume(gain($(id).value / 100));
      else play?.player?.setLevel(id.slice("level-".length), levelOf(id.slice("level-".length)));
    });
  }
  document.addEventListener("keydown", onKey);
  document.addEventListener("keyup", onKeyUp);
  addEventListener("blur", letGo);
  addEventListener("resize", () => { if (play) fitDegrees(); });
  document.addEventListener("visibilitychange", () => { if (play && !play.paused && document.visibilityState === "visible") holdScreen(); });
  addEventListener("beforeunload", (e) => { if (play && !play.paused) e.preventDefault(); });
  addEventListener("pagehide", () => { if (play) keep(); });
  addEventListener("hashchange", () => {
    if (!library) fillEarly();
    else if (!play) { show("setup"); readAddress(); }
  });
}

function readLevels() {
  const levels = savedObject(levelKey);
  for (const id of ["volume", ...layers.map((l) => "level-" + l)]) {
    const value = Number(levels[id]);
    if (!Object.hasOwn(levels, id) || !(value >= 0 && value <= 100)) continue;
    $(id).value = value;
    document.querySelector(`output[for=${id}]`).textContent = $(id).value + " %";
  }
}

async function begun() {
  const program = load();
  for (const f of choices.fields) $(inMain.includes(f.name) ? "main-fields" : "more-fields").append(fieldOf(f));
  for (const [layer, label] of Object.entries(layerNames)) {
    const id = "level-" + layer;
    $("levels").append(make("label", { for: id }, label), make("input", { id, type: "range", min: 0, max: 100, value: 100, autocomplete: "off" }), make("output", { for: id }, "100 %"));
  }
  for (const c of choices.cautions) $("cautions").append(make("li", {}, c));
  ears = new Ears({
    audio: async () => ((await openAudio()) ? audio : undefined),
    instrument: () => $("field-instrument").value.trim() || defaultOf("instrument"),
    opened() {
      if (play && !play.paused && play.player) ears.follow(play, play.player, heard());
      else if (!$("result").hidden) awaitNext(true);
      else if (!play && session) ears.await(session, session.plan.statements[0].turn);
    },
    heard: takeHeard, held: takeHeld, ended: (why) => { if (play) put("said", why); },
  });
  new Idea({
    audio: async () => ((await openAudio()) ? audio : undefined), library: () => library, hertz: () => choices.hertz,
    given: () => Object.fromEntries(["instrument", "range", "tempo", "meter"].map((f) => [f, $("field-" + f).value.trim()])),
    volume: () => gain($("volume").value / 100), plain, picture,
    keep(name, given) {
      const kept = own.add([{ name, settings: given }]);
      fill(given);
      refresh(true);
      showOwn();
      return kept < 0 ? "This browser saves nothing for this page; the idea stands in the settings." : kept ? `${keptAs(name)} It stands in the settings now.` : "You have this idea already. It stands in the settings now.";
    },
    closed: () => refresh(false),
  }, ears);
  readLevels();
  wire();
  const page = { $, make, put, plain, capital, attempt, mark, tell, show, settings, fill, refresh, refuse, begin, start, today, showOwn, changed: parts, get library() { return library; } };
  for (const part of [plans, past, learn, mine]) part.wire(page);
  if (fillEarly()) {
    show("setup");
    record.ready = performance.now();
  }
  const loaded = await program;
  await new Promise((r) => setTimeout(r)); // what was typed meanwhile goes first
  library = loaded;
  show("setup"); // all of it
  if (early.changed) refresh(early.final);
  else if (location.href.includes("#") || !fillLast()) readAddress(); // a link goes first
  record.planned = performance.now();
  record.ready ||= record.planned;
  setTimeout(() => { if (!play) showFirst(); }); // the page can be used meanwhile
  await tab.open();
  await offerKept();
  record.offered = true;
  if (early.start && !play && $("kept").hidden) early.start();
  // A newer page is asked for at once: the browser itself waits until the page has stood a while.
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("sw.js").then((r) => r.update()).catch(() => {});
    // Now that the page is there, what listens is kept as well.
    const more = () => navigator.serviceWorker.controller?.postMessage("more");
    navigator.serviceWorker.addEventListener("controllerchange", more);
    more();
  }
}

begun().catch((e) => {
  $("unready").hidden = true;
  if (!library) $("setup").hidden = true;
  tell("The page could not load its program; load it again, from a web server.");
  console.error(e);
});
