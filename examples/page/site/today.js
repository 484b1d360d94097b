// The plan of the day: what the library plans from the log and the player's ideas, each
// block to be started by one touch.

import * as own from "./ideas.js";
import { logKey, planKey, save, saved, savedObject } from "./store.js";

let page;

/** day is what the library is asked with: the plan of today, or what was practised. */
export function day() {
  const { minutes, stage } = savedObject(planKey);
  return { date: page.today(), minutes: minutes || 15, stage: stage || "", settings: page.settings(), ideas: own.ideas() };
}

export function wire(p) {
  page = p;
  const { $ } = page;
  const { minutes, stage } = savedObject(planKey);
  if (minutes) $("plan-minutes").value = minutes;
  if (stage) $("plan-stage").value = stage;
  $("plan").addEventListener("toggle", show);
  for (const id of ["plan-minutes", "plan-stage"]) {
    $(id).addEventListener("change", () => {
      if (minutesRight()) save(planKey, JSON.stringify({ minutes: Number($("plan-minutes").value), stage: $("plan-stage").value }));
      show();
    });
  }
}

function minutesRight() {
  const { $ } = page;
  const given = Number($("plan-minutes").value);
  const right = Number.isInteger(given) && given >= 1 && given <= 240;
  page.mark($("plan-minutes"), $("wrong-plan"), right ? "" : "Minutes: a whole number from 1 to 240.");
  return right;
}

/** show shows the plan, where it is open. */
export function show() {
  const { $, put, make } = page;
  if (!$("plan").open || !minutesRight()) return;
  let plan;
  const refused = page.attempt(() => { plan = page.library.today(day(), saved(logKey)); });
  put("wrong-plan", refused ? refused.message : "");
  $("wrong-plan").hidden = !refused;
  put("plan-heading", plan ? plan.heading : "");
  $("plan-ours").hidden = !plan?.ours;
  $("plan-blocks").replaceChildren(...(plan ? plan.blocks.map(block) : []));
  const told = plan ? [...plan.aside.map((a) => "Left aside: " + a + "."), ...plan.remarks] : [];
  $("plan-told").replaceChildren(...told.map((t) => make("li", {}, t.replace(/\.\.$/, "."))));
}

function block(b) {
  const { make, plain } = page;
  const item = make("li");
  const line = (text, kind = "") => { if (text) item.append(make("p", kind ? { class: kind } : {}, plain(text))); };
  if (!b.number) {
    line(`${b.start} Pause, ${b.minutes}`);
    return item;
  }
  const play = make("button", { type: "button", "aria-label": `Play block ${b.number}, ${b.title}` }, "Play");
  play.addEventListener("click", () => start(b.number));
  const head = make("p", { class: "row" });
  head.append(play, make("strong", {}, `${b.number} ${b.title}`));
  if (b.first) head.append(make("span", {}, "first try of the day"));
  if (b.done) head.append(make("span", { class: "done" }, "✓ done: " + b.done));
  item.append(head);
  line(`${b.degrees} in ${b.scale}${b.varied ? ", " + b.varied : ""}`);
  line(`${page.capital(b.order)}, tempo ${b.tempo}, ${b.minutes}`);
  line(b.keys.map((k) => k.replaceAll("  ", " ")).join(" / "));
  if (b.why.length) {
    const why = make("details");
    why.append(make("summary", {}, "Why"), ...b.why.map((w) => make("p", { class: "small" }, plain(page.capital(w) + "."))));
    item.append(why);
  }
  return item;
}

function open(number) { return page.library.block(day(), saved(logKey), number); }

/** start plays a block, at a time of the audio clock if one is given. Its first try of
    the day is played without help. */
export function start(number, at) {
  let session;
  const refused = page.attempt(() => { session = open(number); });
  if (refused) {
    page.tell(refused.message);
    return;
  }
  const base = page.settings();
  const given = { ...base, figure: session.plan.idea, vary: session.plan.varied, show: "ask" };
  for (const name of ["scale", "order", "keys"]) delete given[name];
  page.begin({ session, given, seconds: 0, from: 0, task: { kind: "block", number, base }, at });
}

/** after says what follows a block: the next one that is not done, or this one again. */
export function after({ task }) {
  let blocks = [];
  page.attempt(() => { blocks = page.library.today(day(), saved(logKey)).blocks; });
  const left = blocks.filter((b) => b.number && b.number !== task.number && !b.done);
  const next = left.find((b) => b.number > task.number) || left[0];
  const follow = (text, number) => ({ text, open: () => open(number), go: (at) => start(number, at) });
  return {
    next: [
      next ? follow(`Next: ${next.number} ${next.title}`, next.number) : { text: "Back to the plan", go: back },
      follow("This block again", task.number),
    ],
  };
}

/** back shows the plan. */
export function back() {
  page.show("setup");
  page.refresh(true);
  page.$("plan").open = true;
  show();
  page.$("plan").querySelector("summary").focus();
}
