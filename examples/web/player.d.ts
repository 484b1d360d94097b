import type { Click, Note } from "./keyorder.js";

export declare function gain(place: number): number;
export declare function together(notes: Note[]): number;

/** The layers of sound, each with its own level. */
export type Layer = "click" | "notes" | "cue" | "bass" | "chords" | "drone";
export declare const layers: Layer[];

export declare class Player {
  constructor(audio: AudioContext, hertz: number[], options?: { every?: (f: () => void) => () => void });
  readonly playing: boolean;
  readonly scheduled: number;
  readonly zero: number;
  onclick?: (at: number) => void;
  start(
    plan: { clicks: Click[]; notes: Note[]; duration: number },
    options?: { from?: number; volume?: number; levels?: Partial<Record<Layer, number>>; done?: () => void; delay?: number; at?: number },
  ): void;
  replace(plan: { clicks: Click[]; notes: Note[]; duration: number }): void;
  time(): number;
  setVolume(value: number): void;
  setLevel(layer: Layer, value: number): void;
  stop(): void;
}
