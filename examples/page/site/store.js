// What is saved in this browser: the practice log, ideas, levels, and the session of
// each tab. A browser may save nothing, or be full, or hold what another program
// wrote: nothing here throws, and what cannot be read stays as it is.

export const logKey = "keyorder practice log";
export const ideasKey = "keyorder ideas";
export const levelKey = "keyorder levels";
export const planKey = "keyorder plan"; // its minutes and stage
export const lastKey = "keyorder settings"; // last started with
export const restKey = "keyorder minutes"; // seconds of a day that no entry has counted yet
const sessions = "keyorder session ";
const tabKey = "keyorder tab";

/** saved is the text of a key, "" where there is none. */
export function saved(key) {
  try {
    return localStorage.getItem(key) || "";
  } catch {
    return "";
  }
}

/** save saves a text, or removes the key for "", and reports whether it could. */
export function save(key, text) {
  try {
    if (text === "") localStorage.removeItem(key);
    else localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

/** savedObject is what a key holds as JSON, if it is an object. */
export function savedObject(key) {
  try {
    const value = JSON.parse(saved(key) || "{}");
    return value && typeof value === "object" ? value : {};
  } catch {
    return {};
  }
}

/** A Tab has the session of this tab apart from those of others: each is kept
    under the name of its tab, which a lock holds as long as the tab is open. */
export class Tab {
  #name;

  async open() {
    const before = this.#ownName();
    // A page that was loaded anew waits until the one before has let go; a name that is
    // new is nobody else's, and a busy browser only takes its time.
    for (const [name, patience] of [[before, 1500], [crypto.randomUUID(), 10_000]]) {
      if (name && (await hold(name, patience))) {
        this.#name = name;
        try { sessionStorage.setItem(tabKey, name); } catch { /* then a reload is as a new tab */ }
        return;
      }
    }
    this.#name = crypto.randomUUID();
  }

  #ownName() {
    try {
      return sessionStorage.getItem(tabKey) || "";
    } catch {
      return "";
    }
  }

  /** key is where the session of this tab is kept. */
  get key() { return sessions + this.#name; }

  /** keep keeps the session of this tab, "" for none. */
  keep(text) { return save(this.key, text); }

  /** left are the sessions that no open tab plays: that of this tab first, then the
      newest. drop removes one. */
  async left() {
    let held = new Set();
    try {
      held = new Set((await navigator.locks.query()).held.map((l) => l.name));
    } catch { /* a browser without locks */ }
    let keys = [];
    try {
      keys = Object.keys(localStorage).filter((k) => k.startsWith(sessions));
    } catch { /* nothing is saved */ }
    const own = this.key;
    const found = [];
    for (const key of keys) {
      if (key !== own && held.has(key)) continue;
      const of = savedObject(key);
      if (typeof of.state === "string") found.push({ ...of, drop: () => save(key, ""), key });
    }
    return found.sort((a, b) => (b.key === own) - (a.key === own) || (b.when || 0) - (a.when || 0));
  }
}

// hold takes the lock of a tab's name until the tab is closed; it reports whether no
// other tab has it, as one that was duplicated would.
function hold(name, patience) {
  if (!navigator.locks) return Promise.resolve(true);
  return new Promise((resolve) => {
    navigator.locks.request(sessions + name, { signal: AbortSignal.timeout(patience) }, () => {
      resolve(true);
      return new Promise(() => {});
    }).catch((e) => resolve(e.name !== "TimeoutError" && e.name !== "AbortError"));
  });
}
