// What a program of somebody else does with the modules, to be checked by tsc.
import { KeyorderError, load } from "keyorder/keyorder.js";
import type { Chord, Day, Plan, Planned, Report, Session, Statement, Turn, Verdict } from "keyorder/keyorder.js";
import { Listener, countFrom } from "keyorder/listener.js";
import type { Heard, Idea, Take } from "keyorder/listener.js";
import { Player, gain } from "keyorder/player.js";
import "keyorder/drill.js";

async function practise(): Promise<string> {
  const library = await load(new URL("keyorder.wasm", "http://localhost/"));
  const settings = Object.fromEntries(library.choices().fields.map((f) => [f.name, f.default]));
  let session: Session;
  try {
    session = library.open({ ...settings, figure: "{2 m7} 2 4 {5 7} 5:2", order: "P4" });
  } catch (e) {
    if (e instanceof KeyorderError) return e.field + ": " + e.message;
    throw e;
  }
  const plan: Plan = session.plan;
  const first: Statement | undefined = plan.statements[0];
  const chords: Chord[] = first?.chords ?? [];
  const mine: Turn[] = plan.turns.filter((t) => t.who === "you");
  const player = new Player(new AudioContext(), library.choices().hertz);
  player.onclick = (at: number) => void at.toFixed(3);
  player.start(plan, { volume: gain(0.5), levels: { click: 0.5 }, done: () => player.stop() });
  const verdict: Verdict = "not clean";
  session.say(mine[0]!.index, verdict);
  session.go(mine[1]!.index);
  player.replace(session.setTempo(mine[2]!.index, 96));
  const again: Session = library.resume(session.state());
  const report: Report = again.report("2025-03-02", 60);
  const log: string = library.keep("", "", report.log);
  const staves: string[] = session.answer(0).svg;
  session.close();
  const day: Day = { date: "2025-03-02", stage: "few keys", settings: {}, ideas: [{ name: "tune", settings: { figure: "3 5" }, goal: 120 }] };
  const next: Planned | undefined = library.today(day, log).blocks.find((b) => b.number && !b.done);
  if (next) library.block(day, log, next.number).close();
  library.past(day, log).takes.flatMap((t) => t.take.map((k) => k.tempo));
  library.figure(day).offers.map((o) => o.text + o.degrees);
  return log + staves.length + session.circle(0) + library.picture("P4") + chords.map((c) => c.symbol).join();
}

async function hear(session: Session, player: Player, audio: AudioContext): Promise<string> {
  const listener = await Listener.microphone(audio, { instrument: "trumpet" });
  listener.onsay = ({ turn, verdict, words }: Heard) => { session.hear(turn, verdict); return void words.length; };
  listener.onheld = (since) => player.start(session.plan, { at: countFrom(since, 0.5, audio.currentTime) });
  listener.onlevel = (peak) => void peak.toFixed(2);
  listener.onend = (why) => void why.length;
  listener.await(session, 1);
  listener.keep(true);
  listener.follow(session, player.zero, { alone: true, charge: "notes" });
  const take: Take = await listener.take(0, 1);
  const idea: Idea = await listener.idea(0, 96);
  listener.close();
  return idea.figure + take.samples.length;
}

const drill = document.createElement("keyorder-drill");
drill.setAttribute("figure", "3 5 1 6");
drill.addEventListener("ready", () => drill.session?.plan.duration.toFixed(1));

// Each of these is a mistake that the types are to find.
async function mistakes(): Promise<void> {
  const library = await load();
  // @ts-expect-error a setting is text
  const session = library.open({ tempo: 96 });
  // @ts-expect-error no verdict
  session.say(0, "fine");
  // @ts-expect-error no field of a turn
  session.plan.turns[0].colour;
  // @ts-expect-error no stage
  library.today({ date: "2025-03-02", stage: "best", settings: {}, ideas: [] });
  // @ts-expect-error no such voice
  new Player(new AudioContext(), []).setLevel("trumpet", 1);
  // @ts-expect-error no such charge
  (await Listener.keys(new AudioContext(), { instrument: "piano" })).follow(session, 0, { charge: "all" });
  // @ts-expect-error it is asked for, not made
  new Listener(new AudioContext());
}

void practise;
void hear;
void mistakes;
