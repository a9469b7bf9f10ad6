/** Everything that a touch does. A fact gets its id here, when a value has really changed, and at no other place. */
import { batch } from "@preact/signals";
import { type Attempt, type Fact, type Sheet, type Standing, whole } from "./contract.ts";
import { inForce, jumpedIn, sentBack, turnsOf } from "./day.ts";
import { fileName, fileText } from "./file.ts";
import { uuid7 } from "./ids.ts";
import type { Outbox } from "./outbox.ts";
import { type Sender, senderOf } from "./sending.ts";
import * as s from "./state.ts";
import { type Trace, traceIn, traceOf } from "./trace.ts";

/** A second touch so soon after the first is a bounce, not a second child. */
const BOUNCE_MS = 350;
const SHEET_EVERY_MS = 30_000;

let box: Outbox;
let sender: Sender;
let tabs: BroadcastChannel | null = null;
let sheetAsked = 0;
let etag = "";
let reading = 0;
/** Written on the screen, not yet on the disk. */
const underway = new Map<string, Fact>();

export async function begin(opened: Outbox): Promise<void> {
  box = opened;
  sender = senderOf(box, heard, reread, {
    fetch: (...what) => fetch(...what),
    now: () => Date.now(),
    later: (work, ms) => window.setTimeout(work, ms),
    notLater: (handle) => window.clearTimeout(handle),
    chance: () => Math.random(),
  });
  const [sheet, station, order, standing] = await Promise.all([
    box.get<Sheet>("sheet"), box.get<s.Station>("station"), box.get<string[]>("order"), box.get<Standing>("standing"),
  ]);
  batch(() => {
    s.clock.value = Date.now();
    s.station.value = { ...s.FRESH, ...station };
    s.standing.value = standing ? { ...standing, secure: window.isSecureContext } : null;
    s.order.value = order ?? [];
    if (sheet) useSheet(sheet);
  });
  const trace = traceIn(document.cookie);
  await reread();
  if (trace && s.facts.value.length === 0 && s.waiting.value.length === 0) await box.put("lost", trace);
  s.lost.value = (await box.get<Trace | null>("lost")) ?? null;
  await box.get<string>("last").then((id) => (s.lastId.value = id ?? ""));
  s.ready.value = true;
  listen();
  await refresh();
}

function listen(): void {
  window.addEventListener("online", () => void refresh());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void refresh();
  });
  window.addEventListener("beforeunload", (event) => {
    if (s.waiting.value.length > 0 && (s.bare.value || s.trouble.value)) event.preventDefault();
  });
  window.setInterval(() => {
    s.clock.value = Date.now();
    if (document.visibilityState === "visible") void askSheet();
  }, SHEET_EVERY_MS);
  if ("BroadcastChannel" in window) {
    tabs = new BroadcastChannel("loftbook-gym");
    tabs.onmessage = () => void otherTab();
  }
  void navigator.storage?.persist?.().catch(() => undefined);
}

/** Another tab has written or sent something. */
async function otherTab(): Promise<void> {
  const [last, order] = await Promise.all([box.get<string>("last"), box.get<string[]>("order")]);
  await reread();
  batch(() => {
    s.lastId.value = last ?? s.lastId.value;
    s.order.value = order ?? s.order.value;
  });
}

/** Look again who we are, what the day is, and send what waits. */
export async function refresh(): Promise<void> {
  await Promise.all([askStanding(), sender.send()]);
  if (s.letIn.value) await askSheet(true);
}

async function reread(): Promise<void> {
  const mine = ++reading;
  const [written, waiting, refused] = await Promise.all([box.written(), box.waiting(), box.refused()]);
  if (mine !== reading) return; // a later look has seen more
  const stored = new Set(written.map((fact) => fact.id));
  batch(() => {
    s.facts.value = [...written, ...[...underway.values()].filter((fact) => !stored.has(fact.id))];
    s.onDisk.value = written.length;
    s.waiting.value = waiting;
    s.refused.value = refused;
    s.trouble.value = box.trouble();
  });
  document.cookie = traceOf(waiting.length, Date.now(), window.isSecureContext && location.protocol === "https:");
}

/** The coach has read that something was lost here. */
export async function lossSeen(): Promise<void> {
  s.lost.value = null;
  await box.put("lost", null);
}

function heard(said: s.Said): void {
  s.said.value = said;
  tabs?.postMessage("sent");
  if (said.line === "not let in") void askStanding();
  if (said.revision !== null && said.revision !== s.sheet.value?.revision) void askSheet();
}

