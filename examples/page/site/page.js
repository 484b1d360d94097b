// The thin layer between the player and the library: fields, keys, sound and
// clock. It knows no music; all of that comes from keyorder, the program that
// is built from the library.
"use strict";

(() => {
  const $ = (id) => document.getElementById(id);
  const saved = "keyorder practice log";
  const loudest = 0.5; // peak of a click, and of all notes at once: together they never overload
  const ahead = 1.2; // seconds that sounds are scheduled before they are heard
  const inMain = ["figure", "scale", "order", "instrument", "tempo", "meter", "rest", "sound"];
  const chosen = ["scale", "range", "rest", "close", "fit", "sound", "show"]; // from a list only

  const short = ["tempo", "meter", "first", "range"];

  // What was scheduled and shown, for whoever wants to measure the page. Times
  // are those of the audio clock, in seconds.
  const record = { ready: 0, start: 0, clicks: [], keys: [] };
  window.practiceRecord = record;

  let choices, plan, play, done, audio, volume;

  // Elements and texts. Whatever is shown goes through textContent; pictures
  // come from the library alone.

  function make(tag, attributes = {}, text = "") {
    const e = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
    e.textContent = text;
    return e;
  }

  function spoken(sign, words) {
    return [make("span", { "aria-hidden": "true" }, sign), make("span", { class: "unseen" }, words)];
  }

  function picture(place, svgs) {
    const roots = (svgs || []).map((svg) => new DOMParser().parseFromString(svg, "image/svg+xml").documentElement);
    place.replaceChildren(...roots.filter((r) => r.localName === "svg").map((r) => document.adoptNode(r)));
  }

  function capital(text) { return text.slice(0, 1).toUpperCase() + text.slice(1); }

  function tell(text) { $("message").textContent = capital(text); }

  function ask(name, ...texts) { return JSON.parse(window.keyorder[name](...texts)); }

  // Settings: the fields, the address, the plan.

  function fieldOf({ name, label, hint }) {
    const box = make("div", { class: short.includes(name) ? "field short" : "field" });
    const control = make(chosen.includes(name) ? "select" : "input", { id: "field-" + name, name });
    const options = choices.choices[name] || [];
    if (control.localName === "select") {
      for (const o of options) control.append(optionOf(o));
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
    if (hint) {
      box.append(make("p", { class: "small", id: "hint-" + name }, hint));
      control.setAttribute("aria-describedby", "hint-" + name);
    }
    return box;
  }

  function optionOf({ text, means }) { return make("option", { value: text }, means || text); }

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

  function readAddress() {
    const text = location.hash.slice(1);
    if (text.length > choices.max_length) {
      fill({});
      refresh(false);
      tell(`The address holds ${text.length} characters of settings; at most ${choices.max_length} are read.`);
      return;
    }
    const given = new URLSearchParams(text);
    const names = [...given.keys()];
    const object = Object.fromEntries(given);
    fill(object);
    const answer = workOut(object);
    refresh(false);
    const twice = names.find((n, at) => names.indexOf(n) < at);
    if (answer.error) refuse(answer.error);
    else if (twice !== undefined) tell(`The address gives the setting “${twice}” twice; the last one counts.`);
  }

  // workOut plans a session, and forgets the one that it takes the place of.
  function workOut(given) {
    if (plan && play?.plan !== plan && done?.plan !== plan) ask("close", String(plan.session));
    return ask("plan", JSON.stringify(given), readLog());
  }

  // refresh works out the drill that the fields ask for and shows it; an error
  // is told once a field is left, not while somebody types.
  function refresh(final) {
    const given = settings();
    const answer = workOut(given);
    plan = answer.error ? null : answer;
    for (const f of choices.fields) $("field-" + f.name).removeAttribute("aria-invalid");
    $("first").hidden = !plan;
    $("summary").textContent = "";
    if (!plan) {
      if (final) refuse(answer.error);
      return;
    }
    tell("");
    const address = "#" + new URLSearchParams(given);
    if (final && location.hash !== address && (address !== "#" || location.hash)) history.replaceState(null, "", address);
    $("link").href = address;
    const keys = plan.statements.length;
    const left = plan.left_out ? ` Left out: ${plan.left_out.join(", ")}.` : "";
    const titles = plan.orders.length > 3 ? `${plan.orders.length} orders` : plan.orders.map((o) => o.title).join("; ");
    $("summary").textContent = `${capital(titles)}: ${keys} ${keys === 1 ? "key" : "keys"} to play, ${plan.minutes}.${left}`;
    const first = ask("answer", String(plan.session), "0");
    $("first-caption").textContent = `In ${plan.statements[0].key}: ${first.notes}`;
    picture($("first-staff"), first.svg);
  }

  function refuse({ field, text }) {
    tell(text);
    const control = field && $("field-" + field);
    if (!control) return;
    control.setAttribute("aria-invalid", "true");
    if (!inMain.includes(field)) $("more").open = true;
  }

  // The log in this browser.

  function readLog() {
    try {
      return localStorage.getItem(saved) || "";
    } catch {
      return "";
    }
  }

  function writeLog(text) {
    try {
      localStorage.setItem(saved, text);
      return true;
    } catch {
      return false;
    }
  }

  // Playing. Everything is scheduled on the audio clock; the timer only looks
  // ahead often enough, and the screen follows the clock.

  async function start() {
    refresh(true);
    if (!plan) {
      (document.querySelector("[aria-invalid]") || $("field-figure")).focus();
      return;
    }
    if (play) return;
    const mine = { plan, given: JSON.stringify(settings()), log: readLog(), says: [], shown: -1, next: 0, open: false, answered: -1 };
    play = mine;
    try {
      audio = audio || new AudioContext();
      await audio.resume();
    } catch {
      play = null;
      tell("This browser plays no sound from pages (Web Audio), which the click needs.");
      return;
    }
    if (play !== mine) return;
    mine.events = [...plan.clicks.map(([at, accent]) => ({ at, accent })), ...plan.notes.map(([at, length, key]) => ({ at, length, hertz: choices.hertz[key] }))].sort((a, b) => a.at - b.at);
    mine.note = Math.min(0.22, loudest / together(plan.notes));
    mine.master = audio.createGain();
    mine.master.gain.value = loudness();
    mine.master.connect(audio.destination);
    mine.zero = audio.currentTime + 0.25;
    record.start = mine.zero;
    record.clicks = [];
    record.keys = [];
    show("stage");
    $("said").textContent = "";
    openAnswer(false);
    update(0);
    schedule();
    mine.timer = setInterval(schedule, 50);
    mine.frame = requestAnimationFrame(frame);
    $("now").focus();
    navigator.wakeLock?.request("screen").then((lock) => (play === mine ? (mine.lock = lock) : lock.release())).catch(() => {});
  }

  // together is the most notes that begin at once.
  function together(notes) {
    const counts = new Map();
    for (const [at] of notes) counts.set(at, (counts.get(at) || 0) + 1);
    return Math.max(1, ...counts.values());
  }

  // loudness is the gain at the volume's place. The ear measures by ratios, so
  // equal steps are equal decibels, 10 for each quarter of the way: about twice
  // as loud (common practice, no source). At 0 % there is silence.
  function loudness() {
    const v = volume.value / 100;
    return v > 0 ? 10 ** (2 * (v - 1)) : 0;
  }

  function heard() { return audio.currentTime - Math.min(audio.outputLatency || 0, 0.5) - play.zero; }

  function schedule() {
    const until = audio.currentTime + ahead - play.zero;
    while (play.next < play.events.length && play.events[play.next].at < until) sound(play.events[play.next++]);
    if (heard() >= play.plan.duration) finish();
  }

  function sound(e) {
    const at = Math.max(play.zero + e.at, audio.currentTime);
    const tone = audio.createOscillator();
    const gain = audio.createGain();
    const length = e.hertz ? Math.max(e.length, 0.05) : 0.04;
    tone.type = e.hertz ? "triangle" : "square";
    tone.frequency.value = e.hertz || (e.accent ? 1700 : 1130);
    const peak = e.hertz ? play.note : loudest;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(peak, at + (e.hertz ? 0.01 : 0.001));
    if (e.hertz) gain.gain.setValueAtTime(peak * 0.8, at + length * 0.8);
    gain.gain.linearRampToValueAtTime(0, at + length);
    tone.connect(gain).connect(play.master);
    tone.start(at);
    tone.stop(at + length + 0.01);
    if (!e.hertz) record.clicks.push(at);
  }

  function frame() {
    if (!play) return;
    update(heard());
    play.frame = requestAnimationFrame(frame);
  }

  // due is when a statement's key comes on the screen: with the statement, or
  // where an order begins, with the count-in.
  function due(n) {
    const s = play.plan.statements[n];
    const first = n === 0 || play.plan.statements[n - 1].order !== s.order;
    return first ? play.plan.orders[s.order].begin : s.start;
  }

  function update(t) {
    const { statements } = play.plan;
    let n = Math.max(play.shown, 0);
    while (n + 1 < statements.length && due(n + 1) <= t) n++;
    if (n !== play.shown) {
      showKey(n);
      record.keys.push({ statement: n, key: statements[n].key, due: play.zero + due(n), shown: play.zero + heard() });
    }
    const now = statements[n];
    const order = play.plan.orders[now.order];
    let count = t < now.end ? "play" : play.plan.sound === "answer" && !now.held ? "listen" : "rest";
    if (t < order.begin + order.count_in) {
      const beats = play.plan.clicks.filter(([at]) => at >= order.begin - 1e-6 && at <= Math.max(t, order.begin)).length;
      count = "count-in: " + beats;
    }
    if ($("count").textContent !== count) $("count").textContent = count;
    if (play.plan.show === "after" && t >= now.end && play.answered !== n) answer(n);
    showTarget(target(t));
  }

  function showKey(n) {
    const { statements, orders } = play.plan;
    const now = statements[n];
    const next = statements[n + 1];
    play.shown = n;
    $("now").replaceChildren(...spoken(now.key, now.said));
    $("next").replaceChildren(...(next ? spoken(next.key, next.said) : spoken("–", "nothing")));
    $("move").textContent = next ? (next.held ? "one note held" : "first note") + (play.plan.moves[n + 1] ? ": " + play.plan.moves[n + 1] : "") : "the end";
    $("place").textContent = `${n + 1} of ${statements.length}` + (now.held ? ", one note held" : "") + (orders.length > 1 ? `: ${orders[now.order].title}` : "");
    picture($("circle"), [ask("circle", String(play.plan.session), String(n))]);
    if (play.plan.show !== "after") hideAnswer();
  }

  function answer(n) {
    const a = ask("answer", String(play.plan.session), String(n));
    play.answered = n;
    $("answer-notes").textContent = `${play.plan.statements[n].key}: ${a.notes}`;
    picture($("answer-staff"), a.svg);
    openAnswer(true);
  }

  function hideAnswer() {
    play.answered = -1;
    openAnswer(false);
  }

  function openAnswer(open) {
    $("answer").hidden = !open;
    $("ask").setAttribute("aria-expanded", String(open));
    $("ask").querySelector(".word").textContent = open ? "Hide the answer" : "Show the answer";
  }

  function toggleAnswer() {
    if (play.answered === play.shown) hideAnswer();
    else answer(play.shown);
  }

  // target is the statement that a say is for: the one before until half of the
  // present one is played.
  function target(t) {
    const s = play.plan.statements[play.shown];
    return t < (s.start + s.end) / 2 ? play.shown - 1 : play.shown;
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

  function saySo(what) {
    const n = target(heard());
    if (n < 0) return;
    play.says[n] = what;
    $("said").textContent = `${play.plan.statements[n].key}: ${what === "c" ? "clean" : "not clean"}.`;
  }

  function finish() {
    const t = heard();
    const ended = play;
    clearInterval(ended.timer);
    cancelAnimationFrame(ended.frame);
    ended.master.disconnect();
    ended.lock?.release().catch(() => {});
    let played = ended.plan.statements.filter((s) => s.end <= t).length;
    played = Math.max(played, ended.says.length);
    play = null;
    if (played === 0) {
      show("setup");
      tell("Stopped before the first key was played.");
      $("start").focus();
      return;
    }
    const says = Array.from({ length: played }, (_, n) => ended.says[n] || "-");
    done = { plan: ended.plan, given: ended.given, before: ended.log, says, seconds: Math.min(t, ended.plan.duration) };
    show("result");
    report();
    $("result-head").focus();
  }

  // What came of it.

  function today() {
    const d = new Date();
    const two = (n) => String(n).padStart(2, "0");
    return `${String(d.getFullYear()).padStart(4, "0")}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
  }

  const words = { c: "clean", n: "not clean", "-": "not judged" };
  const signs = { clean: "✓", "not clean": "×", played: "·", "not judged": "·", "": "" };

  function report() {
    const played = { says: done.says.join(""), date: today(), seconds: done.seconds };
    const r = ask("report", String(done.plan.session), JSON.stringify(played));
    if (r.error) {
      tell(r.error.text);
      return;
    }
    done.report = r;
    const count = (c) => done.says.filter((s) => s === c).length;
    $("told").textContent = `${done.says.length} of ${done.plan.statements.length} keys played: ${count("c")} clean, ${count("n")} not clean, ${count("-")} not judged.`;
    $("list").replaceChildren(...done.says.map((s, n) => sayButton(s, n)));
    $("made").textContent = `This session made ${r.moves} of the 132 moves, ${r.clean} of them clean. With what is saved in this browser for ${done.plan.instrument}, ${r.made} were clean at least once.`;
    table(r);
    $("fresh").textContent = r.fills ? `The order that would fill most gaps: ${means(r.freshest)} (${r.freshest}), ${r.fills} moves that were never clean.` : "No gap is left: all 132 moves were clean at least once.";
    $("take").hidden = !r.fills;
    const kept = keep(r.log);
    $("logged").textContent = (r.log ? "" : "Nothing was judged, so this session has no line for the log. ") + (kept ? "The log is saved in this browser only." : "This browser saves nothing for this page: download the session to keep it.") + (r.problem ? " " + r.problem : "");
    offer($("download"), r.log);
    offer($("download-all"), kept ? readLog() : ask("keep", done.before, "", r.log));
  }

  // means is an order in words, if it is one to choose.
  function means(order) {
    return choices.choices.order.find((c) => c.text === order)?.means || "an order";
  }

  // keep saves the lines of the session in place of those that it had, and
  // leaves what another tab has saved meanwhile.
  function keep(lines) {
    const kept = writeLog(ask("keep", readLog(), done.kept || "", lines));
    done.kept = lines;
    return kept;
  }

  function sayButton(s, n) {
    const item = make("li");
    const b = make("button", { type: "button", class: "say " + words[s].replace(" ", "-") });
    b.append(...spoken(done.plan.statements[n].key, done.plan.statements[n].said + ": "), make("span", { "aria-hidden": "true" }, " " + signs[words[s]]), make("span", { class: "unseen" }, words[s]));
    b.addEventListener("click", () => {
      done.says[n] = { c: "n", n: "-", "-": "c" }[s];
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
    if (link.href) URL.revokeObjectURL(link.href);
    link.removeAttribute("href");
    link.hidden = text === "";
    if (text) link.href = URL.createObjectURL(new Blob([text], { type: "application/jsonl" }));
  }

  // What is on the screen, and what keys do.

  function show(which) {
    for (const id of ["setup", "stage", "result"]) $(id).hidden = id !== which;
    $("sound").hidden = which === "result";
    document.body.className = which;
    tell("");
    scrollTo(0, 0);
  }

  function onKey(e) {
    if (e.altKey || e.ctrlKey || e.metaKey || !choices) return;
    const control = e.target.closest("input, select, textarea, button, a, summary");
    const acts = play && {
      ArrowRight: () => saySo("c"), PageDown: () => saySo("c"),
      ArrowLeft: () => saySo("n"), PageUp: () => saySo("n"),
      ArrowUp: toggleAnswer, Escape: finish,
    };
    if (play) {
      if (!play.timer || (control === volume && e.key.startsWith("Arrow"))) return;
      if (e.key === " " && !control) e.preventDefault();
      if (!acts[e.key]) return;
      e.preventDefault();
      if (!e.repeat) acts[e.key]();
      return;
    }
    if ($("setup").hidden || e.repeat) return;
    if (e.key === "PageDown" || (e.key === " " && !control)) {
      e.preventDefault();
      start();
    }
  }

  function wire() {
    $("setup").addEventListener("submit", (e) => { e.preventDefault(); start(); });
    $("setup").addEventListener("input", () => refresh(false));
    $("setup").addEventListener("change", () => refresh(true));
    $("copy").addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText($("link").href);
        $("copy").textContent = "Copied";
      } catch {
        tell("The browser does not let this page copy; take the link beside the button.");
      }
    });
    $("missed").addEventListener("click", () => saySo("n"));
    $("clean").addEventListener("click", () => saySo("c"));
    $("ask").addEventListener("click", toggleAnswer);
    $("stop").addEventListener("click", finish);
    $("again").addEventListener("click", () => { show("setup"); refresh(true); $("start").focus(); });
    $("take").addEventListener("click", () => {
      const { freshest } = done.report;
      show("setup");
      $("field-order").value = freshest;
      refresh(true);
      $("start").focus();
    });
    $("erase").addEventListener("click", () => {
      if (!confirm("Erase the practice log that is saved in this browser?")) return;
      try {
        localStorage.removeItem(saved);
      } catch { /* nothing was saved */ }
      $("logged").textContent = "Nothing is saved in this browser.";
      offer($("download-all"), "");
    });
    volume.addEventListener("input", () => {
      $("level").textContent = volume.value + " %";
      if (play?.master) play.master.gain.setTargetAtTime(loudness(), audio.currentTime, 0.02);
    });
    document.addEventListener("keydown", onKey);
    addEventListener("hashchange", () => { if (!play) { show("setup"); readAddress(); } });
  }

  async function load() {
    const go = new Go();
    const body = await (await fetch("keyorder.wasm")).arrayBuffer();
    const { instance } = await WebAssembly.instantiate(body, go.importObject);
    go.run(instance);
    choices = ask("choices");
    volume = $("volume");
    for (const f of choices.fields) $(inMain.includes(f.name) ? "main-fields" : "more-fields").append(fieldOf(f));
    for (const c of choices.cautions) $("cautions").append(make("li", {}, c));
    wire();
    show("setup");
    readAddress();
    record.ready = performance.now();
  }

  load().catch(() => tell("The page could not load its program; load it again, from a web server."));
})();
