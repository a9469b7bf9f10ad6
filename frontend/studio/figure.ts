/** The figure between two frames, and how it looks from one side. Metres; x right, y forward, z up where she faces at take-off. */
import type { Flown, Quaternion, Segment, Vector } from "./contract.ts";

export interface Pose {
  origins: Vector[];
  turns: Quaternion[];
  centre: Vector;
}

const mix = (a: Vector, b: Vector, u: number): Vector => [a[0] + (b[0] - a[0]) * u, a[1] + (b[1] - a[1]) * u, a[2] + (b[2] - a[2]) * u];

/** Between two orientations a few degrees apart; the shorter way. */
export function between(a: Quaternion, b: Quaternion, u: number): Quaternion {
  const side = a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3] < 0 ? -1 : 1;
  const q = a.map((value, n) => value * (1 - u) + side * (b[n] ?? 0) * u) as Quaternion;
  const size = Math.hypot(...q) || 1;
  return q.map((value) => value / size) as Quaternion;
}

export function poseAt(flown: Flown, time: number): Pose {
  const { times_s, origins_m, turns, mass_centre_m } = flown.frames;
  const last = times_s.length - 1, end = times_s[last] ?? 1;
  const place = Math.min(Math.max((time / end) * last, 0), last);
  const n = Math.min(Math.floor(place), last - 1), u = place - n;
  const [o, p, q, r] = [origins_m[n] ?? [], origins_m[n + 1] ?? [], turns[n] ?? [], turns[n + 1] ?? []];
  return {
    origins: o.map((one, s) => mix(one, p[s] ?? one, u)),
    turns: q.map((one, s) => (u === 0 ? one : between(one, r[s] ?? one, u))),
    centre: mix(mass_centre_m[n] ?? [0, 0, 0], mass_centre_m[n + 1] ?? [0, 0, 0], u),
  };
}

/** A vector of a segment's own frame, in space. */
export function turned([w, x, y, z]: Quaternion, [a, b, c]: Vector): Vector {
  const tx = 2 * (y * c - z * b), ty = 2 * (z * a - x * c), tz = 2 * (x * b - y * a);
  return [a + w * tx + y * tz - z * ty, b + w * ty + z * tx - x * tz, c + w * tz + x * ty - y * tx];
}

/** How wide and deep each part is drawn, m: the segment model's radius, and trunks wider than deep. */
export function girth(segment: Segment, stature: number): { wide: number; deep: number } {
  const r = segment.radius_m;
  if (segment.name === "upper_trunk") return { wide: 0.078 * stature, deep: 0.054 * stature };
  if (segment.name === "mid_trunk") return { wide: 0.066 * stature, deep: 0.047 * stature };
  if (segment.name === "pelvis") return { wide: 0.072 * stature, deep: 0.05 * stature };
  if (segment.name.endsWith("foot")) return { wide: r * 0.8, deep: r * 0.55 };
  if (segment.name.endsWith("hand")) return { wide: r * 0.9, deep: r * 0.55 };
  return { wide: r * 0.94, deep: r * 0.94 };
}

/** The lean at take-off, in turns: half of the quarter by which a somersault is shorter in the air than its name. */
export const LEAN = 1 / 8;

/** How a quaternion turns what another has turned already. */
export const after = (p: Quaternion, q: Quaternion): Quaternion => [
  p[0] * q[0] - p[1] * q[1] - p[2] * q[2] - p[3] * q[3],
  p[0] * q[1] + p[1] * q[0] + p[2] * q[3] - p[3] * q[2],
  p[0] * q[2] - p[1] * q[3] + p[2] * q[0] + p[3] * q[1],
  p[0] * q[3] + p[1] * q[2] - p[2] * q[1] + p[3] * q[0],
];

/** The same flight as it stands over a bed: leaning into its somersault at take-off, toes on the bed.
 *  A flight turned as a whole about its mass centre is the same flight: gravity has no say in how it turns. */