async function asked<T>(address: string, headers: Record<string, string> = {}): Promise<{ status: number; body: T | null; etag: string }> {
  try {
    const answer = await fetch(address, { headers, signal: patience() });
    const body = answer.status === 304 ? null : ((await answer.json()) as T);
    return { status: answer.status, body, etag: answer.headers.get("ETag") ?? "" };
  } catch {
    return { status: 0, body: null, etag: "" };
  }
}

function patience(): AbortSignal {
  const stop = new AbortController();
  window.setTimeout(() => stop.abort(), 10_000);
  return stop.signal;
}

async function askStanding(): Promise<void> {
  const { status, body } = await asked<Standing>("/api/device");
  if (status !== 200 || !body) return;
  s.standing.value = { ...body, secure: body.secure && window.isSecureContext };
  await box.put("standing", s.standing.value);
}

async function askSheet(atOnce = false): Promise<void> {
  if (!s.letIn.value || (!atOnce && Date.now() - sheetAsked < SHEET_EVERY_MS / 3)) return;
  sheetAsked = Date.now();
  const { status, body, etag: tag } = await asked<Sheet>("/api/sheet", etag ? { "If-None-Match": etag } : {});
  if (status !== 200 || !body?.camp) return;
  etag = tag;
  await box.put("sheet", body);
  const known = new Set(s.facts.value.map((fact) => fact.id));
  const missing = (body.mine ?? []).map(whole).filter((one) => !known.has(one.id));
  await box.remember(missing);
  if (missing.length) await reread();
  useSheet(body);
}

function useSheet(sheet: Sheet): void {
  batch(() => {
    const there = new Set(sheet.athletes.map((one) => one.id));
    const kept = s.order.value.filter((id) => there.has(id));
    const known = new Set(kept);
    s.order.value = [...kept, ...sheet.athletes.map((one) => one.id).filter((id) => !known.has(id))];
    s.sheet.value = sheet;
    if (s.station.value.camp !== sheet.camp.id) s.station.value = { ...s.station.value, camp: sheet.camp.id, rung: "", help: "", takeOff: "", landing: "" };
    if (!s.station.value.rater && sheet.device.rater) s.station.value = { ...s.station.value, rater: sheet.device.rater };
  });
}

/** Whether a result may be written now: not within the bounce of the touch before. */
export function armed(): boolean {
  return !s.resting.value;
}

function rest(): void {
  s.resting.value = true;
  window.setTimeout(() => (s.resting.value = false), BOUNCE_MS);
}

export interface Result { outcome: string; help?: string; rotation?: string }

/** The plain result of whoever stands on the bed. */
export async function write(result: Result): Promise<void> {
  const her = s.who.value;
  const sheet = s.sheet.value;
  if (!her || !sheet || !armed()) return;
  rest();
  const before = s.lastSeen.value;
  const blank = sheet.outcomes.find((one) => one.key === result.outcome)?.blank ?? false;
  const rung = s.rung.value;
  const at = Date.now();
  const attempt: Attempt = {
    kind: "attempt", id: uuid7(at), camp: sheet.camp.id, athlete: her.athlete.id, rung,
    outcome: result.outcome, at: new Date(at).toISOString(), rater: s.station.value.rater || sheet.device.rater,
    help: result.help ?? "", rotation: result.rotation ?? "",
    take_off: blank ? "" : s.station.value.takeOff, landing: blank ? "" : s.station.value.landing,
    marks: {}, note: "", turn: turnsOf(s.known.value ?? sheet, s.attempts.value, her.athlete.id, rung) + 1,
    second: sheet.device.second, replaces: null,
  };
  const jumped = her.athlete.id !== s.suggested.value?.athlete.id;
  batch(() => {
    s.facts.value = [...s.facts.value, attempt];
    s.lastId.value = attempt.id;
    s.chosen.value = "";
    s.dialog.value = null;
    if (jumped) s.order.value = jumpedIn(s.order.value, her.athlete.id, before);
    if (result.help && result.help !== "nobody_in") s.station.value = { ...s.station.value, help: result.help };
    s.announced.value = `Written: ${her.athlete.name}, ${s.resultWords(attempt)}.`;
  });
  await kept(attempt);
  await box.put("station", s.station.value);
}

async function kept(fact: Fact): Promise<void> {
  underway.set(fact.id, fact);
  await box.keep([fact]);
  underway.delete(fact.id);
  await Promise.all([box.put("last", s.lastId.value), box.put("order", s.order.value)]);
  await reread();
  tabs?.postMessage("kept");
  void sender.send();
}

export type Change = Partial<Pick<Attempt, "outcome" | "help" | "rotation" | "take_off" | "landing" | "marks" | "note" | "rung">>;

