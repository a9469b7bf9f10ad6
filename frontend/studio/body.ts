/** The body's parts as solids, each in its segment's own frame: rounded limbs that taper into the next, a chest that is told from a back. */
import { type BufferGeometry, LatheGeometry, SphereGeometry, Vector2 } from "three";
import type { Flown, Segment } from "./contract.ts";
import { girth } from "./figure.ts";

/** How finely a part is rounded: sides all round, steps in each of its round ends. Ghosts are flat shades and need less. */
export interface Fineness { sides: number; steps: number }
export const FINE: Fineness = { sides: 12, steps: 3 }, COARSE: Fineness = { sides: 6, steps: 2 }, FINEST: Fineness = { sides: 28, steps: 6 };
/** Trunks, each from its lower to its upper end: half of their depth as a share of stature; they are wider than deep. By eye. */
const TRUNK: Record<string, readonly [number, number]> = { pelvis: [0.053, 0.044], mid_trunk: [0.044, 0.049], upper_trunk: [0.049, 0.056] };
const WIDER = 1.42;

/** A rod with round ends along z from 0 to `length` (which may be negative), from one radius to another. */
function rod(length: number, from: number, to: number, more: number, { sides, steps }: Fineness): BufferGeometry {
  const points: Vector2[] = [], size = Math.abs(length);
  for (let n = 0; n <= steps; n++) {
    const a = (n / steps) * (Math.PI / 2);
    points.push(new Vector2((from + more) * Math.sin(a) + 1e-5, -(from + more) * 0.9 * Math.cos(a)));
  }
  points.push(new Vector2((from + to) / 2 + more + 0.03 * from, size * 0.4));
  for (let n = steps; n >= 0; n--) {
    const a = (n / steps) * (Math.PI / 2);
    points.push(new Vector2((to + more) * Math.sin(a) + 1e-5, size + (to + more) * 0.9 * Math.cos(a)));
  }
  const made = new LatheGeometry(points, sides).rotateX(Math.PI / 2);
  return length < 0 ? made.rotateX(Math.PI) : made;
}

function ball(wide: number, deep: number, high: number, at: readonly [number, number, number], more: number, { sides }: Fineness): BufferGeometry {
  return new SphereGeometry(1, sides + 2, sides).scale(wide + more, deep + more, high + more).translate(at[0], at[1], at[2]);
}

/** One segment; `more` m thicker all round, for the rim that parts limbs from each other. */
export function solid(flown: Flown, number: number, more = 0, how = FINE): BufferGeometry {
  const segment = flown.body.segments[number] as Segment;
  const stature = flown.body.stature_m;
  const { wide, deep } = girth(segment, stature);
  const [, forward, up] = segment.bone_m;
  const trunk = TRUNK[segment.name];
  if (how === FINE && (segment.name === "head" || trunk)) how = FINEST; // what carries a panel is smooth under its edge
  if (segment.name === "head") return ball(deep * 0.86, deep * 1.0, Math.abs(up) * 0.5, [0, deep * 0.12, up * 0.56], more, how);
  if (trunk) return rod(up, trunk[0] * stature, trunk[1] * stature, more, how).scale(WIDER, 1, 1);
  if (segment.name.endsWith("foot")) return rod(forward, deep * 1.15, deep * 0.6, more, how).rotateX(-Math.PI / 2);
  const child = flown.body.segments.find((one) => one.parent === number);
  return rod(up, wide, child ? girth(child, stature).deep * (child.name.endsWith("foot") ? 1.4 : 1) : wide * 0.6, more, how).scale(1, segment.name.endsWith("hand") ? 0.7 : 1, 1);
}

/** What tells front from back and left from right, in paper's colour: a panel on the chest, a face, rings on her left. */
export function sign(flown: Flown, number: number): BufferGeometry | null {
  const segment = flown.body.segments[number] as Segment;
  const { wide, deep } = girth(segment, flown.body.stature_m);
  const up = segment.bone_m[2];
  if (segment.name === "upper_trunk") return ball(wide * 0.62, deep * 0.44, up * 0.6, [0, deep * 0.62, up * 0.36], 0, FINEST);
  if (segment.name === "head") return ball(deep * 0.58, deep * 0.4, Math.abs(up) * 0.25, [0, deep * 0.8, up * 0.46], 0, FINEST);
  if (segment.name === "left_forearm" || segment.name === "left_shank") {
    const place = up * 0.78, r = wide * 0.93, half = 0.016 * flown.body.stature_m;
    const ring = [new Vector2(r * 0.5, -half), new Vector2(r, -half), new Vector2(r, half), new Vector2(r * 0.5, half)];
    return new LatheGeometry(ring, FINE.sides).rotateX(Math.PI / 2).translate(0, 0, place);
  }
  return null;
}
