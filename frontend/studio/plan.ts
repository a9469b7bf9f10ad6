/** Changes of a plan, each as a new plan. Times in s, angles in degrees; what a joint's number means stands in JOINTS. */
import type { Key, Plan, Replay } from "./contract.ts";

/** What can be dragged about a key pose: its words, the angles that it sets together, and how far. */
export interface Joint {
  name: string;
  words: string;
  angles: readonly string[];
  least: number;
  most: number;
}

const both = (name: string): string[] => [`left_${name}`, `right_${name}`];
export const JOINTS: readonly Joint[] = [
  { name: "hips", words: "Hips bent", angles: both("hip_flexion"), least: -20, most: 140 },
  { name: "knees", words: "Knees bent", angles: both("knee"), least: 0, most: 140 },
  { name: "left arm", words: "Left arm out to the side", angles: ["left_arm_abduction"], least: -10, most: 180 },
  { name: "right arm", words: "Right arm out to the side", angles: ["right_arm_abduction"], least: -10, most: 180 },
  { name: "left arm forward", words: "Left arm forward", angles: ["left_arm_flexion"], least: -40, most: 180 },
  { name: "right arm forward", words: "Right arm forward", angles: ["right_arm_flexion"], least: -40, most: 180 },
  { name: "head", words: "Head bowed", angles: ["head_flexion"], least: -40, most: 40 },
  { name: "trunk", words: "Trunk rounded", angles: ["trunk_flexion"], least: -20, most: 50 },
];

export const EARLIEST = 0.02;
export const MOST_KEYS = 24;

const rounded = (value: number, step: number): number => Number((Math.round(value / step) * step).toFixed(4));

/** Order changes what an input points at, so inputs go where keys come, leave or pass each other. */
function withKeys(plan: Plan, keys: Key[], stillInOrder: boolean): Plan {
  return { ...plan, keys, inputs: stillInOrder ? plan.inputs : [] };
}

/** A key at another time; it stops short of its neighbours, so that the order of a plan is only changed on purpose. */
export function moveKey(plan: Plan, number: number, to: number): Plan {
  const key = plan.keys[number];
  if (!key) return plan;
  const before = plan.keys.filter((_, n) => n < number).map((one) => one.time_s);
  const after = plan.keys.filter((_, n) => n > number).map((one) => one.time_s);
  const least = Math.max(EARLIEST, ...before.map((time) => time + 0.01));
  const most = Math.min(plan.duration_s, ...after.map((time) => time - 0.01));
  const time = rounded(Math.min(Math.max(to, least), Math.max(most, least)), 0.001);
  return withKeys(plan, plan.keys.map((one, n) => (n === number ? { ...one, time_s: time } : one)), true);
}

/** A joint at another angle in a key pose, both sides where the joint has two. */
export function bend(plan: Plan, number: number, joint: Joint, to: number): Plan {
  const angle = rounded(Math.min(Math.max(to, joint.least), joint.most), 0.01);
  const named = Object.fromEntries(joint.angles.map((name) => [name, angle]));
  const grew = joint.angles.some((name) => !(name in (plan.keys[number]?.angles_deg ?? {})));
  return withKeys(plan, plan.keys.map((one, n) => (n === number ? { ...one, angles_deg: { ...one.angles_deg, ...named } } : one)), !grew);
}

/** The joint goes on through this pose with its other keys. A pose that would move nothing stays as it is. */
export function letGo(plan: Plan, number: number, joint: Joint): Plan {
  const left = Object.fromEntries(Object.entries(plan.keys[number]?.angles_deg ?? {}).filter(([name]) => !joint.angles.includes(name)));
  if (!Object.keys(left).length) return plan;
  return withKeys(plan, plan.keys.map((one, n) => (n === number ? { ...one, angles_deg: left } : one)), false);
}

/** A new key pose at this time that sets these angles; answers the plan and the number of the key. */
export function addKey(plan: Plan, time: number, angles: Record<string, number>): [Plan, number] {
  if (plan.keys.length >= MOST_KEYS) return [plan, -1];
  const at = rounded(Math.min(Math.max(time, EARLIEST), plan.duration_s), 0.001);
  const key: Key = { time_s: at, lead_s: null, through: false, angles_deg: angles };
  const number = plan.keys.filter((one) => one.time_s <= at).length;
  return [withKeys(plan, [...plan.keys.slice(0, number), key, ...plan.keys.slice(number)], false), number];
}

export function takeOut(plan: Plan, number: number): Plan {
  return withKeys(plan, plan.keys.filter((_, n) => n !== number), false);
}

/** What a joint's number is in a key, or null where the key leaves it alone. */
export function angleIn(key: Key, joint: Joint): number | null {
  const found = key.angles_deg[joint.angles[0] ?? ""];
  return found === undefined ? null : found;
}

/** A key's short name: the technique's own word for it, or what it moves. */
export function keyName(plan: Plan, number: number): string {
  const named = plan.inputs.find((one) => one.keys.length === 1 && one.keys[0] === number);
  if (named) return named.name;
  const key = plan.keys[number];
  if (!key) return "";
  const names = Object.keys(key.angles_deg);
  const legs = names.some((name) => name.includes("hip") || name.includes("knee"));
  const arms = new Set(names.filter((name) => name.includes("_arm_") || name.endsWith("elbow")).map((name) => name.split("_")[0]));
  if (legs) return arms.size ? "whole body" : "hips and knees";
  if (arms.size) return arms.size === 2 ? "both arms" : `${[...arms][0]} arm`;
  return "trunk and head";
}

/** Whether a value read from a file looks like a plan at all; the server says what is wrong with it in detail. */
export function looksLikePlan(read: unknown): read is Plan {
  const plan = read as Plan | null;
  return typeof plan === "object" && plan !== null && plan.kind === "loftbook lab plan" && Array.isArray(plan.keys);
}

/** Whether a value read from a file is a replay that can be drawn: as many parts and instants as it says. */
export function looksLikeReplay(read: unknown): read is Replay {
  const one = read as Replay | null;
  if (typeof one !== "object" || one === null || one.kind !== "loftbook lab replay" || one.version !== 1) return false;
  const parts = one.body?.segments?.length ?? 0, many = one.frames?.times_s?.length ?? 0;
  const whole = (frames: Replay["frames"] | undefined): boolean => [frames?.origins_m, frames?.turns].every((rows) => rows?.length === many && rows.every((row) => row.length === parts)) && frames?.mass_centre_m?.length === many;
  const told = (curves: Replay["curves"] | undefined): boolean => [curves?.somersault_turns, curves?.twist_turns, curves?.tilt_deg].every((row) => row?.length === many);
  return parts > 0 && many > 1 && one.frames.times_s.every(Number.isFinite) && one.modelled_frames?.times_s?.every(Number.isFinite) && whole(one.frames) && whole(one.modelled_frames) && told(one.curves) && told(one.modelled_curves) && one.apart_deg?.length === many && typeof one.result?.sentence === "string";
}