/** Put an attempt right: a new fact that replaces the old one, and only where something differs. */
export async function correct(id: string, change: Change): Promise<void> {
  const old = inForce(s.facts.value).find((one) => one.id === id);
  if (!old) return;
  const at = Date.now();
  const next: Attempt = { ...old, ...change };
  if (JSON.stringify(tidy(next)) === JSON.stringify(tidy(old))) return;
  const correction: Attempt = { ...next, id: uuid7(at), replaces: old.id, rater: s.station.value.rater || old.rater };
  batch(() => {
    s.facts.value = [...s.facts.value, correction];
    if (s.lastId.value === old.id) s.lastId.value = correction.id;
    s.announced.value = `Put right: ${s.nameOf(old.athlete)}, ${s.resultWords(correction)}.`;
  });
  await kept(correction);
}

function tidy(one: Attempt): unknown {
  const marks = Object.entries(one.marks).filter(([, mark]) => mark > 0).sort();
  return [one.outcome, one.help, one.rotation, one.take_off, one.landing, marks, one.note.trim(), one.rung];
}

/** Take an attempt back; it stays readable in the book, and counts no more. */
export async function takeBack(id: string): Promise<void> {
  const old = inForce(s.facts.value).find((one) => one.id === id);
  if (!old || !armed()) return;
  rest();
  const at = Date.now();
  const fact: Fact = {
    kind: "withdrawal", id: uuid7(at), attempt: id, at: new Date(at).toISOString(),
    by: s.station.value.rater || old.rater, reason: "",
  };
  batch(() => {
    s.facts.value = [...s.facts.value, fact];
    s.chosen.value = old.athlete;
    s.lastId.value = "";
    s.announced.value = `Taken back: ${s.nameOf(old.athlete)}, ${s.resultWords(old)}.`;
  });
  await kept(fact);
}

export function choose(athlete: string): void {
  batch(() => {
    s.chosen.value = athlete;
    s.dialog.value = null;
  });
}

/** She is not there yet: she goes behind the last who has had no more turns than she. */
export function later(): void {
  const her = s.who.value;
  if (!her) return;
  const before = s.lastSeen.value;
  s.order.value = sentBack(s.line.value, her.athlete.id, before);
  s.chosen.value = "";
  void box.put("order", s.order.value);
}

/** Another rung: for her alone, or for everybody from now on. */
export function takeRung(key: string, everybody: boolean): void {
  const her = s.who.value?.athlete.id;
  if (everybody || !her) {
    s.ownRung.value = {};
    change({ rung: key });
  } else {
    const { [her]: _old, ...others } = s.ownRung.value;
    s.ownRung.value = key === s.stationRung.value ? others : { ...others, [her]: key };
    s.chosen.value = her;
  }
}

export function change(station: Partial<s.Station>): void {
  s.station.value = { ...s.station.value, ...station };
  void box.put("station", s.station.value);
}

export function carryOn(): void {
  s.dismissed.value = s.now.value?.seen.at(-1)?.id ?? "";
}

/** Hand everything that waits, and what was refused, over as a file. */
export async function saveFile(): Promise<void> {
  const facts = [...(await box.waiting()), ...(await box.refused()).map((one) => one.fact)];
  const device = s.sheet.value?.device ?? s.standing.value?.device ?? null;
  const now = Date.now();
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([fileText(device, facts, now)], { type: "application/json" }));
  link.download = fileName(device?.name ?? "", now);
  link.click();
  window.setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** Let this device in by the short code; answers with a sentence where that did not work. */
export async function pair(code: string): Promise<string> {
  try {
    const answer = await fetch("/api/pair", {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ code: code.trim() }),
    });
    const body = (await answer.json()) as Standing & { error?: string };
    if (!answer.ok) return body.error ?? "The laptop did not take this code. Ask for a new one and type it within five minutes.";
    s.standing.value = { ...body, secure: body.secure && window.isSecureContext };
    await box.put("standing", s.standing.value);
    await refresh();
    return "";
  } catch {
    return "The laptop cannot be reached. Is this device on the same Wi-Fi, and is Loftbook running there?";
  }
}

/** Leave: the laptop forgets this device, the names are wiped here, what waits is kept. */
export async function leave(): Promise<void> {
  await fetch("/api/unpair", { method: "POST" }).catch(() => undefined);
  etag = "";
  await box.forgetTheDay();
  batch(() => {
    s.sheet.value = null;
    s.order.value = [];
    s.dialog.value = null;
    s.lastId.value = "";
    s.standing.value = { device: null, role: null, here: false, secure: window.isSecureContext };
  });
  await reread();
}

export async function sendNow(): Promise<void> {
  await refresh();
}
