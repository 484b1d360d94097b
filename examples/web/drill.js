// The element <keyorder-drill>: one drill in any page. Its attributes are the
// settings, as figure="3 5 1 6" order="m3" instrument="trumpet" tempo="96". It shows
// the keys, the staff of the key that is played, and a button that plays.

import { load } from "./keyorder.js";
import { Player, gain } from "./player.js";

const style = `
:host { display: block; font: inherit; }
p { margin: 0.25em 0; overflow-wrap: anywhere; }
.now { font-weight: 700; text-decoration: underline; text-decoration-thickness: 0.2em; }
.error { border-left: 0.3em solid; padding-left: 0.5em; }
button { font: inherit; min-height: 2.75em; padding: 0 1em; }
svg { display: block; width: 100%; max-width: 30em; height: auto; }
`;

export class KeyorderDrill extends HTMLElement {
  #session;
  #player;
  #frame;
  #shown = -1;
  #end; // what is left to do when the sound ends

  connectedCallback() { this.#show(); }

  disconnectedCallback() { this.#stop(); this.#session?.close(); this.#session = undefined; }

  /** session is the session that it shows, once it is loaded. */
  get session() { return this.#session; }

  async #show() {
    const root = this.shadowRoot || this.attachShadow({ mode: "open" });
    root.replaceChildren();
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(style);
    root.adoptedStyleSheets = [sheet];
    const part = (tag, text = "") => Object.assign(root.appendChild(document.createElement(tag)), { textContent: text });
    try {
      const library = await load();
      if (!this.isConnected) return;
      const choices = library.choices();
      const settings = {};
      for (const { name } of choices.fields) if (this.hasAttribute(name)) settings[name] = this.getAttribute(name);
      this.#session = library.open(settings);
      part("p", `${settings.figure || choices.fields[0].default}, ${this.#session.plan.orders.map((o) => o.title).join("; ")}`);
      const keys = part("p");
      keys.append(...this.#session.plan.statements.flatMap((s) => [Object.assign(document.createElement("span"), { textContent: s.key }), " "]));
      const staff = part("div");
      const button = part("button", "Play");
      button.type = "button";
      button.addEventListener("click", () => (this.#player?.playing ? this.#stop() : this.#play(choices.hertz, keys, staff, button)));
      this.#mark(0, keys, staff);
      this.dispatchEvent(new Event("ready"));
    } catch (e) {
      part("p", e.message).className = "error";
      this.dispatchEvent(Object.assign(new Event("error"), { error: e }));
    }
  }

  async #play(hertz, keys, staff, button) {
    const audio = new AudioContext();
    await audio.resume();
    this.#player = new Player(audio, hertz);
    button.textContent = "Stop";
    const { plan } = this.#session;
    this.#player.start(plan, { volume: gain(0.7), done: () => this.#stop() });
    const follow = () => {
      const t = this.#player.time();
      let n = 0;
      while (n + 1 < plan.statements.length && plan.statements[n + 1].start <= t) n++;
      this.#mark(n, keys, staff);
      this.#frame = requestAnimationFrame(follow);
    };
    this.#frame = requestAnimationFrame(follow);
    this.#end = () => { button.textContent = "Play"; audio.close(); };
  }

  #mark(n, keys, staff) {
    if (n === this.#shown) return;
    this.#shown = n;
    [...keys.children].forEach((k, at) => { k.className = at === n ? "now" : ""; });
    const roots = this.#session.answer(n).svg.map((svg) => new DOMParser().parseFromString(svg, "image/svg+xml").documentElement);
    staff.replaceChildren(...roots.filter((r) => r.localName === "svg").map((r) => document.adoptNode(r)));
  }

  #stop() {
    cancelAnimationFrame(this.#frame);
    this.#player?.stop();
    this.#player = undefined;
    this.#end?.();
    this.#end = undefined;
  }
}

customElements.define("keyorder-drill", KeyorderDrill);
