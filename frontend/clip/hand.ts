/** Points by hand: which pictures are asked for, which joints in each, what was put, and how to take it back. Pure. */
import type { Joint } from "./body.ts";
import { FOUR } from "./body.ts";
import type { Measured, Place, Proposed, Put } from "./contract.ts";

/** One picture to put joints in. At both ends of the flight the foot is asked for twice: before and after it meets the surface. */
export interface Key { corner: string; frame: number; joints: readonly Joint[]; touched: boolean }
export type Points = ReadonlyMap<string, Place>;

const WITH_FOOT: readonly Joint[] = [...FOUR, "toe"];
const FOOT: readonly Joint[] = ["ankle", "toe"];
export const FEET_OFF = "feet off", FEET_NEAR = "feet near";
const SHARES: Record<string, number[]> = { "fold begins": [0.13], folded: [0.21], between: [0.41, 0.61], "opening begins": [0.8], open: [0.9] };

export const WORDS: Record<string, string> = {
  "take-off": "The last picture with her feet on the bed",
  [FEET_OFF]: "The next picture: her feet have left",
  "fold begins": "She begins to fold",
  folded: "She is folded",
  between: "In between, still folded",
  "opening begins": "She begins to open",
  open: "She is open again",
  [FEET_NEAR]: "The last picture before her feet meet the landing",
  landing: "The first picture with her feet on the landing",
};

export const at = (frame: number, joint: string) => `${frame} ${joint}`;

/** The pictures that are asked for, in the order of time: corners as proposed, moved to the two contacts where they are known. */
export function keysFrom(proposed: readonly Proposed[], measured: Measured | null, times: readonly number[], put: Points): Key[] {
  const flight = measured?.chosen_flight ? measured.flights[measured.chosen_flight - 1] : undefined;
  const speed = measured?.speed ?? 1;
  const frames = times.length;
  const seconds = (t: number | null | undefined) => (t === null || t === undefined ? undefined : t * speed);
  const leaves = seconds(flight?.takes_off_s), lands = seconds(flight?.lands_s);
  const keys: Key[] = [];
  for (const one of proposed) {
    let frame = one.frame;
    if (one.corner === "take-off" && leaves !== undefined) frame = last(times, leaves);
    if (one.corner === "landing" && lands !== undefined) frame = last(times, lands) + 1;
    frame = Math.min(Math.max(frame, 0), frames - 1);
    const end = one.corner === "take-off" || one.corner === "landing";
    keys.push({ corner: one.corner, frame, joints: end ? WITH_FOOT : FOUR, touched: false });
  }
  return withFeet(settled(anchored(keys, put), put), frames);
}

/** Where the foot was put in a whole body, an end of the flight is known from hands; what lies between follows it. */
function anchored(keys: Key[], put: Points): Key[] {
  const ends = [...new Set([...put.keys()].map((key) => Number(key.split(" ")[0])))].filter((frame) => put.has(at(frame, "toe")) && put.has(at(frame, "hip"))).sort((a, b) => a - b);
  const first = ends[0], final = ends.at(-1);
  if (first === undefined || final === undefined || final <= first + 8) return keys;
  return spread(keys.map((key) => (key.corner === "take-off" ? { ...key, frame: first, touched: true } : key.corner === "landing" ? { ...key, frame: final, touched: true } : key)), keys.some((key) => key.frame < first || key.frame > final));
}

/** Pictures in which something was put before stand where they were put, and push proposals that are near aside. */
function settled(keys: Key[], put: Points): Key[] {
  const whole = [...new Set([...put.keys()].map((key) => Number(key.split(" ")[0])))].filter((frame) => FOUR.filter((joint) => put.has(at(frame, joint))).length > 1).sort((a, b) => a - b);
  if (whole.length === 0) return keys;
  const free = keys.slice();
  const kept: Key[] = whole.map((frame) => {
    let best = -1;
    free.forEach((key, n) => {
      if (best < 0 || Math.abs(key.frame - frame) < Math.abs((free[best] as Key).frame - frame)) best = n;
    });
    const near = free[best];
    if (near && Math.abs(near.frame - frame) <= 8) {
      free.splice(best, 1);
      return { ...near, frame, touched: true };
    }
    return { corner: "another picture", frame, joints: FOUR, touched: true };
  });
  return [...kept, ...free].sort((a, b) => a.frame - b.frame);
}

/** The two pictures in which only the foot is asked for, beside the first and the last. */
function withFeet(keys: Key[], frames: number): Key[] {
  const body = keys.filter((key) => key.corner !== FEET_OFF && key.corner !== FEET_NEAR);
  const off = body.find((key) => key.corner === "take-off"), on = body.find((key) => key.corner === "landing");
  const feet: Key[] = [];
  if (off && off.frame + 1 < frames) feet.push({ corner: FEET_OFF, frame: off.frame + 1, joints: FOOT, touched: off.touched });
  if (on && on.frame > 0) feet.push({ corner: FEET_NEAR, frame: on.frame - 1, joints: FOOT, touched: on.touched });
  return [...body, ...feet].sort((a, b) => a.frame - b.frame || (a.corner === FEET_OFF ? 1 : -1));
}

