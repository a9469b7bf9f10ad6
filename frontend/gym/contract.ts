/** What the server and the screen say to each other. Times are ISO 8601 with a zone, ids lower-case UUIDs. */

export interface Attempt {
  kind: "attempt";
  id: string;
  camp: string;
  athlete: string;
  rung: string;
  outcome: string;
  at: string;
  rater: string;
  help: string;
  take_off: string;
  landing: string;
  rotation: string;
  marks: Record<string, number>;
  note: string;
  turn: number;
  second: boolean;
  replaces: string | null;
}

export interface Withdrawal {
  kind: "withdrawal";
  id: string;
  attempt: string;
  at: string;
  by: string;
  reason: string;
}

export type Fact = Attempt | Withdrawal;

export interface Keyed { key: string; words: string }
export interface Athlete { id: string; name: string; bib: string }
export interface Rung { key: string; name: string; short: string; tested: boolean; group: string }
export interface Criterion { key: string; name: string; watch: string; levels: string[] }

export interface Plan {
  turns: number;
  seconds_per_turn: number;
  starts: string;
  ends: string;
  minutes_needed: number;
  arithmetic: string;
  warning: string;
}

export interface Device { id: string | null; name: string; role?: string; rater: string; second: boolean }

export interface Sheet {
  version: number;
  revision: number;
  made_at: string;
  camp: {
    id: string; name: string; starts: string; ends: string; place: string; bed: string;
    take_off: string; landing: string; invented: boolean;
  };
  device: Device;
  athletes: Athlete[];
  rungs: Rung[];
  groups: { key: string; name: string }[];
  outcomes: (Keyed & { blank: boolean })[];
  helps: (Keyed & { order: number })[];
  rotations: Keyed[];
  take_offs: Keyed[];
  landings: Keyed[];
  criteria: Criterion[];
  phrases: string[];
  stop: { short_in_a_row: number; words: string };
  plan: Plan | null;
  turns: Record<string, Record<string, number>>;
  mine: Partial<Attempt>[];
}

export interface Standing {
  device: Device | null;
  role: "head_coach" | "entry" | "read" | null;
  here: boolean;
  secure: boolean;
}

export interface Answer {
  id: string | null;
  status: "stored" | "duplicate" | "conflict" | "refused";
  why: string;
  again: boolean;
  at: string | null;
}

export interface SyncReply {
  received_at: string;
  revision: number;
  clock: { skew_s: number; why: string };
  answers: Answer[];
}

export interface Earlier {
  shown: boolean;
  why: string;
  camp: { name: string; starts: string } | null;
  attempts: { outcome: string; help: string; rotation: string; landing: string; marks: Record<string, number>; note: string; rater: string }[];
}

/** An attempt as the server tells it, with everything that was left out. */
export function whole(told: Partial<Attempt>): Attempt {
  return {
    kind: "attempt", id: "", camp: "", athlete: "", rung: "", outcome: "", at: "", rater: "", help: "", take_off: "",
    landing: "", rotation: "", marks: {}, note: "", turn: 1, second: false, replaces: null, ...noNulls(told),
  };
}

function noNulls(told: Partial<Attempt>): Partial<Attempt> {
  return Object.fromEntries(Object.entries(told).filter(([, value]) => value !== null));
}
