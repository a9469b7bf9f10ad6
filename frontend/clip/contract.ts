/** What the server says about a film, as tests/contracts/film.json has it; only what is used stands here. */

export type Place = [number, number];
export type Values = (number | null)[];

export interface Verdict { trust: "good" | "doubtful" | "none"; sentence: string }

export interface Curves {
  frame: number[];
  time_s: number[];
  mass_centre_up_m: Values;
  somersault_deg: Values;
  hip_flexion_deg: Values;
  knee_flexion_deg: Values;
}

export interface Flight {
  number: number;
  takes_off_s: number | null;
  lands_s: number | null;
  apex_s: number | null;
  slowed: number;
  phases: { folded: boolean; closing_s: number | null; opening_s: number | null; held_s: [number, number] };
}

export interface Measured {
  verdict: Verdict & { reasons: string[] };
  chosen_flight: number | null;
  speed: number;
  flights: Flight[];
  curves: Curves | null;
}

export interface Put { frame: number; joint: string; x: number | null; y: number | null }
export interface Proposed { frame: number; corner: string }
export interface Job { id: string; state: string; over: boolean; share: number; says: string; error: string }

export interface Film {
  film: { id: string; name: string; station: string; width: number; height: number; frames: number; rate: number; proxy: string | null; withheld: string };
  job: Job | null;
  facts: { bed: number[] | null; speed: number; flight: number | null; points: Put[] };
  measured: Measured | null;
  keys: Proposed[];
  missing: string[];
}

export interface Track {
  joints: string[];
  frames: number[];
  times_s: number[];
  points: (Place | null)[][];
  origin: number[][];
  apart: Values;
  width: number;
  height: number;
  clip_times_s: number[];
}

export const MISSING = 0, BY_MODEL = 1, BY_HAND = 2, BY_PHYSICS = 3;
