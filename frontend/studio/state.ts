/** What the studio shows, as signals, and the only functions that change it. */
import { batch, computed, effect, signal } from "@preact/signals";
import { askCompare, askFan, askFly, askForgive, askLink, askPlan, askPresets, askReplay, askSearch, askStop, newest } from "./asking.ts";
import type { Fan, Flown, Plan, Preset, Replay, Search } from "./contract.ts";
import { leaning } from "./figure.ts";
import { looksLikePlan, looksLikeReplay } from "./plan.ts";
import type { View } from "./scene.ts";

export interface Beside {
  plans: [Plan, Plan];
  flights: [Flown, Flown];
  fans: [Fan, Fan];
  sentence: string;
}

export const presets = signal<Preset[]>([]);
export const plan = signal<Plan | null>(null);
export const flown = signal<Flown | null>(null);
export const fan = signal<Fan | null>(null);
/** For which plan the fan was drawn: an older one is shown paler until the new one is there. */
export const fanOf = signal<Plan | null>(null);
/** The flight that the words below describe: it follows when the hand rests, so that the picture need not wait for them. */
export const told = signal<{ plan: Plan; flown: Flown } | null>(null);
export const chosen = signal(0);
export const now = signal(0);
export const playing = signal(false);
export const speed = signal(0.25);
export const view = signal<View>("side");
export const ghosts = signal(true);
export const trouble = signal("");
export const said = signal("");
export const beside = signal<Beside | null>(null);
export const comparing = signal(false);
export const search = signal<Search | null>(null);
export const undone = signal<Plan[]>([]);
export const flat = signal(false);
export type Shown = "plan" | "measured" | "mechanics";
export const replay = signal<Replay | null>(null);
export const showing = signal<Shown>("plan");
/** What the picture draws: the plan, a recorded flight as measured, or the same body as mechanics alone turns it. */
export const shown = computed((): Flown | null => {
  const told = replay.value;
  if (!told || showing.value === "plan") return flown.value;
  return showing.value === "measured" ? told : { ...told, frames: told.modelled_frames, curves: told.modelled_curves };
});
export const stale = computed(() => fan.value !== null && fanOf.value !== plan.value);

const words = (why: unknown): string => (why instanceof Error && why.name !== "TypeError" ? why.message : "The page met a fault of its own. What to do: load it again; the plan can be saved first.");
const failed = (why: unknown): void => { trouble.value = words(why); };
let astray = ""; // what was wrong with the plan that was flown last: only this is over when a plan flies again
const notFlown = (why: unknown): void => { astray = trouble.value = words(why); };

let telling = 0;
let begun = 0; // ms; when the hand moved for the plan that is out
export const drawn = signal<{ since: number } | null>(null);
/** Instants of the figure: while a hand drags half as many are asked for, and all of them when it rests. */
const ALL = 61, MOVING = 31;
const fly = newest(
  (asked: { plan: Plan; since: number; frames: number }) => askFly(asked.plan, asked.frames),
  (answer, asked) => batch(() => {
    if (trouble.value === astray) trouble.value = "";
    clearTimeout(telling);
    if (asked.frames === ALL) telling = window.setTimeout(() => { if (flown.value) told.value = { plan: asked.plan, flown: flown.value }; }, 0);
    flown.value = leaning(answer);
    now.value = Math.min(now.value, answer.frames.times_s.at(-1) ?? now.value);
    if (asked.since) drawn.value = { since: asked.since };
  }),
  notFlown,
);
const scatter = newest(askFan, (answer, asked) => batch(() => { fan.value = answer; fanOf.value = asked; }), failed);

let waiting = 0;
/** Have this plan flown at once, and its landings as soon as the hand rests. What can be taken back is a whole movement of the
 *  hand: its first change is kept, the others not; where nobody knows (`soon`), changes close after each other are one. */
export function setPlan(next: Plan, keep: "first" | "more" | "soon" = "soon"): void {
  if (plan.value && (keep === "first" || (keep === "soon" && begun < performance.now() - 700))) undone.value = [...undone.value.slice(-49), plan.value];
  begun = performance.now();
  if (trouble.value !== astray) trouble.value = "";
  plan.value = next;
  chosen.value = Math.min(chosen.value, Math.max(next.keys.length - 1, 0));
  const resting = keep === "soon" && !told.value;
  fly({ plan: next, since: begun, frames: resting ? ALL : MOVING });
  clearTimeout(waiting);
  waiting = window.setTimeout(() => {
    if (!resting) fly({ plan: next, since: 0, frames: ALL });
    scatter(next);
  }, 250);
}

