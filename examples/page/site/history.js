// What was practised, as pictures with the same in words beside them: the moves between
// keys, the tempo of each figure, the days.

import { day } from "./today.js";
import { logKey, saved } from "./store.js";

const lately = 28; // days in which a move that was clean counts as fresh
const weeksShown = 26;

let page, past, asOf;

export function wire(p) {
  page = p;
  const { $ } = page;
  $("past").addEventListener("toggle", show);
  $("past-instrument").addEventListener("change", () => show());
  $("past-when").addEventListener("input", () => {
    asOf = Number($("past-when").value);
    moves();
  });
}

/** show shows what was practised, where it is open. */
export function show() {
  const { $, make, put } = page;
  if (!$("past").open) return;
  const asked = day();
  const chosen = $("past-instrument").value;
  if (chosen) asked.settings = { instrument: chosen };
  past = undefined;
  const refused = page.attempt(() => { past = page.library.past(asked, saved(logKey)); });
  put("past-says", refused ? refused.message : past.days.length ? past.problem || "" : "Nothing is logged yet. What you say of each key makes these pictures.");
  const there = Boolean(past?.days.length);
  $("past-pictures").hidden = !there;
  if (!there) return;
  const names = past.instruments.includes(past.instrument) ? past.instruments : [past.instrument, ...past.instruments];
  $("past-instrument").replaceChildren(...names.map((i) => make("option", { value: i }, i)));
  $("past-instrument").value = past.instrument;
  const { now, begun } = span();
  const when = $("past-when");
  [when.min, when.max, when.step] = [begun, now, 1];
  when.value = asOf = now;
  moves();
  takes();
  days();
}

function span() {
  const now = Math.max(Math.floor(Date.parse(day().date) / 864e5), past.days.at(-1).day);
  return { now, begun: past.days[0].day };
}

function date(n, more = {}) {
  return new Date(n * 864e5).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC", ...more });
}

function shape(tag, attributes, ...inside) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.append(...inside);
  return e;
}

function svg(width, height, label, ...inside) {
  const said = label ? { role: "img", "aria-label": label } : { "aria-hidden": "true" };
  return shape("svg", { viewBox: `0 0 ${width} ${height}`, ...said }, ...inside);
}

// The moves: a strip of twelve for each order, each by its mark.

const marks = {
  fresh: (x) => shape("rect", { x: x + 2, y: 2, width: 16, height: 16, class: "full" }),
  clean: (x) => shape("rect", { x: x + 3, y: 3, width: 14, height: 14, class: "line" }),
  tried: (x) => shape("path", { d: `M${x + 6} 6l8 8m0 -8l-8 8`, class: "line" }),
  never: (x) => shape("circle", { cx: x + 10, cy: 10, r: 1.5, class: "full" }),
};
const marked = { fresh: "clean in the four weeks before", clean: "clean longer ago", tried: "made, not clean yet", never: "never made" };

function standing(move, on) {
  const last = move.clean.findLast((d) => d <= on);
  if (last !== undefined) return on - last < lately ? "fresh" : "clean";
  return move.tried.some((d) => d <= on) ? "tried" : "never";
}

function moves() {
  const { $, make, put, plain } = page;
  put("past-date", date(asOf));
  $("past-when").setAttribute("aria-valuetext", date(asOf));
  const head = make("li", { "aria-hidden": "true" });
  head.append(svg(240, 20, "", ...past.keys.map((k, n) => shape("text", { x: 20 * n + 10, y: 15, class: "name" }, plain(k)))));
  let total = 0, fresh = 0;
  const rows = past.orders.map(({ title, moves }) => {
    const states = moves.map((m) => standing(m, asOf));
    const count = (s) => states.filter((t) => t === s).length;
    const clean = count("fresh") + count("clean");
    total += clean;
    fresh += count("fresh");
    const li = make("li");
    li.append(make("span", { class: "title" }, page.capital(title)), svg(240, 20, "", ...states.map((s, n) => marks[s](20 * n))), make("span", {}, `${clean} of 12`));
    const missing = states.flatMap((s, n) => (s === "tried" || s === "never" ? [`${moves[n].from} to ${past.keys[n]}`] : []));
    if (missing.length) li.append(make("span", { class: "unseen" }, " clean; still open: " + plain(missing.join(", "))));
    return li;
  });
  $("past-moves").replaceChildren(head, ...rows);
  put("past-total", `By ${date(asOf)} ${total} of the 132 moves were clean at least once, ${fresh} of them in the four weeks before.`);
  $("past-legend").replaceChildren(...Object.entries(marked).map(([state, text]) => {
    const li = make("li");
    li.append(svg(20, 20, "", marks[state](0)), " " + text);
    return li;
  }));
  growth();
}

