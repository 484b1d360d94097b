import type { Session } from "./keyorder.js";

/** What is said of a statement. */
export interface Heard {
  /** The turn of the session's plan in which it was played. */
  turn: number;
  verdict: "clean" | "not clean" | "unclear" | "not played";
  /** What was wrong, as "third note: G". */
  words: string;
}

/** An idea that was played: a figure with its scale, and the key. */
export interface Idea {
  figure: string;
  first: string;
  tempo: number;
}

/** Sound that was kept; at is the time of the audio clock at which it begins. */
export interface Take {
  rate: number;
  at: number;
  samples: Int16Array;
}

/** When to begin after a note that was held since a time: in time with it. */
export declare function countFrom(since: number, beat: number, now: number): number;

/** Hears one player. Times are those of the audio clock, in seconds. */
export declare class Listener {
  static microphone(audio: AudioContext, options: { instrument: string }): Promise<Listener>;
  static keys(audio: AudioContext, options: { instrument: string }): Promise<Listener>;
  private constructor();
  readonly instruments: string[];
  onsay: (heard: Heard) => void;
  /** Told the peak since it was told last, from 0 to 1. */
  onlevel: (peak: number) => void;
  /** Told the key that sounds, 0 for none, and the time. */
  onnote: (key: number, now: number) => void;
  /** Told since when the note sounds that was waited for. */
  onheld: (since: number) => void;
  /** Told why it hears no more. */
  onend: (why: string) => void;
  follow(session: Session, zero: number, options?: { from?: number; alone?: boolean; charge?: "notes" | "rhythm" | "strict" }): void;
  await(session: Session, turn: number): void;
  leave(): void;
  keep(on: boolean): void;
  take(from: number, to: number): Promise<Take>;
  idea(from: number, tempo: number): Promise<Idea>;
  close(): void;
}
