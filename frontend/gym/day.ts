/**
 * The day as arithmetic: who is in the line, who is next, when to think of stopping, how the time stands.
 *
 * Everything here is a function of what was written; nothing reads a clock or a store.
 */
import type { Athlete, Attempt, Fact, Plan, Sheet } from "./contract.ts";

/** The attempts that count: neither corrected nor taken back, oldest first. */
export function inForce(facts: Iterable<Fact>): Attempt[] {
  const gone = new Set<string>();
  const attempts: Attempt[] = [];
  for (const fact of facts) {
    if (fact.kind === "withdrawal") gone.add(fact.attempt);
    else {
      attempts.push(fact);
      if (fact.replaces) gone.add(fact.replaces);
    }
  }
  return attempts.filter((one) => !gone.has(one.id)).sort((a, b) => (a.at === b.at ? (a.id < b.id ? -1 : 1) : a.at < b.at ? -1 : 1));
}

/**
 * The sheet, without the turns that this device has taken back. The book may have heard of a turn and not
 * yet of its taking back; without this the next turn would get the number after it.
 */
export function withoutTakenBack(sheet: Sheet, facts: Fact[]): Sheet {
  const inPlace = new Set(inForce(facts).map(place));
  const gone = new Set(facts.filter((fact): fact is Attempt => fact.kind === "attempt").map(place).filter((one) => !inPlace.has(one)));
  if (gone.size === 0) return sheet;
  const turns: Sheet["turns"] = {};
  for (const [athlete, rungs] of Object.entries(sheet.turns)) {
    const hers: Record<string, number> = {};
    for (const [rung, highest] of Object.entries(rungs)) {
      let turn = highest;
      while (turn > 0 && gone.has(place({ athlete, rung, turn }))) turn--;
      hers[rung] = turn;
    }
    turns[athlete] = hers;
  }
  return { ...sheet, turns };
}

function place(one: Pick<Attempt, "athlete" | "rung" | "turn">): string {
  return `${one.athlete} ${one.rung} ${one.turn}`;
}

export type Place = "to come" | "had her turns" | "off" | "away";

export interface InLine {
  athlete: Athlete;
  /** Turns on this rung, by any device of this seat. */
  turns: number;
  place: Place;
  /** This device's attempts on this rung. */
  seen: Attempt[];
}

/** How many turns she has had on a rung: the highest number that any device of this seat has given. */
export function turnsOf(sheet: Sheet, attempts: Attempt[], athlete: string, rung: string): number {
  const own = attempts.filter((one) => one.athlete === athlete && one.rung === rung).map((one) => one.turn);
  return Math.max(0, sheet.turns[athlete]?.[rung] ?? 0, ...own);
}

/** The line at the bed, in the order that has really happened so far. */
export function lineOf(sheet: Sheet, attempts: Attempt[], order: string[], rung: string): InLine[] {
  const wanted = turnsWanted(sheet);
  const place = new Map(order.map((id, n) => [id, n]));
  const known = [...sheet.athletes].sort((a, b) => (place.get(a.id) ?? 1e9) - (place.get(b.id) ?? 1e9));
  return known.map((athlete) => {
    const hers = attempts.filter((one) => one.athlete === athlete.id);
    const seen = hers.filter((one) => one.rung === rung).sort((a, b) => a.turn - b.turn);
    const turns = turnsOf(sheet, attempts, athlete.id, rung);
    return { athlete, turns, seen, place: placeOf(hers.at(-1), seen.at(-1), turns, wanted) };
  });
}

function placeOf(last: Attempt | undefined, lastHere: Attempt | undefined, turns: number, wanted: number): Place {
  if (last?.outcome === "absent") return "away";
  if (lastHere && ["stopped", "declined", "not_allowed"].includes(lastHere.outcome)) return "off";
  return turns >= wanted ? "had her turns" : "to come";
}

/** Turns for each child on each rung; three where no plan says otherwise (common practice, no source). */
export function turnsWanted(sheet: Sheet): number {
  return sheet.plan?.turns ?? 3;
}

/** Who is next: the first in the line after the one who was just seen, round and round. */
export function nextInLine(line: InLine[], lastSeen: string | null, inARow: boolean): InLine | null {
  return upNext(line, lastSeen, inARow, 1)[0] ?? null;
}

/** The next few, in order. */
export function upNext(line: InLine[], lastSeen: string | null, inARow: boolean, howMany: number): InLine[] {
  const at = line.findIndex((one) => one.athlete.id === lastSeen);
  const after = [...line.slice(at + 1), ...line.slice(0, at + 1)].filter((one) => one.place === "to come");
  const last = line[at];
  if (inARow && last && last.place === "to come") return [last, ...after.filter((one) => one !== last)].slice(0, howMany);
  return after.slice(0, howMany);
}

/** The order after somebody jumped in: she now goes directly behind the one before her. */
export function jumpedIn(order: string[], who: string, before: string | null): string[] {
  if (who === before) return order;
  const rest = order.filter((id) => id !== who);
  const at = before === null ? 0 : rest.indexOf(before) + 1;
  return [...rest.slice(0, at), who, ...rest.slice(at)];
}

