/** What the screen shows, as signals; `actions.ts` changes it, nothing else does. */
import { computed, signal } from "@preact/signals";
import type { Attempt, Fact, Sheet, Standing } from "./contract.ts";
import { glance, inForce, lineOf, nextInLine, stopSign, turnsWanted, upNext, withoutTakenBack } from "./day.ts";
import type { Refused } from "./outbox.ts";
import type { Said } from "./sending.ts";
import type { Trace } from "./trace.ts";
export type { Said } from "./sending.ts";

export interface Station {
  /** Which thumb: the keys lie under it. */
  hand: "right" | "left";
  /** All turns of a child one after the other, or one each, round and round. */
  inARow: boolean;
  /** Empty: as the camp. */
  takeOff: string;
  landing: string;
  /** Who marks here. */
  rater: string;
  /** Single letters and digits write results; off where a screen reader needs them. */
  letters: boolean;
  /** Help other than nobody in, last used here. */
  help: string;
  rung: string;
  /** For which camp the rung, the help and the surfaces were set. */
  camp: string;
}

export const FRESH: Station = { camp: "", hand: "right", inARow: false, takeOff: "", landing: "", rater: "", letters: true, help: "", rung: "" };

export type Dialog =
  | { name: "who" } | { name: "help" } | { name: "rungs" } | { name: "station" } | { name: "waiting" }
  | { name: "add"; attempt: string } | { name: "child"; athlete: string };

export const standing = signal<Standing | null>(null);
export const sheet = signal<Sheet | null>(null);
export const facts = signal<Fact[]>([]);
export const waiting = signal<Fact[]>([]);
export const refused = signal<Refused[]>([]);
export const said = signal<Said>({ line: "sent", sentence: "", clock: "", revision: null });
export const trouble = signal("");
export const station = signal<Station>(FRESH);
export const order = signal<string[]>([]);
export const dialog = signal<Dialog | null>(null);
/** Chosen by hand; empty: whoever is next. */
export const chosen = signal("");
/** Rungs that a child does differently from everybody, until the station moves on. */
export const ownRung = signal<Record<string, string>>({});
export const lastId = signal("");
export const dismissed = signal("");
export const announced = signal("");
/** Just after a touch the keys rest: a second touch so soon is a bounce, not a second child. */
export const resting = signal(false);
/** How many facts are on this device's disk, counted when they have arrived there. */
export const onDisk = signal(0);
/** What had waited here when the browser emptied this page's store; null while it never did. */
export const lost = signal<Trace | null>(null);
export const ready = signal(false);
/** The time, for what moves with it; ticks twice a minute. */
export const clock = signal(0);

export const attempts = computed(() => {
  const camp = sheet.value?.camp.id;
  return inForce(facts.value).filter((one) => one.camp === camp);
});
/** The sheet with what this device knows better: turns that it has taken back. */
export const known = computed(() => (sheet.value ? withoutTakenBack(sheet.value, facts.value) : null));
export const rungs = computed(() => new Map((sheet.value?.rungs ?? []).map((one) => [one.key, one])));
export const tested = computed(() => (sheet.value?.rungs ?? []).filter((one) => one.tested));
export const stationRung = computed(() => {
  const key = station.value.rung;
  return rungs.value.has(key) ? key : (tested.value[0]?.key ?? sheet.value?.rungs[0]?.key ?? "");
});
export const last = computed<Attempt | null>(() => attempts.value.find((one) => one.id === lastId.value) ?? null);
/** Who was seen last: by what was touched last, for a clock may jump. */
export const lastSeen = computed<string | null>(() => last.value?.athlete ?? attempts.value.at(-1)?.athlete ?? null);
export const line = computed(() => (known.value ? lineOf(known.value, attempts.value, order.value, stationRung.value) : []));
export const suggested = computed(() => nextInLine(line.value, lastSeen.value, station.value.inARow));
export const who = computed(() => line.value.find((one) => one.athlete.id === chosen.value) ?? suggested.value ?? null);
export const then = computed(() => upNext(line.value, lastSeen.value, station.value.inARow, 4).filter((one) => one.athlete.id !== who.value?.athlete.id).slice(0, 3));
export const rung = computed(() => (who.value && ownRung.value[who.value.athlete.id]) || stationRung.value);
/** Her place on the rung she does now, which may be her own. */
export const now = computed(() => {
  const her = who.value?.athlete.id;
  if (!known.value || !her) return null;
  return lineOf(known.value, attempts.value, order.value, rung.value).find((one) => one.athlete.id === her) ?? null;
});
export const roundGlance = computed(() => (known.value ? glance(known.value, line.value, attempts.value, clock.value) : null));
export const stop = computed(() => {
  const her = now.value;
  if (!sheet.value || !her) return "";
  const newest = her.seen.at(-1);
  return newest && dismissed.value === newest.id ? "" : stopSign(sheet.value, her.seen, her.athlete.name);
});
export const wanted = computed(() => (sheet.value ? turnsWanted(sheet.value) : 3));
/** Without a certificate the page cannot come back by itself. */
export const bare = computed(() => standing.value !== null && !standing.value.secure);
export const letIn = computed(() => standing.value === null || standing.value.role === "entry" || standing.value.role === "head_coach");

/** The words of a key on one of the sheet's scales. */
export function wordsOf(scale: "outcomes" | "helps" | "rotations" | "take_offs" | "landings", key: string): string {
  return sheet.value?.[scale].find((one) => one.key === key)?.words ?? key;
}

export function nameOf(athlete: string): string {
  return sheet.value?.athletes.find((one) => one.id === athlete)?.name ?? "somebody no longer on the list";
}

/** An attempt in a coach's words: "did it, nobody in", "tried, not yet, short". */
export function resultWords(one: Pick<Attempt, "outcome" | "help" | "rotation">): string {
  const bent = one.rotation !== "" && one.rotation !== "on";
  const parts = [one.outcome === "tried" && bent ? "tried" : wordsOf("outcomes", one.outcome)];
  if (one.help) parts.push(wordsOf("helps", one.help));
  if (bent) parts.push(wordsOf("rotations", one.rotation));
  return parts.join(", ");
}
