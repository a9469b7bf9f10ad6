/** Everything that changes the film's page. */
import { batch } from "@preact/signals";
import * as ask from "./asking.ts";
import { FOUR, bodyAt, centreOf, middle, rowOf, trunkOf, type Joint } from "./body.ts";
import type { Film, Place } from "./contract.ts";
import { nearestTo } from "./frames.ts";
import * as hand from "./hand.ts";
import { openPlayer, type Player } from "./player.ts";
import * as s from "./state.ts";

let id = "";
let player: Player | null = null;
let watching = 0;

/** The picture that is named by `frame`, whatever the film does meanwhile. */
export const still = () => player?.still ?? null;

export async function begin(film: string): Promise<void> {
  id = film;
  await tried(async () => take(await ask.askFilm(id)));
  const known = s.film.value;
  if (!known || known.film.withheld) return;
  await tried(async () => { s.track.value = await ask.askTrack(id); });
  startHand();
  await openFilm();
  if (known.job && !known.job.over) watch();
}

async function openFilm(): Promise<void> {
  const address = s.film.value?.film.proxy;
  if (!address || player || s.times.value.length === 0) return;
  try {
    player = await openPlayer(address, s.times.value, (frame, sure) => batch(() => {
      s.frame.value = frame;
      s.sure.value = sure;
      s.drawn.value++;
      if (s.view.value && s.doing.value === "look") s.view.value = followed(s.view.value);
      if (player?.ended()) s.playing.value = 0;
    }));
  } catch {
    return; // its copy for the browser is not made yet; the work on it is watched
  }
  const fall = s.flight.value;
  await show(fall?.apex_s === undefined || fall.apex_s === null ? 0 : atSeconds(fall.apex_s));
}

export const atSeconds = (t: number) => nearestTo(s.times.value, t * (s.film.value?.measured?.speed ?? 1));

export async function show(frame: number): Promise<void> {
  s.playing.value = 0;
  await player?.show(frame);
}

export const step = (by: number) => show(Math.max(0, s.frame.value) + by);

export function play(rate: number): void {
  if (!player) return;
  if (s.playing.value === rate) {
    player.stop();
    s.playing.value = 0;
    void show(s.frame.value);
    return;
  }
  s.playing.value = rate;
  player.play(rate);
}

function take(film: Film): void {
  batch(() => {
    s.film.value = film;
    s.job.value = film.job;
    const bed = film.facts.bed;
    s.bed.value = bed ? [[bed[0] ?? 0, bed[1] ?? 0], [bed[2] ?? 0, bed[3] ?? 0]] : null;
  });
}

async function tried(work: () => Promise<void>): Promise<boolean> {
  s.busy.value = true;
  try {
    s.trouble.value = "";
    await work();
    return true;
  } catch (error) {
    s.trouble.value = error instanceof ask.Said ? error.message : "This page has a fault. Load it again; what was sent is kept.";
    if (!(error instanceof ask.Said)) console.error(error);
    return false;
  } finally {
    s.busy.value = false;
  }
}

// ---- the work on the film

function watch(): void {
  const mine = ++watching;
  const look = async () => {
    if (mine !== watching) return;
    try {
      s.job.value = (await ask.askJob(id)).job;
    } catch {
      // the laptop is away for a moment: look again
    }
    if (!player) await openFilm();
    if (s.job.value && !s.job.value.over) setTimeout(() => void look(), 1000);
    else await afresh();
  };
  setTimeout(() => void look(), 1000);
}

/** Film, track and the written part of the page as they are now. */
async function afresh(film?: Film): Promise<void> {
  await tried(async () => {
    take(film ?? (await ask.askFilm(id)));
    s.track.value = await ask.askTrack(id);
    await rewritten();
  });
  if (!player) await openFilm();
  startHand();
  s.drawn.value++;
}

/** The readings and what is missing stand in the page as the server sets them; they are fetched anew, not set twice. */
async function rewritten(): Promise<void> {
  const answer = await fetch(location.pathname, { headers: { accept: "text/html" } });
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const name of ["measured", "missing"]) {
    const old = document.getElementById(name), now = fresh.getElementById(name);
    if (old && now) old.replaceWith(document.importNode(now, true));
  }
  settlePage();
}