/** The order after "later": behind the last who has had no more turns than she. */
export function sentBack(line: InLine[], who: string, lastSeen: string | null): string[] {
  const at = line.findIndex((one) => one.athlete.id === lastSeen);
  const round = [...line.slice(at + 1), ...line.slice(0, at + 1)];
  const her = round.find((one) => one.athlete.id === who);
  const rest = round.filter((one) => one !== her);
  if (!her) return line.map((one) => one.athlete.id);
  let behind = rest.length - 1;
  while (behind >= 0 && !(rest[behind]?.place === "to come" && (rest[behind]?.turns ?? 0) <= her.turns)) behind--;
  if (behind < 0) return line.map((one) => one.athlete.id);
  const changed = [...rest.slice(0, behind + 1), her, ...rest.slice(behind + 1)];
  // The line is a ring: turn it back so that whoever stood first still does, as far as may be.
  const first = line.find((one) => one !== her)?.athlete.id;
  const start = changed.findIndex((one) => one.athlete.id === first);
  return [...changed.slice(start), ...changed.slice(0, start)].map((one) => one.athlete.id);
}

/** Those whose first name or bib begins with what was typed; accents do not matter. */
export function found(line: InLine[], typed: string): InLine[] {
  const wanted = plain(typed);
  if (!wanted) return line;
  return line.filter(({ athlete }) => plain(athlete.bib) === wanted || plain(athlete.name).split(/[\s-]+/).some((word) => word.startsWith(wanted)) || (/^\d+$/.test(wanted) && plain(athlete.bib).startsWith(wanted)));
}

function plain(text: string): string {
  return text.normalize("NFD").replace(/\p{M}/gu, "").trim().toLocaleLowerCase();
}

const PAIN = /\b(pain|hurts?|sore|afraid|scared|fear)\b/i;

/** Why to think of stopping now, in a sentence or two, or nothing. It suggests; a coach decides. */
export function stopSign(sheet: Sheet, seen: Attempt[], name: string): string {
  const last = seen.at(-1);
  if (!last) return "";
  if (last.outcome === "stopped") return `${name} was stopped on her last turn on this rung. ${DECIDES}`;
  if (PAIN.test(last.note)) return `Her last turn on this rung says “${last.note}”. ${DECIDES}`;
  const limit = sheet.stop.short_in_a_row;
  const newest = seen.slice(-limit);
  const short = limit > 0 && newest.length === limit && newest.every((one) => one.rotation === "short");
  return short ? sheet.stop.words : "";
}

const DECIDES = "Think of ending here for today. The coach at the bed decides.";

export interface Glance { had: number; expected: number; round: number; inRound: number; toCome: number; minutes: number | null }

/** How the day stands: turns had on all devices and expected, and minutes behind (+) or before (-) the plan; null before it can be said. */
export function glance(sheet: Sheet, line: InLine[], attempts: Attempt[], now: number): Glance {
  const there = line.filter((one) => one.place !== "away");
  const active = line.filter((one) => one.place === "to come");
  const round = active.length ? Math.min(...active.map((one) => one.turns)) + 1 : turnsWanted(sheet);
  const tested = sheet.rungs.filter((one) => one.tested);
  const expected = there.length * turnsWanted(sheet) * tested.length;
  const had = there.reduce((sum, { athlete }) => sum + tested.reduce((hers, { key }) => hers + turnsOf(sheet, attempts, athlete.id, key), 0), 0);
  return {
    had, expected, round,
    inRound: there.filter((one) => one.turns >= round || one.place === "off").length,
    toCome: active.filter((one) => one.turns < round).length,
    minutes: behind(sheet.plan, attempts, had / Math.max(1, expected), now),
  };
}

function behind(plan: Plan | null, attempts: Attempt[], share: number, now: number): number | null {
  const first = attempts[0];
  if (!plan || !first || attempts.length < 3) return null;
  const began = planned(plan.starts || "", Date.parse(first.at));
  const late = (now - began) / 60000 - plan.minutes_needed * share;
  return Math.abs(late) > 24 * 60 ? null : late;
}

/** When the day should have begun by its plan. Where the plan names no hour, or one far away, it begins with that turn. */
function planned(hour: string, turn: number): number {
  const [h, min] = hour.split(":").map(Number);
  if (h === undefined || min === undefined || Number.isNaN(h + min)) return turn;
  const meant = new Date(turn).setHours(h, min, 0, 0);
  return Math.abs(turn - meant) < 6 * 3600_000 ? meant : turn;
}

/** Minutes against the plan in words. */
export function paceWords(minutes: number | null): string {
  if (minutes === null) return "";
  const whole = Math.round(Math.abs(minutes));
  if (whole < 1) return "on time";
  return `${whole} min ${minutes > 0 ? "behind" : "ahead of"} the plan`;
}
