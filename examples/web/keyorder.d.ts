/** What the library refuses. */
export declare class KeyorderError extends Error {
  /** The setting that it is about, or "". */
  readonly field: string;
}

/** The settings of a session: the fields that choices() lists, as text. */
export type Settings = Record<string, string>;

export type Verdict = "unsaid" | "clean" | "not clean" | "unclear";

/** A click: its time in seconds, and 1 if it is accented. */
export type Click = [time: number, accent: 0 | 1];

/** A note: time, length, key number, 1 if it is a cue, and its layer: 0 the figure,
    1 the bass, 2 the chords, 3 the drone. */
export type Note = [time: number, length: number, key: number, cue: 0 | 1, layer: 0 | 1 | 2 | 3];

export interface Turn {
  index: number;
  statement: number;
  next: number;
  who: "count" | "you" | "model" | "both" | "rest" | "free";
  at: number;
  to: number;
}

/** A chord symbol of a statement, from a time on. */
export interface Chord {
  at: number;
  symbol: string;
}

export interface Statement {
  key: string;
  said: string;
  order: number;
  cycle: number;
  turn: number;
  start: number;
  end: number;
  return?: boolean;
  held?: boolean;
  join?: string;
  chords?: Chord[];
  verdict: Verdict;
  /** It is a judge's, not the player's own. */
  judged?: boolean;
}

export interface Run {
  title: string;
  begin: number;
  count_in: number;
}

export interface Plan {
  session: number;
  duration: number;
  orders: Run[];
  statements: Statement[];
  turns: Turn[];
  clicks: Click[];
  notes: Note[];
  moves: string[];
  instrument: string;
  minutes: string;
  sound: string;
  /** The figure without its scale, and its scale. */
  degrees: string;
  scale: string;
  /** The figure before it was varied, and how it was. */
  idea: string;
  varied: string;
  /** The block of a day's plan, 0 for none. */
  planned: number;
  left_out?: string[];
}

export interface Answer {
  notes: string;
  svg: string[];
}

/** What the parts of a class read, by statement and by part. */
export interface ClassKeys {
  parts: string[];
  keys: { key: string; said: string; rests?: boolean }[][];
  /** The notes of the figure by the concert key: the concert ones, then those of each part. */
  notes: Record<string, string[][]>;
  /** Short links to what each part plays alone, "" where there is none. */
  links: string[];
}

export interface Field {
  name: string;
  label: string;
  default: string;
  hint?: string;
}

export interface Choices {
  fields: Field[];
  choices: Record<string, { text: string; means: string }[]>;
  cautions: string[];
  max_length: number;
  /** Of each key number, A4 at 440. */
  hertz: number[];
}

export interface Report {
  log: string;
  keys: string[];
  said: string[];
  table: { ever: string; now: string }[][];
  moves: number;
  clean: number;
  made: number;
  freshest: string;
  fills: number;
  problem?: string;
}

/** An idea of the player's: settings with a name. */
export interface Idea {
  name: string;
  settings: Settings;
  goal?: number;
  variations?: string[];
  /** The day on which it comes back, if it is put aside. */
  until?: string;
}

/** What a plan is asked for with. */
export interface Day {
  date: string;
  minutes?: number;
  /** "" for that of the log. */
  stage?: "" | "few keys" | "constant orders" | "mixed rows";
  settings: Settings;
  ideas: Idea[];
}

/** A block of a day's plan; number 0 is a pause. */
export interface Planned {
  number: number;
  start: string;
  minutes: string;
  title: string;
  degrees: string;
  scale: string;
  varied: string;
  order: string;
  keys: string[];
  tempo: number;
  rest: string;
  first: boolean;
  done: string;
  why: string[];
}

export interface DayPlan {
  heading: string;
  stage: string;
  ours: boolean;
  blocks: Planned[];
  aside: string[];
  remarks: string[];
}

/** What was practised; days are counted from 1 January 1970. */
export interface History {
  instrument: string;
  instruments: string[];
  orders: { title: string; moves: { from: string; clean: number[]; tried: number[] }[] }[];
  keys: string[];
  days: { day: number; minutes: number; clean: number; played: number }[];
  takes: { name: string; goal?: number; take: Take[] }[];
  more: number;
  problem?: string;
}

export interface Take {
  day: number;
  tempo: number;
  clean: number;
  played: number;
  first?: boolean;
  varied?: string;
}

/** What can be done with a figure. */
export interface About {
  offers: { text: string; means: string; degrees: string }[];
  beginnings: string[];
  played: boolean;
  first: Take[];
}

export declare function load(address?: string | URL): Promise<Library>;

export declare class Library {
  choices(): Choices;
  open(settings: Settings, log?: string): Session;
  resume(state: string, log?: string): Session;
  check(log: string): { entries: number; problem?: string };
  picture(order: string): string;
  shortLink(settings: Settings): string;
  readLink(link: string): { settings: Settings; twice: string };
  keep(log: string, had: string, lines: string): string;
  today(day: Day, log?: string): DayPlan;
  block(day: Day, log: string, number: number): Session;
  past(day: Day, log?: string): History;
  figure(day: Day, log?: string): About;
}

export declare class Session {
  plan: Plan;
  state(): string;
  circle(statement: number): string;
  answer(statement: number): Answer;
  classKeys(settings: Settings): ClassKeys;
  say(turn: number, verdict: Verdict): void;
  /** The verdict of a listener, unless the player says something. */
  hear(turn: number, verdict: "clean" | "not clean" | "unclear" | "not played"): void;
  go(turn: number): void;
  setTempo(turn: number, beats: number): Plan;
  report(date: string, seconds?: number): Report;
  close(): void;
}