/** What the page without this script offers in its place is put away. */
export function settlePage(): void {
  for (const one of document.querySelectorAll<HTMLElement>("[data-instead]")) one.hidden = true;
}

export async function follow(model: string, at: { x: number; y: number; frame: number } | null): Promise<void> {
  const sent = await tried(async () => { s.job.value = (await ask.sendMeasure(id, model, at)).job; });
  if (sent) {
    s.doing.value = "look";
    s.said.value = "She is followed anew. What was measured before stays until that is done.";
    watch();
  }
}

export const cancel = () => tried(async () => { s.job.value = (await ask.sendCancel(id)).job; });
export const confirmSpeed = (times: number) => tried(async () => afresh(await ask.sendSpeed(id, times)));
export const chooseFlight = (flight: number) => tried(async () => {
  await afresh(await ask.sendFlight(id, flight));
  const apex = s.flight.value?.apex_s;
  if (apex !== null && apex !== undefined) await show(atSeconds(apex));
});

// ---- what is being done

export function turnTo(doing: s.Doing): void {
  batch(() => {
    s.doing.value = doing;
    s.said.value = "";
    s.trouble.value = "";
    s.chosen.value = null;
    if (doing !== "hand") s.view.value = null;
  });
  if (doing === "hand") void go(s.active.value);
  if (doing === "bed" && !s.bed.value && s.film.value) {
    const { width, height } = s.film.value.film;
    s.bed.value = [[0.1 * width, 0.9 * height], [0.9 * width, 0.9 * height]];
  }
}

// ---- points by hand

function startHand(): void {
  const film = s.film.value;
  if (!film) return;
  const put = hand.fromServer(film.facts.points);
  batch(() => {
    s.points.value = put;
    s.keys.value = hand.keysFrom(film.keys, film.measured, s.times.value, put);
    s.history.value = [];
    s.active.value = Math.max(0, s.keys.value.findIndex((key) => !hand.isWhole(key, put)));
  });
}

function remember(): void {
  s.history.value = [...s.history.value.slice(-199), { points: s.points.value, keys: s.keys.value, active: s.active.value }];
}

/** Go to one of the pictures that are asked for. */
export async function go(n: number): Promise<void> {
  const key = s.keys.value[n];
  if (!key) return;
  batch(() => {
    s.active.value = n;
    s.chosen.value = null;
  });
  closeUp(key.frame); // first, so that a touch falls where the picture will be
  await show(key.frame);
}

/** Stay near her where it is known where she is. */
function closeUp(frame: number): void {
  const view = s.view.value, where = whereabouts(frame);
  if (!where) s.view.value = null; // she may be anywhere: the whole picture
  else if (view) s.view.value = { ...view, x: where[0], y: where[1] };
  else nearer(where);
}

/** While only looked at, a close-up goes with her. */
function followed(view: s.View): s.View {
  const where = whereabouts();
  return where ? { ...view, x: where[0], y: where[1] } : view;
}

function whereabouts(n = s.frame.value): Place | null {
  const track = s.track.value;
  const put = (["hip", "shoulder", "knee", "ankle"] as const).map((joint) => s.points.value.get(hand.at(n, joint))).find((one) => one);
  if (put) return put;
  const row = track ? rowOf(track, n) : -1;
  const body = track && row >= 0 ? bodyAt(track, row) : {};
  return centreOf(body) ?? body["hip"] ?? hand.guessed(s.points.value, s.times.value, n);
}

export function nearer(at?: Place): void {
  const film = s.film.value?.film;
  if (!film) return;
  const trunk = s.track.value ? trunkOf(s.track.value) : 0;
  const wide = s.view.value ? s.view.value.wide / 1.5 : trunk > 0 ? Math.min(film.width, Math.max(9 * trunk, 0.25 * film.width)) : film.width / 2;
  const where = at ?? whereabouts() ?? [s.view.value?.x ?? film.width / 2, s.view.value?.y ?? film.height / 2];
  s.view.value = { x: where[0], y: where[1], wide: Math.max(wide, film.width / 16) };
}

export function farther(): void {
  const film = s.film.value?.film, view = s.view.value;
  if (!film || !view) return;
  const wide = view.wide * 1.5;
  s.view.value = wide >= film.width ? null : { ...view, wide };
}

