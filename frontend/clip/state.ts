/** What the film's page shows, as signals; `actions.ts` changes it. */
import { computed, signal } from "@preact/signals";
import type { Joint } from "./body.ts";
import type { Film, Job, Place, Track } from "./contract.ts";
import { isWhole, nextJoint, wholeOnes, type Key, type Points } from "./hand.ts";

/** Looking on; putting joints by hand; drawing the bed; pointing at her. */
export type Doing = "look" | "hand" | "bed" | "her";
/** What of the picture is seen: middle and width, px of the film. */
export interface View { x: number; y: number; wide: number }

export const film = signal<Film | null>(null);
export const track = signal<Track | null>(null);
export const job = signal<Job | null>(null);
/** The picture that stands on the canvas; -1 while none does. */
export const frame = signal(-1);
/** Counts drawn pictures, so that what hangs on the canvas is drawn again. */
export const drawn = signal(0);
/** Whether the browser confirmed which picture it shows. */
export const sure = signal(true);
export const playing = signal(0);
export const doing = signal<Doing>("look");
export const trouble = signal("");
export const said = signal("");
export const busy = signal(false);
export const skeleton = signal(true);
export const view = signal<View | null>(null);

export const keys = signal<readonly Key[]>([]);
export const active = signal(0);
export const points = signal<Points>(new Map());
export const history = signal<readonly { points: Points; keys: readonly Key[]; active: number }[]>([]);
/** The joint that keys move and the next touch puts; null: the next that is missing. */
export const chosen = signal<Joint | null>(null);
export const bed = signal<[Place, Place] | null>(null);

export const times = computed(() => track.value?.clip_times_s ?? []);
export const key = computed(() => keys.value[active.value] ?? null);
export const joint = computed<Joint | null>(() => (key.value ? chosen.value ?? nextJoint(key.value, points.value) : null));
export const whole = computed(() => wholeOnes(keys.value, points.value));
export const done = computed(() => keys.value.filter((one) => isWhole(one, points.value)).length);
export const flight = computed(() => {
  const found = film.value?.measured;
  return found?.chosen_flight ? found.flights[found.chosen_flight - 1] ?? null : null;
});
/** Seconds from take-off at a picture, in true time; from the film's beginning where no flight is known. */
export function since(n: number): number {
  const speed = film.value?.measured?.speed ?? film.value?.facts.speed ?? 1;
  return (times.value[n] ?? 0) / speed - (flight.value?.takes_off_s ?? 0);
}
