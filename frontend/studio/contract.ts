/** What the lab's answers hold, as tests/contracts/lab.json says it; answers may grow, so only what is used stands here. */

export interface Key {
  time_s: number;
  lead_s: number | null;
  through: boolean;
  angles_deg: Record<string, number>;
}

export interface Aim {
  somersaults: number;
  twists: number;
  halfway_twists: number | null;
  shape: string | null;
}

export interface Plan {
  kind: string;
  version: number;
  name: string;
  preset: string;
  person: { stature_cm: number; table: string; age: number };
  duration_s: number;
  take_off: { momentum_per_kg: number; tilt_deg: number; twist_deg: number };
  start_deg: Record<string, number>;
  keys: Key[];
  aim: Aim | null;
  inputs: { name: string; keys: number[]; [more: string]: unknown }[];
}

export interface Preset {
  key: string;
  name: string;
  words: string;
  notation: string;
  plan: Plan;
}

export interface Turn {
  axis: "x" | "y" | "z";
  share: number;
  angle: string;
}

export type Vector = [number, number, number];
/** w x y z, segment to space */
export type Quaternion = [number, number, number, number];

export interface Segment {
  name: string;
  parent: number;
  joint_m: Vector;
  bone_m: Vector;
  radius_m: number;
  turns: Turn[];
}

export interface Frames {
  times_s: number[];
  angles_deg: number[][];
  origins_m: Vector[][];
  turns: Quaternion[][];
  mass_centre_m: Vector[];
}

export interface Curves {
  somersault_turns: number[];
  tilt_deg: number[];
  twist_turns: number[];
  spin_turns_per_s: number[];
}

export interface Flown {
  version: number;
  body: { stature_m: number; angle_names: string[]; segments: Segment[] };
  frames: Frames;
  curves: Curves;
  result: {
    notation: string;
    direction: string | null;
    somersaults_in_the_air: number;
    twists: number;
    tilt_at_landing_deg: number;
    sentence: string;
  };
  verdict: { trust: string; sentence: string };
  caution: string;
}

/** A flight that was recorded or filmed: as measured, and turned by mechanics alone from one momentum. */
export interface Replay extends Flown {
  kind: string;
  name: string;
  modelled_frames: Frames;
  modelled_curves: Curves;
  apart_deg: number[];
}

export interface Off {
  twist_deg: number;
  somersault_deg: number;
}

export interface Movement {
  key: number;
  name: string;
  time_s: number;
  early: Off;
  late: Off;
}

export interface Fan {
  count: number;
  off: string;
  noise: { timing_ms: number; momentum_percent: number };
  landings: { twist_off_deg: number[]; somersault_off_deg: number[]; tilt_deg: number[] };
  bands: Record<"twist" | "somersault" | "tilt", { least_deg: number; middle_deg: number; most_deg: number; spread_deg: number }>;
  within_a_quarter_twist: number;
  more_than_half_a_twist: number;
  movements: Movement[];
  sentence: string;
}

export interface Search {
  search: string;
  share: number;
  sentence: string;
  done: boolean;
  trouble: string;
  found: { plan: Plan; fan: Fan; before: Fan; sentence: string; verdict: { sentence: string } } | null;
}