export function undo(): void {
  const last = undone.value.at(-1);
  if (!last) return;
  undone.value = undone.value.slice(0, -1);
  setPlan(last, "more");
  said.value = "The last change was taken back.";
}

export function begin(preset: Preset): void {
  batch(() => {
    chosen.value = Math.max(preset.plan.keys.findIndex((key) => Object.keys(key.angles_deg).every((name) => name.includes("arm"))), 0);
    now.value = preset.plan.keys[chosen.value]?.time_s ?? 0;
    fan.value = null;
  });
  begun = 0;
  setPlan(preset.plan);
  said.value = `${preset.name}. ${preset.words}`;
}

export function show(what: Shown): void {
  showing.value = what;
  now.value = Math.min(now.value, shown.value?.frames.times_s.at(-1) ?? 0);
}

function openReplay(read: Replay): void {
  batch(() => { replay.value = read; playing.value = false; now.value = 0; showing.value = "measured"; trouble.value = ""; });
  said.value = `The recorded flight “${read.name}” is in the picture. ${read.result.sentence}`;
}

export async function load(query: string, wanted: string, code: string, film: string): Promise<void> {
  try {
    const offered = (await askPresets(query)).presets;
    presets.value = offered;
    if (code) setPlan((await askPlan(code)).plan);
    else begin(offered.find((one) => one.key === wanted) ?? (offered[0] as Preset));
    if (film) openReplay(await askReplay(film));
  } catch (why) {
    failed(why);
  }
}

export async function readFile(file: File): Promise<void> {
  try {
    if (file.size > 1_000_000) throw new Error("This file is larger than any plan or recorded flight. What to do: choose a plan that the studio has saved.");
    const read: unknown = JSON.parse(await file.text());
    if (looksLikeReplay(read)) return openReplay(read);
    if (!looksLikePlan(read)) throw new Error("This file holds something else than a plan of the lab. What to do: choose a plan that the studio has saved.");
    const { plan: opened } = await askPlan((await askLink(read)).code); // as a link: what the book refuses leaves the plan on the screen alone
    setPlan(opened);
    said.value = `The plan “${opened.name}” was opened.`;
  } catch (why) {
    said.value = "";
    trouble.value = why instanceof SyntaxError ? "This file holds no plan. What to do: choose a plan that the studio has saved." : words(why);
  }
}

export async function linkOf(): Promise<{ code: string; address: string } | null> {
  if (!plan.value) return null;
  try {
    return await askLink(plan.value);
  } catch (why) {
    failed(why);
    return null;
  }
}

export async function compare(one: Plan, other: Plan): Promise<void> {
  comparing.value = true;
  try {
    const both = await askCompare([one, other]);
    beside.value = { ...both, plans: [one, other], flights: [leaning(both.flights[0]), leaning(both.flights[1])] };
    said.value = both.sentence;
  } catch (why) {
    failed(why);
  }
  comparing.value = false;
}

export async function forgive(): Promise<void> {
  if (!plan.value) return;
  try {
    search.value = await askForgive(plan.value);
    while (search.value && !search.value.done) {
      await new Promise((done) => setTimeout(done, 500));
      if (search.value) search.value = await askSearch(search.value.search);
    }
    said.value = search.value?.found?.sentence ?? search.value?.trouble ?? "";
  } catch (why) {
    search.value = null;
    failed(why);
  }
}

export async function stopSearch(): Promise<void> {
  if (search.value) search.value = await askStop(search.value.search).catch(() => null);
}

/** Time runs while it plays, slower than life by the chosen speed, and stops at the landing. */
effect(() => {
  if (!playing.value) return;
  let last = performance.now();
  const step = (at: number): void => {
    if (!playing.peek()) return;
    const end = shown.peek()?.frames.times_s.at(-1) ?? 0;
    const next = now.peek() + ((at - last) / 1000) * speed.peek();
    last = at;
    now.value = Math.min(next, end);
    if (next >= end) playing.value = false;
    else requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
});

export function play(): void {
  if (!playing.value && shown.value && now.value >= (shown.value.frames.times_s.at(-1) ?? 0) - 1e-6) now.value = 0;
  playing.value = !playing.value;
}
