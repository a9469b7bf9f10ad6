/** Bodies out of a track: middles of left and right, lines to draw, the place of the mass centre in the picture. */
import type { Place, Track } from "./contract.ts";

export const FOUR = ["shoulder", "hip", "knee", "ankle"] as const;
export type Joint = (typeof FOUR)[number] | "toe";

export interface Body { [joint: string]: Place | null }

const LIMBS: [string, string][] = [
  ["shoulder", "elbow"], ["elbow", "wrist"], ["shoulder", "hip"], ["hip", "knee"], ["knee", "ankle"], ["ankle", "toe"], ["shoulder", "ear"],
];

/** Which row of a track holds a picture; -1 where it was not tracked. */
export function rowOf(track: Track, frame: number): number {
  const guess = frame - (track.frames[0] ?? 0);
  return track.frames[guess] === frame ? guess : track.frames.indexOf(frame);
}

/** The middle between left and right of a joint; the one that is known where only one is. */
export function middle(track: Track, row: number, joint: string): Place | null {
  const points = track.points[row];
  if (!points) return null;
  const both = [`left_${joint}`, `right_${joint}`, joint].map((name) => points[track.joints.indexOf(name)] ?? null).filter((one) => one !== null);
  if (both.length === 0) return null;
  return [both.reduce((sum, one) => sum + one[0], 0) / both.length, both.reduce((sum, one) => sum + one[1], 0) / both.length];
}

export function bodyAt(track: Track, row: number): Body {
  return Object.fromEntries(["ear", "shoulder", "elbow", "wrist", "hip", "knee", "ankle", "toe"].map((joint) => [joint, middle(track, row, joint)]));
}

/** Where about the mass centre is seen: between shoulders, hips and knees. For drawing only; what is measured is measured elsewhere. */
export function centreOf(body: Body): Place | null {
  const shares: [string, number][] = [["shoulder", 0.42], ["hip", 0.42], ["knee", 0.16]];
  let x = 0, y = 0;
  for (const [joint, share] of shares) {
    const at = body[joint];
    if (!at) return null;
    x += share * at[0];
    y += share * at[1];
  }
  return [x, y];
}

export interface Line { from: Place; to: Place; side: "left" | "right" }

/** The skeleton of one picture: left whole, right broken. */
export function linesOf(track: Track, row: number): Line[] {
  const points = track.points[row] ?? [];
  const at = (name: string) => points[track.joints.indexOf(name)] ?? null;
  const found: Line[] = [];
  for (const side of ["right", "left"] as const)
    for (const [one, other] of LIMBS) {
      const from = at(`${side}_${one}`), to = at(`${side}_${other}`);
      if (from && to) found.push({ from, to, side });
    }
  return found;
}

/** Arm, trunk, thigh, shank and foot as one broken line for a small body picture, and where its head is. */
export function outline(body: Body): { trunk: Place[]; arm: Place[]; head: Place | null } {
  const known = (joints: string[]) => joints.map((joint) => body[joint] ?? null).filter((one) => one !== null);
  const shoulder = body["shoulder"], hip = body["hip"];
  const along: Place | null = shoulder && hip ? [shoulder[0] + 0.42 * (shoulder[0] - hip[0]), shoulder[1] + 0.42 * (shoulder[1] - hip[1])] : null;
  return { trunk: known(["shoulder", "hip", "knee", "ankle", "toe"]), arm: known(["shoulder", "elbow", "wrist"]), head: body["ear"] ?? along };
}

/** The usual length of her trunk in the picture, px. */
export function trunkOf(track: Track): number {
  const lengths: number[] = [];
  for (let row = 0; row < track.frames.length; row++) {
    const a = middle(track, row, "shoulder"), b = middle(track, row, "hip");
    if (a && b) lengths.push(Math.hypot(a[0] - b[0], a[1] - b[1]));
  }
  lengths.sort((a, b) => a - b);
  return lengths[lengths.length >> 1] ?? 0;
}