// growth is how many of the moves were clean by each day.
function growth() {
  const { now, begun } = span();
  const firsts = past.orders.flatMap((o) => o.moves.flatMap((m) => m.clean.slice(0, 1))).sort((a, b) => a - b);
  const x = (d) => 30 + (260 * (d - begun)) / Math.max(1, now - begun);
  const y = (n) => 90 - (80 * n) / 132;
  let line = `M${x(begun)} ${y(0)}`;
  firsts.forEach((d, n) => { line += `H${x(d).toFixed(1)}V${y(n + 1).toFixed(1)}`; });
  line += `H${x(now)}`;
  const label = firsts.length ? `From ${date(begun)} to ${date(now)} the moves that were clean grew from ${firsts.filter((d) => d === begun).length} to ${firsts.length} of 132.` : "No move was clean yet.";
  page.$("past-growth").replaceChildren(svg(300, 100, label,
    shape("path", { d: "M30 10H290M30 90H290", class: "rule" }), shape("path", { d: line, class: "line" }), shape("path", { d: `M${x(asOf).toFixed(1)} 10V90`, class: "rule" }),
    shape("text", { x: 26, y: 14, class: "end" }, "132"), shape("text", { x: 26, y: 94, class: "end" }, "0")));
}

// best says the tempo of a day: the fastest of those in which the whole figure was
// clean, if there is one.
function best(take, day) {
  const all = take.filter((k) => k.day === day);
  const clean = all.filter((k) => !k.part && k.clean === k.played);
  return `tempo ${Math.max(...(clean.length ? clean : all).map((k) => k.tempo))} on ${date(day)}`;
}

// The tempo of each figure: a mark for each time, filled for the first try of a day.
function takes() {
  const { $, make, plain } = page;
  const { now, begun } = span();
  $("past-takes").replaceChildren(...past.takes.map((t) => {
    const tempos = [...t.take.map((k) => k.tempo), ...(t.goal ? [t.goal] : [])];
    const low = Math.min(...tempos) - 4, high = Math.max(...tempos) + 4;
    const x = (d) => 40 + (245 * (d - begun)) / Math.max(1, now - begun);
    const y = (n) => 70 - (60 * (n - low)) / (high - low);
    const first = t.take[0].day, last = t.take.at(-1).day;
    const count = new Set(t.take.map((k) => k.day)).size;
    const said = `${t.name}: ${best(t.take, first)}` + (last !== first ? `, ${best(t.take, last)}` : "") + `; ${count} ${count === 1 ? "day" : "days"}` + (t.goal ? `; goal ${t.goal}.` : ".");
    const figure = make("figure");
    figure.append(make("figcaption", {}, plain(said)), svg(300, 80, said,
      shape("path", { d: "M40 75H290", class: "rule" }),
      ...(t.goal ? [shape("path", { d: `M40 ${y(t.goal)}H290`, class: "rule goal" })] : []),
      ...t.take.map((k) => shape("circle", { cx: x(k.day).toFixed(1), cy: y(k.tempo).toFixed(1), r: 3.5, class: k.first ? "full" : "line" })),
      ...[...new Set([Math.min(...tempos), Math.max(...tempos)])].map((n) => shape("text", { x: 34, y: y(n) + 4, class: "end" }, String(n)))));
    const all = make("details");
    all.append(make("summary", {}, t.take.length === 1 ? "Once" : `All ${t.take.length} times`));
    all.addEventListener("toggle", () => {
      if (all.childElementCount > 1) return;
      const list = make("ul", { class: "small" });
      list.append(...t.take.toReversed().map((k) => make("li", {}, `${date(k.day)}: tempo ${k.tempo}, ${k.clean} of ${k.played} clean` + (k.first ? ", first try of the day" : "") + (k.varied ? ", " + k.varied : ""))));
      all.append(list);
    });
    figure.append(all);
    return figure;
  }));
  $("past-more").hidden = !past.more;
}

// The days on which something was practised, week by week.
function days() {
  const { $, make, put } = page;
  const { now, begun } = span();
  const monday = (d) => d - ((((d + 3) % 7) + 7) % 7); // 1 January 1970 was a Thursday
  const from = Math.max(monday(begun), monday(now) - 7 * (weeksShown - 1));
  const weeks = (monday(now) - from) / 7 + 1;
  const done = new Map(past.days.map((d) => [d.day, d]));
  const cells = [];
  for (let d = from; d <= now; d++) {
    const x = 34 + 14 * ((monday(d) - from) / 7), y = 14 * (d - monday(d));
    cells.push(done.has(d) ? shape("rect", { x: x + 1, y: y + 1, width: 12, height: 12, rx: 3, class: "full" }) : shape("circle", { cx: x + 7, cy: y + 7, r: 1, class: "full" }));
  }
  const names = ["Mon", "", "Wed", "", "Fri", "", "Sun"].map((n, k) => shape("text", { x: 30, y: 14 * k + 11, class: "end" }, n));
  const minutes = past.days.reduce((sum, d) => sum + d.minutes, 0);
  const said = `${past.days.length} ${past.days.length === 1 ? "day" : "days"} of practice since ${date(begun)}` + (minutes ? `, ${minutes} minutes noted.` : ".");
  put("past-days-say", said);
  $("past-days").replaceChildren(svg(Math.max(300, 40 + 14 * weeks), 98, said, ...names, ...cells));
  const list = make("ul", { class: "small" });
  for (let d = monday(now); d >= from; d -= 7) {
    const these = past.days.filter((p) => p.day >= d && p.day < d + 7).map((p) => date(p.day, { weekday: "short", day: undefined, month: undefined, year: undefined }) + (p.minutes ? ` ${p.minutes} min` : ""));
    if (these.length) list.append(make("li", {}, `Week of ${date(d)}: ${these.join(", ")}`));
  }
  $("past-weeks").replaceChildren(list);
}