export function leaning(flown: Flown): Flown {
  const half = Math.PI * LEAN * wayOf(flown), lean: Quaternion = [Math.cos(half), Math.sin(half), 0, 0];
  const origins = flown.frames.origins_m.map((row, n) => {
    const c = flown.frames.mass_centre_m[n] ?? [0, 0, 0];
    return row.map((o): Vector => {
      const far = turned(lean, [o[0] - c[0], o[1] - c[1], o[2] - c[2]]);
      return [c[0] + far[0], c[1] + far[1], c[2] + far[2]];
    });
  });
  const turns = flown.frames.turns.map((row) => row.map((q) => after(lean, q)));
  const toes = flown.body.segments.flatMap((segment, s) => {
    const from = origins[0]?.[s], q = turns[0]?.[s];
    return segment.name.endsWith("foot") && from && q ? [from[2] + turned(q, segment.bone_m)[2]] : [];
  });
  const down = toes.length ? Math.min(...toes) : 0;
  const lower = ([x, y, z]: Vector): Vector => [x, y, z - down];
  return { ...flown, frames: { ...flown.frames, turns, origins_m: origins.map((row) => row.map(lower)), mass_centre_m: flown.frames.mass_centre_m.map(lower) } };
}

export interface Limb {
  name: string;
  from: [number, number];
  to: [number, number];
  width: number;
}

/** Limbs that hang together, as drawn in one go. */
const CHAINS = [["pelvis", "mid_trunk", "upper_trunk", "head"], ...["left", "right"].flatMap((side) => [["upper_arm", "forearm", "hand"], ["thigh", "shank", "foot"]].map((parts) => parts.map((part) => `${side}_${part}`)))];

/** Whether she travels to the right when seen from her left: backward does, forward is seen from the right. */
export const wayOf = (flown: Flown): 1 | -1 => (flown.result.direction === "forward" ? -1 : 1);

/** The limbs as thick lines seen from the side, far ones first: across (m, time's way to the right), up (m). */
export function seenFromTheSide(flown: Flown, time: number): { chains: Limb[][]; chest: [number, number] | null; centre: [number, number] } {
  const way = wayOf(flown), pose = poseAt(flown, time), stature = flown.body.stature_m;
  const seen = ([, y, z]: Vector): [number, number] => [-way * y, z];
  const depth = new Map<string, number>();
  let chest: [number, number] | null = null;
  const limbs = flown.body.segments.map((segment, s): Limb => {
    const origin = pose.origins[s] ?? [0, 0, 0], q = pose.turns[s] ?? [1, 0, 0, 0];
    const bone = turned(q, segment.bone_m);
    const end: Vector = [origin[0] + bone[0], origin[1] + bone[1], origin[2] + bone[2]];
    const { wide, deep } = girth(segment, stature);
    // the line across the body that the eye meets: its wide side where she is turned towards the eye
    const facing = Math.abs(turned(q, [0, 1, 0])[0]);
    if (segment.name === "upper_trunk") {
      const front = turned(q, [0, deep, 0]);
      if (-way * front[0] > 0.35 * deep) chest = seen([origin[0], origin[1] + bone[1] * 0.45 + front[1] * 0.6, origin[2] + bone[2] * 0.45 + front[2] * 0.6]);
    }
    depth.set(segment.name, (-way * (origin[0] + end[0])) / 2);
    return { name: segment.name, from: seen(origin), to: seen(end), width: 2 * (deep + (wide - deep) * facing) };
  });
  const near = (names: readonly string[]): number => names.reduce((sum, name) => sum + (depth.get(name) ?? 0), 0) / names.length;
  const chains = CHAINS.map((names) => ({ near: near(names), limbs: limbs.filter((limb) => names.includes(limb.name)) })).sort((a, b) => a.near - b.near);
  return { chains: chains.map((one) => one.limbs), chest, centre: seen(pose.centre) };
}
