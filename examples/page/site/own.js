// What belongs to an idea of one's own: tags, a goal, variations for the plan; and that
// it is put aside for a while.

import * as own from "./ideas.js";
import { day } from "./today.js";

const asideDays = 14;

let page, tag = "";

export function wire(p) { page = p; }

/** listed are the ideas of the tag that is chosen. */
export function listed(all) {
  const { $, make } = page;
  const tags = [...new Set(all.flatMap((i) => i.tags || []))].sort((a, b) => a.localeCompare(b));
  if (!tags.includes(tag)) tag = "";
  $("idea-tags").hidden = !tags.length;
  $("idea-tags").replaceChildren(...(tags.length ? ["", ...tags] : []).map((t) => {
    const b = make("button", { type: "button", "aria-pressed": String(t === tag) }, t || "all");
    b.addEventListener("click", () => {
      tag = t;
      page.showOwn();
      [...$("idea-tags").children].find((c) => c.textContent === (t || "all"))?.focus();
    });
    return b;
  }));
  return tag ? all.filter((i) => i.tags?.includes(tag)) : all;
}

/** about is what belongs to an idea, to be seen and changed. */
export function about(idea) {
  const { make, put, $ } = page;
  const box = make("details");
  const words = () => {
    const now = own.ideas().find((i) => i.name === idea.name) || idea;
    const told = [...(now.tags || []), now.goal ? `goal ${now.goal}` : "", now.variations ? `${now.variations.length} varied` : "", away(now) ? `aside until ${now.until}` : ""].filter(Boolean);
    return told.join(" · ") || "Tags, goal, variations";
  };
  const head = make("summary", { "aria-label": `${idea.name}: ${words()}` }, words());
  box.append(head);
  const changed = (what) => {
    put("own-says", own.change(idea.name, what) ? "" : "This browser saves nothing for this page.");
    head.textContent = words();
    head.setAttribute("aria-label", `${idea.name}: ${words()}`);
    page.changed();
  };
  box.addEventListener("toggle", () => {
    if (box.open && box.childElementCount === 1) box.append(...editor(idea, changed));
  });
  return box;
}

function away(idea) { return Boolean(idea.until && idea.until > page.today()); }

let count = 0;

function editor(idea, changed) {
  const { make } = page;
  const id = `own-${++count}-`;
  const tags = make("input", { id: id + "tags", type: "text", autocomplete: "off", value: (idea.tags || []).join(", ") });
  tags.addEventListener("change", () => {
    changed({ tags: tags.value.split(",").map((t) => t.trim()).filter(Boolean) });
    listed(own.ideas());
  });
  const wrong = make("p", { class: "wrong", id: id + "wrong", hidden: "" });
  const goal = make("input", { id: id + "goal", type: "text", inputmode: "numeric", autocomplete: "off", value: idea.goal || "", "aria-describedby": wrong.id });
  goal.addEventListener("change", () => {
    const tempo = goal.value.trim() === "" ? undefined : Number(goal.value);
    const right = tempo === undefined || (Number.isInteger(tempo) && tempo >= 10 && tempo <= 500);
    page.mark(goal, wrong, right ? "" : "Goal: a tempo, a whole number of beats a minute from 10 to 500.");
    if (right) changed({ goal: tempo });
  });
  const field = (label, input) => {
    const p = make("p", { class: "row" });
    p.append(make("label", { for: input.id }, label), input);
    return p;
  };
  const aside = make("p", { class: "row" });
  const asideButton = make("button", { type: "button" });
  const asideSays = make("span", { class: "small", role: "status" });
  aside.append(asideButton, asideSays);
  const showAside = (is, until) => {
    asideButton.textContent = is ? "Take it back now" : "Put it aside for two weeks";
    asideSays.textContent = is ? `It comes back in the plan on ${until}.` : "";
  };
  showAside(away(idea), idea.until);
  asideButton.addEventListener("click", () => {
    const is = away(own.ideas().find((i) => i.name === idea.name) || {});
    const until = is ? undefined : page.today(asideDays);
    changed({ until });
    showAside(!is, until);
  });
  return [field("Tags, with commas", tags), field("Goal, beats a minute", goal), wrong, variations(idea, changed), aside];
}

// The variations that the plan may take of an idea.
function variations(idea, changed) {
  const { make, plain } = page;
  const set = make("fieldset");
  set.append(make("legend", {}, "Variations that the plan may take once it goes well"));
  let offers = [];
  page.attempt(() => { offers = page.library.figure({ ...day(), ideas: [], settings: idea.settings }).offers; });
  const chosen = new Set(idea.variations || []);
  for (const text of chosen) if (!offers.some((o) => o.text === text)) offers.push({ text, means: text, degrees: "" });
  for (const o of offers) {
    const label = make("label");
    const box = make("input", { type: "checkbox", autocomplete: "off" });
    box.checked = chosen.has(o.text);
    box.addEventListener("change", () => {
      if (box.checked) chosen.add(o.text);
      else chosen.delete(o.text);
      changed({ variations: [...chosen] });
    });
    label.append(box, ` ${plain(page.capital(o.means))}${o.degrees ? ": " + plain(o.degrees) : ""}`);
    set.append(label);
  }
  return set;
}
