// The player's own ideas: settings with a name, kept in this browser, written to a
// file and read from one.

import { ideasKey, save, savedObject } from "./store.js";

const longest = 80; // characters of a name

// valid keeps what is an idea of a list, whatever else stands there.
function valid(list) {
  if (!Array.isArray(list)) return [];
  return list.filter((i) => typeof i?.name === "string" && i.name && i.settings && typeof i.settings === "object" && Object.values(i.settings).every((v) => typeof v === "string"))
    .map(({ name, settings }) => ({ name: name.slice(0, longest), settings }));
}

export function ideas() { return valid(savedObject(ideasKey).ideas); }

export function text(list = ideas()) { return list.length ? JSON.stringify({ version: 1, ideas: list }) : ""; }

const same = (a, b) => a.name === b.name && text([{ ...a, settings: ordered(a.settings) }]) === text([{ ...b, settings: ordered(b.settings) }]);
const ordered = (o) => Object.fromEntries(Object.entries(o).sort());

/** add keeps ideas beside those that there are: one of the same name and other
    settings gets a number. It returns how many are new, or −1 if nothing is saved. */
export function add(more) {
  const list = ideas();
  const before = list.length;
  for (const idea of valid(more)) {
    if (list.some((i) => same(i, idea))) continue;
    let { name } = idea;
    for (let n = 2; list.some((i) => i.name === name); n++) name = `${idea.name} ${n}`;
    list.push({ ...idea, name });
  }
  return save(ideasKey, text(list)) ? list.length - before : -1;
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
