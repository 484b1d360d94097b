// A class: the concert key and what each part reads, for one screen that all of them
// see; and a link that is short enough for a board.

const $ = (id) => document.getElementById(id);

function make(tag, attributes = {}, ...inside) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.append(...inside);
  return e;
}

// plain writes double accidentals as two signs, which every font has.
const plain = (text) => text.replaceAll("𝄫", "♭♭").replaceAll("𝄪", "♯♯");

// key shows a key, in words for whoever hears the page.
function key({ key, said, rests }) {
  if (rests) return [make("span", { "aria-hidden": "true" }, "–"), make("span", { class: "unseen" }, "rests")];
  const text = plain(key);
  const sign = text.length > 1 ? [make("span", { class: "accidental" }, text.slice(1))] : [];
  return [make("span", { "aria-hidden": "true" }, text.slice(0, 1), ...sign), make("span", { class: "unseen" }, said)];
}

// name is the name of an instrument without what is behind it: trumpet in B♭.
const name = (part) => part.replace(/ in [A-G][♭♯]?$/, "");

/** readShort is what a short link asks for, undefined for one with names in full. */
export function readShort(library, text) {
  if (text === "" || text.includes("=")) return undefined;
  try {
    return library.readLink(decodeURIComponent(text));
  } catch {
    return library.readLink(text); // a % that stands for nothing
  }
}

/** showLink shows the short link of settings. */
export function showLink(library, given) {
  const short = "#" + library.shortLink(given);
  $("link-here").hidden = !/^(localhost|.*\.localhost|127(\.\d+){3}|\[::1\])$/.test(location.hostname);
  $("link").href = short;
  const parts = (location.host + location.pathname + short).split(/(?<=[/.])/);
  $("link").replaceChildren(...parts.flatMap((p) => [p, make("wbr")])); // where a line may end
}

// keysOf is what the parts of a class read.
function keysOf(session, given) { return given.parts ? session.classKeys(given) : { parts: [], keys: [], notes: {} }; }

/** order shows what a class reads in each key of a session, as a table. */
export function order(session, given) {
  const { parts, keys, links } = keysOf(session, given);
  $("class").hidden = !parts.length;
  if (!parts.length) return;
  const own = (part, n) => (links[n] ? make("a", { href: "#" + links[n] }, part) : part);
  const head = make("tr", {}, make("th", { scope: "col" }, "concert"), ...parts.map((p, n) => make("th", { scope: "col" }, own(p, n))));
  const { statements, orders } = session.plan;
  const rows = statements.map((s, n) => {
    const begins = n > 0 && (s.cycle !== statements[n - 1].cycle || s.order !== statements[n - 1].order);
    return make("tr", begins ? { class: "begins" } : {}, make("th", { scope: "row" }, ...key(s)), ...keys[n].map((k, p) => make("td", { "data-part": name(parts[p]) }, ...key(k))));
  });
  $("class-order").replaceChildren(make("caption", {}, orders.map((o) => o.title).join("; ")), make("thead", {}, head), make("tbody", {}, ...rows));
}

let playing;

/** begin makes the call for a session that is played. */
export function begin(session, given) {
  try {
    playing = keysOf(session, given);
  } catch {
    playing = keysOf(session, {}); // of a session that was kept, with settings that are no more
  }
  $("stage").classList.toggle("class", playing.parts.length > 0);
  $("call").hidden = $("answers").hidden = !playing.parts.length;
  $("call").style.setProperty("--rows", playing.parts.length + 2);
  $("answers").style.setProperty("--rows", playing.parts.length + 1);
}

/** answer shows the notes of a statement, as they sound and as each part reads them,
    and reports whether there is a class; sounds are those that sound. */
export function answer(statements, n, sounds) {
  const all = playing?.notes[statements[n].key];
  if (!all) return false;
  const at = statements[n].held ? all[0].indexOf(sounds) : -1; // one note of a key that is held
  const texts = all.map((notes) => plain((at < 0 ? notes : notes.slice(at, at + 1)).join(" ")));
  const row = (label, of, text) => make("tr", {}, make("th", { scope: "row" }, label), make("td", {}, ...key(of)), make("td", {}, text));
  $("answers").style.setProperty("--long", Math.max(...texts.map((t) => t.length)));
  $("answers").tBodies[0].replaceChildren(row("concert", statements[n], texts[0]), ...playing.parts.map((part, p) => row(name(part), playing.keys[n][p], texts[p + 1])));
  return true;
}

/** call shows the key that leads and the one after it, as they sound and as each part
    reads them; −1 is none. */
export function call(statements, lead, next) {
  if (!playing?.parts.length) return;
  const row = (label, of) => make("tr", {}, make("th", { scope: "row" }, label), ...[lead, next].map((n) => make("td", {}, ...(statements[n] ? key(of(n)) : []))));
  $("call").tBodies[0].replaceChildren(row("concert", (n) => statements[n]), ...playing.parts.map((part, p) => row(name(part), (n) => playing.keys[n][p])));
}
