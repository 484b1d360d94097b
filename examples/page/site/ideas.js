// The player's own ideas: settings with a name, and what belongs to them, kept in this
// browser, written to a file and read from one.

import { ideasKey, save, savedObject } from "./store.js";

export const longest = 80; // characters of a name
const mostTags = 12;

// What an idea may have beside its settings, each read from whatever stands there;
// undefined is none.
const extras = {
  tags: (v) => { const all = Array.isArray(v) ? [...new Set(v.filter((t) => typeof t === "string" && t).map((t) => t.slice(0, 30)))].slice(0, mostTags) : []; return all.length ? all : undefined; },
  goal: (v) => (Number.isInteger(v) && v >= 10 && v <= 500 ? v : undefined), // a tempo
  variations: (v) => { const all = Array.isArray(v) ? v.filter((t) => typeof t === "string" && t && t.length < 300).slice(0, 16) : []; return all.length ? all : undefined; },
  until: (v) => (typeof v === "string" && /^\d{4}-\d\d-\d\d$/.test(v) ? v : undefined), // put aside until that day
};

// valid keeps what is an idea of a list, whatever else stands there.
function valid(list) {
  if (!Array.isArray(list)) return [];
  return list.filter((i) => typeof i?.name === "string" && i.name && i.settings && typeof i.settings === "object" && Object.values(i.settings).every((v) => typeof v === "string"))
    .map((i) => {
      const idea = { name: i.name.slice(0, longest), settings: i.settings };
      for (const [key, read] of Object.entries(extras)) {
        const value = read(i[key]);
        if (value !== undefined) idea[key] = value;
      }
      return idea;
    });
}

export function ideas() { return valid(savedObject(ideasKey).ideas); }

export function text(list = ideas()) { return list.length ? JSON.stringify({ version: 1, ideas: list }) : ""; }

const same = (a, b) => a.name === b.name && JSON.stringify(ordered(a.settings)) === JSON.stringify(ordered(b.settings));
const ordered = (o) => Object.fromEntries(Object.entries(o).sort());

/** add keeps ideas beside those that there are: one of the same name and other
    settings gets a number; one that is there already gets what it had not. It returns
    how many are new, or −1 if nothing is saved. */
export function add(more) {
  const list = ideas();
  const before = list.length;
  for (const idea of valid(more)) {
    const there = list.find((i) => same(i, idea));
    if (there) {
      Object.assign(there, { ...idea, ...there });
      continue;
    }
    let { name } = idea;
    for (let n = 2; list.some((i) => i.name === name); n++) name = `${idea.name} ${n}`;
    list.push({ ...idea, name });
  }
  return save(ideasKey, text(list)) ? list.length - before : -1;
}

/** change changes what belongs to an idea, and reports whether it could be saved. */
export function change(name, what) {
  return save(ideasKey, text(valid(ideas().map((i) => (i.name === name ? { ...i, ...what } : i)))));
}

export function remove(name) { return save(ideasKey, text(ideas().filter((i) => i.name !== name))); }

/** read reads a file of ideas; what is none has none. */
export function read(file) {
  try {
    return valid(JSON.parse(file).ideas);
  } catch {
    return [];
  }
}
