// To learn a figure: built up in the first key, two notes and then one more; taken cold,
// before anything else; varied.

import { day } from "./today.js";
import { logKey, saved } from "./store.js";

let page, about;

export function wire(p) {
  page = p;
  const { $ } = page;
  $("learn").addEventListener("toggle", show);
  $("build").addEventListener("click", () => step(2, page.settings()));
  $("cold").addEventListener("click", cold);
}

/** show shows what can be done with the figure, where it is open. */
export function show() {
  const { $, make, put, plain } = page;
  if (!$("learn").open) return;
  const asked = { ...day(), ideas: [] };
  about = undefined;
  page.attempt(() => { about = page.library.figure(asked, saved(logKey)); });
  for (const id of ["build", "cold"]) $(id).disabled = !about;
  put("build-says", about ? plain(about.beginnings.join("  →  ")) : "");
  $("cold").disabled = !about || about.played;
  const takes = about?.first.map((t) => `${new Date(t.day * 864e5).toLocaleDateString("en-GB", { day: "numeric", month: "short", timeZone: "UTC" })} ${t.clean} of ${t.played} at ${t.tempo}`) || [];
  put("cold-says", (about?.played ? "You have played this figure today: the next cold take is tomorrow’s." : "Before anything else, the order once, with the click alone. It is logged as the first try of the day.") + (takes.length ? ` Cold so far: ${takes.join("; ")}.` : ""));
  const now = $("field-vary").value.trim();
  const offers = about ? [{ text: "", means: "as it is", degrees: "" }, ...about.offers] : [];
  $("offers").replaceChildren(...offers.map((o) => {
    const b = make("button", { type: "button", "aria-pressed": String(o.text === now) });
    b.append(make("strong", {}, page.capital(o.means)), make("span", {}, plain(o.degrees)));
    b.addEventListener("click", () => {
      $("field-vary").value = o.text;
      page.refresh(true);
      [...$("offers").querySelectorAll("button")].find((c) => c.ariaPressed === "true")?.focus();
    });
    const li = make("li");
    li.append(b);
    return li;
  }));
}

// cold plays the order once, without help.
function cold() {
  const given = page.settings();
  for (const name of ["vary", "sound", "bass", "chords", "drone", "between", "free", "show"]) delete given[name];
  let session;
  const refused = page.attempt(() => { session = page.library.open(given, saved(logKey)); });
  if (refused) page.refuse(refused);
  else page.begin({ session, given, seconds: 0, from: 0, task: { kind: "cold", base: page.settings() } });
}

/** afterCold says what follows a cold take. */
export function afterCold(_, { clean, judged }) {
  return {
    says: judged ? `Your first take of the day: ${clean} of ${judged} clean. It is logged apart, as the first try.` : "",
    next: [whole("Now practise it", page.settings())],
  };
}

// whole is the figure through the keys, as what follows.
function whole(text, base) {
  return { text, open: () => page.library.open(base, saved(logKey)), go(at) { page.fill(base); page.show("setup"); page.start(at); } };
}

// beginning opens the first notes of the figure, four times in its first key. Each try is
// answered, unless something else was chosen to sound.
function beginning(notes, base) {
  const given = { sound: "answer", ...base };
  for (const name of ["vary", "order", "first", "keys", "scale", "rest", "free"]) delete given[name];
  const all = page.library.open({ ...base, vary: "" }, "");
  const of = page.library.figure({ ...day(), ideas: [], settings: base }).beginnings.length + 1;
  given.figure = all.plan.idea;
  given.keys = `${all.plan.statements[0].key} x4`;
  given.vary = `first ${notes}`;
  all.close();
  return { session: page.library.open(given, saved(logKey)), given, task: { kind: "learn", notes, of, base } };
}

// step plays a beginning.
function step(notes, base, at) {
  let of;
  const refused = page.attempt(() => { of = beginning(notes, base); });
  if (refused) page.refuse(refused);
  else page.begin({ ...of, seconds: 0, from: 0, at });
}

/** afterStep says what follows a step: one note more, the same again, or the order. */
export function afterStep({ task: { notes, of, base } }, { clean, judged }) {
  const follow = (text, notes) => ({ text, open: () => beginning(notes, base).session, go: (at) => step(notes, base, at) });
  const same = follow("The same again", notes);
  const on = notes < of ? follow(`One note more: ${notes + 1} of ${of}`, notes + 1) : whole("Now through the keys", base);
  return {
    says: `${Math.min(notes, of)} of ${of} notes, in the first key.`,
    next: clean < judged ? [same, on] : [on, same],
  };
}