/** Between two ends that are known, what nobody has touched lies at usual places of a flight. */
function spread(keys: Key[], anew: boolean): Key[] {
  const off = keys.find((key) => key.corner === "take-off"), on = keys.find((key) => key.corner === "landing");
  if (!anew || !off?.touched || !on?.touched || on.frame <= off.frame + 8) return keys;
  const seen: Record<string, number> = {};
  return keys.map((key) => {
    const shares = SHARES[key.corner];
    if (!shares || key.touched) return key;
    const share = shares[(seen[key.corner] = (seen[key.corner] ?? 0) + 1) - 1] ?? shares[0] ?? 0.5;
    return { ...key, frame: Math.round(off.frame + share * (on.frame - off.frame)) };
  });
}

/** A corner lies in another picture after all; the corners between both ends follow, as far as nobody has touched them. */
export function moved(keys: readonly Key[], which: Key, frame: number, frames: number): Key[] {
  const changed = keys.map((key) => (key === which ? { ...key, frame, touched: true } : key));
  return withFeet(spread(changed, true), frames);
}

function last(times: readonly number[], t: number): number {
  let n = 0;
  while (n + 1 < times.length && (times[n + 1] ?? Infinity) <= t) n++;
  return n;
}

export const isWhole = (key: Key, put: Points) => key.joints.every((joint) => put.has(at(key.frame, joint)));
export const nextJoint = (key: Key, put: Points) => key.joints.find((joint) => !put.has(at(key.frame, joint))) ?? null;
/** How many pictures have all four middles: physics wants four of them, and six to eight are better. */
export const wholeOnes = (keys: readonly Key[], put: Points) => keys.filter((key) => FOUR.every((joint) => put.has(at(key.frame, joint)))).length;

/** What is in force on the server, as the page holds it: two sides of a foot in one place are one place here. */
export function fromServer(points: readonly Put[]): Map<string, Place> {
  const found = new Map<string, Place>();
  const sides = new Map(points.map((one) => [at(one.frame, one.joint), `${one.x} ${one.y}`]));
  for (const one of points) {
    if (one.x === null || one.y === null) continue;
    const [, side, foot] = /^(left|right)_(ankle|toe)$/.exec(one.joint) ?? [];
    const other = foot && sides.get(at(one.frame, `${side === "left" ? "right" : "left"}_${foot}`));
    found.set(at(one.frame, foot && other === `${one.x} ${one.y}` ? foot : one.joint), [one.x, one.y]);
  }
  return found;
}

/** What has to be sent so that the server holds what the page holds. */
export function toServer(before: readonly Put[], put: Points, keys: readonly Key[]): Put[] {
  const wanted = new Map<string, Put>();
  for (const [key, place] of put) {
    const [number, joint = ""] = key.split(" ");
    const frame = Number(number);
    const feetOnly = keys.find((one) => one.frame === frame)?.joints === FOOT;
    const names = joint === "toe" || (feetOnly && joint === "ankle") ? [`left_${joint}`, `right_${joint}`] : [joint];
    for (const name of names) wanted.set(at(frame, name), { frame, joint: name, x: round(place[0]), y: round(place[1]) });
  }
  const there = new Map(before.map((one) => [at(one.frame, one.joint), one]));
  const sent: Put[] = [];
  for (const [key, one] of wanted) {
    const old = there.get(key);
    if (!old || old.x !== one.x || old.y !== one.y) sent.push(one);
  }
  for (const [key, old] of there) if (!wanted.has(key)) sent.push({ frame: old.frame, joint: old.joint, x: null, y: null });
  return sent;
}

/** Where her hips are about at a picture, by the parabola through three clicked ones or more; null before that. */
export function guessed(put: Points, times: readonly number[], frame: number): Place | null {
  const known = [...put].filter(([key]) => key.endsWith(" hip")).map(([key, place]) => ({ t: times[Number(key.split(" ")[0])] ?? 0, place }));
  if (known.length < 3) return null;
  const t = times[frame] ?? 0;
  return [laid(known.map((one) => [one.t, one.place[0]]), t), laid(known.map((one) => [one.t, one.place[1]]), t)];
}

/** A parabola through points by least squares, at one instant. */
function laid(points: [number, number][], t: number): number {
  // Normal equations about the instant itself, so that the answer is the constant term.
  const m = [0, 1, 2].map((row) => [0, 1, 2].map((column) => points.reduce((sum, [at]) => sum + (at - t) ** (row + column), 0)));
  const v = [0, 1, 2].map((row) => points.reduce((sum, [at, value]) => sum + value * (at - t) ** row, 0));
  const det = (a: number[][]) => (a[0]?.[0] ?? 0) * ((a[1]?.[1] ?? 0) * (a[2]?.[2] ?? 0) - (a[1]?.[2] ?? 0) * (a[2]?.[1] ?? 0)) - (a[0]?.[1] ?? 0) * ((a[1]?.[0] ?? 0) * (a[2]?.[2] ?? 0) - (a[1]?.[2] ?? 0) * (a[2]?.[0] ?? 0)) + (a[0]?.[2] ?? 0) * ((a[1]?.[0] ?? 0) * (a[2]?.[1] ?? 0) - (a[1]?.[1] ?? 0) * (a[2]?.[0] ?? 0));
  const whole = det(m);
  return Math.abs(whole) < 1e-12 ? (points[0]?.[1] ?? 0) : det(m.map((row, n) => [v[n] ?? 0, ...row.slice(1)])) / whole;
}

const round = (value: number) => Math.round(value * 10) / 10;
