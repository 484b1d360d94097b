// “Play me your idea”: counted in, played, shown on a staff with its degrees, kept
// or tried again. What was played is heard back beside the model.

import { Player } from "./player.js";
import * as kept from "./takes.js";

const $ = (id) => document.getElementById(id);
const most = 8; // bars that an idea takes at most
const settled = 400; // ms until what was played is heard

export class Idea {
  #page; // library(), given(), volume(), audio(), hertz(), plain(text), picture(place, svgs), keep(name, settings)
  #ears;
  #player;
  #sound;
  #frame;
  #found;
  #heard; // when a note sounded last, in the time of the plan

  constructor(page, ears) {
    this.#page = page;
    this.#ears = ears;
    $("play-open").addEventListener("click", () => this.#open());
    $("play-go").addEventListener("click", () => this.#count());
    $("play-again").addEventListener("click", () => this.#count());
    $("play-done").addEventListener("click", () => this.#finish());
    $("play-keep").addEventListener("click", () => this.#keep());
    $("play-mine").addEventListener("click", () => this.#sound.take(this.#found.take, page.volume()));
    $("play-model").addEventListener("click", () => this.#sound.model(this.#found.session.plan, page.volume()));
    $("play-take").addEventListener("click", () => this.#keepTake());
    $("play-close").addEventListener("click", () => $("play").close());
    $("play").addEventListener("close", () => this.#close());
    this.#listTakes();
  }

  #say(text) { $("play-says").textContent = text; }

  #open() {
    $("play-found").hidden = true;
    $("play-go").hidden = false;
    $("play-done").hidden = true;
    $("play-count").textContent = "";
    this.#say("");
    $("play").showModal();
    $("play-go").focus();
  }

  #close() {
    this.#stop();
    this.#sound?.stop();
    this.#forget();
    this.#ears.listener?.keep(false);
    this.#page.closed();
  }

  #forget() {
    this.#found?.session.close();
    this.#found = undefined;
  }

  #stop() {
    cancelAnimationFrame(this.#frame);
    this.#player?.stop();
    this.#player = undefined;
    this.#ears.onnote = undefined;
  }

  // count counts in and listens.
  async #count() {
    const audio = await this.#page.audio();
    const { listener } = this.#ears;
    if (!audio || !listener || !$("play").open) return;
    this.#stop();
    this.#sound ??= new kept.Sound(audio, this.#page.hertz());
    this.#sound.stop();
    this.#forget();
    const { meter, tempo } = this.#page.given();
    this.beats = bars(this.#page.library(), { meter, tempo });
    for (const id of ["play-found", "play-go"]) $(id).hidden = true;
    $("play-done").hidden = false;
    $("play-done").focus();
    this.#say("");
    listener.leave();
    listener.keep(!this.#ears.keys);
    this.#heard = undefined;
    let sounds = false;
    this.#ears.onnote = (key, now) => {
      const t = now - this.#player.zero;
      if (t < this.beats.begin - this.beats.beat / 2) return;
      if (sounds || key) this.#heard = t;
      sounds = key > 0;
    };
    this.#player = new Player(audio, this.#page.hertz());
    this.#player.start({ clicks: this.beats.clicks, notes: [], duration: this.beats.begin + most * this.beats.bar }, { volume: this.#page.volume(), done: () => this.#finish() });
    const follow = () => {
      const t = this.#player.time(), { begin, bar, clicks } = this.beats;
      if (sounds) this.#heard = t;
      if (this.#heard !== undefined && t > this.#heard + bar) {
        this.#finish();
        return;
      }
      const past = clicks.filter(([at]) => at <= t + 1e-6), from = past.findLastIndex(([, accent]) => accent);
      $("play-count").textContent = past.length ? `${past.length - from}${t < begin - 1e-6 ? "" : " · play"}` : "";
      this.#frame = requestAnimationFrame(follow);
    };
    this.#frame = requestAnimationFrame(follow);
  }

  async #finish() {
    if (!this.#player) return;
    const { zero } = this.#player, { begin, beat, quarters } = this.beats;
    const to = zero + Math.max(begin, this.#player.time());
    this.#stop();
    $("play-done").hidden = true;
    $("play-count").textContent = "";
    await new Promise((r) => setTimeout(r, settled));
    const { listener } = this.#ears;
    if (!listener || !$("play").open) return;
    let take, session, read;
    try {
      read = await listener.idea(zero + begin - beat / 2, quarters);
      take = this.#ears.keys ? undefined : await listener.take(zero + begin - beat / 2, to);
      const { instrument, tempo, meter, range } = this.#page.given();
      const settings = Object.fromEntries(Object.entries({ instrument, tempo, meter, range, figure: read.figure, first: read.first }).filter(([, v]) => v));
      session = this.#page.library().open(model(settings));
      this.#found = { take, session, settings };
    } catch (e) {
      this.#say(e.message);
      $("play-go").hidden = false;
      $("play-go").focus();
      return;
    }
    const { degrees, scale, statements } = session.plan, answer = session.answer(0);
    $("play-degrees").textContent = `${degrees} in ${scale}`;
    $("play-notes").textContent = this.#page.plain(`In ${statements[0].key}: ${answer.notes}`);
    this.#page.picture($("play-staff"), answer.svg);
    $("play-mine").hidden = $("play-take").hidden = !take?.samples.length;
    $("play-take").disabled = false;
    $("play-found").hidden = false;
    $("play-keep").focus();
  }

  #keep() {
    this.#say(this.#page.keep(this.#found.session.plan.degrees, this.#found.settings));
  }

  async #keepTake() {
    const { take, session, settings } = this.#found;
    $("play-take").disabled = true;
    const ok = await kept.keep({ name: session.plan.degrees, given: settings, rate: take.rate, samples: take.samples });
    this.#say(ok ? "The take is kept in this browser, below the microphone." : "This browser keeps nothing for this page.");
    this.#listTakes();
  }

  // listTakes shows the takes that are kept, each beside its model.
  async #listTakes() {
    const all = await kept.takes();
    const button = (text, act) => {
      const b = Object.assign(document.createElement("button"), { type: "button", textContent: text });
      b.addEventListener("click", act);
      return b;
    };
    const sound = async (f) => {
      const audio = await this.#page.audio();
      if (audio) f(this.#sound ??= new kept.Sound(audio, this.#page.hertz()));
    };
    $("takes").replaceChildren(...all.map((take) => {
      const item = document.createElement("li");
      item.append(`${take.name}, ${new Date(take.when).toLocaleDateString()} `,
        button("Yours", () => sound((s) => s.take(take, this.#page.volume()))), " ",
        button("The model", () => sound((s) => {
          try {
            const session = this.#page.library().open(model(take.given));
            s.model(session.plan, this.#page.volume());
            session.close();
          } catch { /* what is kept is of another page's version */ }
        })), " ",
        button("Remove", async () => { if (confirm(`Remove the take of ${take.name}?`) && await kept.remove(take.id)) this.#listTakes(); }));
      return item;
    }));
    $("takes-kept").hidden = !all.length;
  }
}

// model are the settings in which an idea is heard once, in its own key.
function model({ first, ...settings }) { return { ...settings, keys: first, sound: "model" }; }

// bars are the clicks of a count-in and of the bars after it, in the meter and tempo
// of the settings.
function bars(library, given) {
  const counted = library.open(Object.fromEntries(Object.entries({ ...given, figure: "1", keys: "C" }).filter(([, v]) => v)));
  const { turns, clicks, settings } = counted.plan;
  counted.close();
  const begin = turns[0].to;
  const first = clicks.filter(([at]) => at < begin - 1e-6);
  const accents = [...first.filter(([, accent]) => accent).map(([at]) => at), begin];
  const bar = accents[1] - accents[0], one = first.filter(([at]) => at < bar - 1e-6);
  const all = [...first];
  for (let n = 0; n < most; n++) all.push(...one.map(([at, accent]) => [begin + n * bar + at, accent]));
  const [beats, unit] = settings.drill.meter.split("/");
  const quarters = (4 * beats.split("+").reduce((sum, n) => sum + Number(n), 0)) / Number(unit);
  return { clicks: all, begin, bar, beat: bar / one.length, quarters: (60 * quarters) / bar };
}