/** A place in the picture on the canvas is a joint. Putting the last one that is asked for goes to the next picture. */
export function put(place: Place, which?: Joint): void {
  const key = keyHere();
  if (!key) return;
  const joint = which ?? s.joint.value ?? key.joints.at(-1);
  if (!joint) return;
  batch(() => {
    remember();
    s.points.value = new Map(s.points.value).set(hand.at(key.frame, joint), place);
    s.chosen.value = which ?? null;
    s.said.value = "";
    if (which === undefined && !hand.isWhole(key, s.points.value)) s.chosen.value = null;
  });
}

/** The key of the picture that is seen: the one asked for moves here while nothing is put in it, else a new one begins. */
function keyHere(): hand.Key | null {
  const frame = s.frame.value, keys = s.keys.value, asked = s.key.value;
  if (asked?.frame === frame) return asked;
  const here = keys.findIndex((key) => key.frame === frame);
  if (here >= 0) {
    s.active.value = here;
    return keys[here] ?? null;
  }
  const untouched = asked && !asked.joints.some((joint) => s.points.value.has(hand.at(asked.frame, joint)));
  batch(() => {
    if (asked && untouched) s.keys.value = hand.moved(keys, asked, frame, s.times.value.length);
    else s.keys.value = [...keys, { corner: "another picture", frame, joints: FOUR, touched: true }].sort((a, b) => a.frame - b.frame);
    s.active.value = s.keys.value.findIndex((key) => key.frame === frame);
  });
  return s.key.value;
}

/** The picture that is seen is the corner that was asked for. */
export function thisOne(): void {
  const asked = s.key.value;
  if (!asked) return;
  batch(() => {
    remember();
    s.keys.value = hand.moved(s.keys.value, asked, s.frame.value, s.times.value.length);
    s.active.value = s.keys.value.findIndex((key) => key.frame === s.frame.value && key.corner === asked.corner);
  });
}

/** Take the places that the automatic way saw in this picture. */
export function asSeen(): void {
  const key = keyHere(), track = s.track.value;
  if (!key || !track) return;
  const row = rowOf(track, key.frame);
  batch(() => {
    remember();
    const points = new Map(s.points.value);
    for (const joint of key.joints) {
      const place = row < 0 ? null : middle(track, row, joint);
      if (place && !points.has(hand.at(key.frame, joint))) points.set(hand.at(key.frame, joint), place);
    }
    s.points.value = points;
  });
}

export function undo(): void {
  const before = s.history.value.at(-1);
  if (!before) return;
  batch(() => {
    s.history.value = s.history.value.slice(0, -1);
    s.points.value = before.points;
    s.keys.value = before.keys;
    s.active.value = before.active;
    s.chosen.value = null;
    s.said.value = "Taken back.";
  });
  const key = s.key.value;
  if (key && key.frame !== s.frame.value) void show(key.frame);
}

/** Nothing put by hand is left in this picture. */
export function clear(): void {
  batch(() => {
    remember();
    const points = new Map(s.points.value);
    for (const key of points.keys()) if (key.startsWith(`${s.frame.value} `)) points.delete(key);
    s.points.value = points;
    s.chosen.value = null;
  });
}

export async function sendHand(): Promise<void> {
  const before = s.film.value?.facts.points ?? [];
  const rows = hand.toServer(before, s.points.value, s.keys.value);
  if (rows.length === 0) {
    s.said.value = "Nothing has changed since it was measured.";
    return;
  }
  let film: Film | undefined;
  if (!(await tried(async () => { film = await ask.sendPoints(id, rows); }))) return;
  await afresh(film);
  batch(() => {
    s.doing.value = "look";
    s.view.value = null;
    s.said.value = `Measured anew, with ${s.whole.value} pictures by hand.`;
  });
}

// ---- the bed and the athlete

export async function sendBed(): Promise<void> {
  const line = s.bed.value;
  if (!line) return;
  const [a, b] = line[0][0] <= line[1][0] ? line : [line[1], line[0]];
  let film: Film | undefined;
  if (!(await tried(async () => { film = await ask.sendBed(id, [...a, ...b].map((v) => Math.round(v * 10) / 10)); }))) return;
  await afresh(film);
  s.doing.value = "look";
  s.said.value = film?.film.station ? `The bed is drawn, for every film from ${film.film.station}.` : "The bed is drawn.";
}
