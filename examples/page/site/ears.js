// What the player switches on so that the page listens: a microphone or a MIDI
// instrument, off until it is asked for. What is heard comes back in words; the work
// is done in listener.js and its Worker.

import { Listener } from "./listener.js";

const $ = (id) => document.getElementById(id);
const away = "The part of the page that listens is not on this device yet. Open the page once where there is a network; after that it listens without one, too.";
const loud = 0.98; // a peak that is cut off

export class Ears {
  #page; // audio(), instrument(), opened(), heard(mine, say), held(since), ended(why)
  #listener;
  #by; // the button that is pressed
  #mine; // what is followed
  #asked = 0;
  #louder = 0;

  constructor(page) {
    this.#page = page;
    for (const id of ["mic", "midi"]) $(id).addEventListener("click", () => this.#toggle(id));
  }

  /** listener hears now, if one does. */
  get listener() { return this.#listener; }

  get keys() { return this.#by === "midi"; }

  async #toggle(id) {
    const same = this.#by === id;
    this.close();
    if (!same) await this.#open(id);
  }

  async #open(id) {
    const mine = ++this.#asked;
    this.#say(id === "mic" ? "The browser asks whether this page may use the microphone." : "The browser may ask whether this page may use MIDI instruments.");
    let l;
    try {
      const audio = await this.#page.audio();
      if (!audio) throw new Error("The browser holds back the sound of this page; try once more.");
      this.instrument = this.#page.instrument();
      l = await Listener[id === "mic" ? "microphone" : "keys"](audio, { instrument: this.instrument });
    } catch (e) {
      if (mine === this.#asked) this.#say(e.field === "program" ? away : e.message);
      return;
    }
    if (mine !== this.#asked) {
      l.close();
      return;
    }
    this.#listener = l;
    this.#by = id;
    l.onsay = (say) => this.#page.heard(this.#mine, say);
    l.onlevel = (peak) => this.#level(peak);
    l.onheld = (since) => this.#page.held(since);
    l.onnote = (key, now) => this.onnote?.(key, now);
    l.onend = (why) => { this.close(); this.#say(why); this.#page.ended(why); };
    $(id).setAttribute("aria-pressed", "true");
    $("ears-on").hidden = false;
    $("by-sound").hidden = id !== "mic";
    document.documentElement.classList.add("listens");
    this.#say(id === "mic" ? "The microphone is on." : instruments(l.instruments));
    this.#page.opened();
  }

  /** close switches it off. */
  close() {
    this.#asked++;
    this.#listener?.close();
    this.#listener = this.#by = undefined;
    for (const id of ["mic", "midi"]) $(id).setAttribute("aria-pressed", "false");
    $("ears-on").hidden = true;
    document.documentElement.classList.remove("listens");
    this.#say("");
  }

  #say(text) { if ($("ears-say").textContent !== text) $("ears-say").textContent = text; }

  // level shows the level by decibels, and says where it is too soft or too loud.
  #level(peak) {
    $("ears-level").value = Math.max(0, 1 + Math.log10(Math.max(peak, 1e-6)) / 3);
    if (this.keys) {
      this.#say(instruments(this.#listener?.instruments ?? []));
      return;
    }
    if (peak > loud) this.#louder = 40;
    else this.#louder = Math.max(0, this.#louder - 1);
    this.#say(this.#louder ? "Too loud: go a little away from the microphone, or turn it down." : "The microphone is on.");
  }

  /** follow judges what is played from a time of the plan on, or goes on in another
      tempo. */
  follow(mine, player, from) {
    this.#mine = mine;
    this.#listener?.follow(mine.session, player.zero, { from, alone: $("alone").checked, charge: $("charge").value });
  }

  /** keepSound keeps the sound from now on, if that is asked for, and reports it. */
  keepSound() {
    const asked = $("keep-sound").checked && !!this.#listener && !this.keys;
    this.#listener?.keep(asked);
    return asked;
  }

  /** await waits for the first note of a turn to be held. */
  await(session, turn) {
    if (this.#listener && session && turn >= 0) this.#listener.await(session, turn);
  }

  /** reopen listens for another instrument, where that has been chosen. */
  async reopen() {
    if (!this.#by || this.instrument === this.#page.instrument()) return;
    const by = this.#by;
    this.close();
    await this.#open(by);
  }
}

function instruments(names) { return names.length ? `It listens to ${names.join(", ")}.` : "There is no MIDI instrument yet: connect one."; }
