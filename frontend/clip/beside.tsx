/** Two films of one child on one clock that starts at take-off: two pictures at the same instant of two flights. */
import { signal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import * as ask from "./asking.ts";
import type { Film, Track } from "./contract.ts";
import { Figure, figure, on, stripOf, useWide, valuesAt, type Drawn, type Scale } from "./clock.tsx";
import { nearestTo } from "./frames.ts";
import { openPlayer, type Player } from "./player.ts";

interface Side { film: Film; track: Track; player: Player; frame: number; leaves: number; lands: number; speed: number; name: string }

const sides = signal<readonly Side[]>([]);
const trouble = signal("");
const drawn = signal(0);
const time = signal(0); // s from take-off

async function side(id: string, name: string): Promise<Side> {
  const film = await ask.askFilm(id), track = await ask.askTrack(id);
  const number = film.measured?.chosen_flight, flight = number ? film.measured?.flights[number - 1] : undefined;
  if (!film.film.proxy || !film.measured || !flight || flight.takes_off_s === null) throw new ask.Said("Both films have to be measured, and shown, before they can be laid beside each other.");
  const one: Side = { film, track, name, frame: -1, leaves: flight.takes_off_s, lands: flight.lands_s ?? flight.takes_off_s + 1.5, speed: film.measured.speed, player: null as never };
  one.player = await openPlayer(film.film.proxy, track.clip_times_s, (frame) => { one.frame = frame; drawn.value++; });
  return one;
}

export async function beginBeside(first: string, second: string, names: [string, string]): Promise<void> {
  try {
    sides.value = await Promise.all([side(first, names[0]), side(second, names[1])]);
    await to(0.3);
  } catch (error) {
    trouble.value = error instanceof ask.Said ? error.message : "The films cannot be shown here. Load the page again.";
  }
}

async function to(t: number): Promise<void> {
  time.value = t;
  await Promise.all(sides.value.map((one) => one.player.show(nearestTo(one.track.clip_times_s, (one.leaves + t) * one.speed))));
}

export function Beside() {
  const both = sides.value, t = time.value;
  void drawn.value;
  if (trouble.value) return <p class="notice" role="alert">{trouble.value}</p>;
  if (both.length < 2) return <p class="quiet">The films are looked up.</p>;
  const last = Math.max(...both.map((one) => one.lands - one.leaves)) + 0.2, step = 1 / Math.max(...both.map((one) => one.film.film.rate), 30);
  return <>
    <div class="two">{both.map((one) => <figure key={one.film.film.id}><Still of={one} /><figcaption>{one.name}: picture {one.frame + 1}. {told(one)}</figcaption></figure>)}</div>
    <div class="steps" role="group" aria-label="Go through both films">
      <button type="button" data-act="back" onClick={() => void to(Math.max(-0.2, t - step))}>Before</button>
      <output class="where"><b>{figure(t, 2)}</b> s in the air</output>
      <button type="button" data-act="on" onClick={() => void to(Math.min(last, t + step))}>After</button>
    </div>
    <Strips last={last} />
    <label class="scrub"><span class="hidden">Seconds from take-off</span><input type="range" min={-0.2} max={last} step={step} value={t} aria-valuetext={`${figure(t, 2)} seconds from take-off`} onInput={(event) => void to(Number(event.currentTarget.value))} /></label>
  </>;
}

function told(one: Side): string {
  const now = valuesAt(one.film.measured?.curves ?? null, one.frame);
  return now.hip === null ? "" : `Turned ${figure(now.somersault === null ? null : now.somersault / 360, 2)}, hip ${figure(now.hip, 0)}°, knee ${figure(now.knee, 0)}°.`;
}

function Still({ of }: { of: Side }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useLayoutEffect(() => {
    const to = canvas.current, from = of.player.still;
    if (!to || of.frame < 0) return;
    [to.width, to.height] = [from.width, from.height];
    to.getContext("2d")?.drawImage(from, 0, 0);
  });
  return <canvas ref={canvas} data-frame={of.frame} role="img" aria-label={`${of.name}, picture ${of.frame + 1}`} />;
}

/** One strip of bodies under the other, on the same clock. */
function Strips({ last }: { last: number }) {
  const [place, wide] = useWide();
  useEffect(() => undefined, [wide]);
  const scale: Scale = { low: -0.2, high: last, start: 14, end: Math.max(wide - 14, 60) }, x = on(scale, time.value);
  return <div class="clock" ref={place}>{wide ? sides.value.map((one) => {
    const times = one.track.clip_times_s, since = (n: number) => (times[n] ?? 0) / one.speed - one.leaves;
    const inside = times.map((_, n) => n).filter((n) => since(n) >= -0.2 && since(n) <= one.lands - one.leaves + 0.2);
    const found = stripOf(one.track, { first: inside[0] ?? 0, last: inside.at(-1) ?? 0, since, scale, size: wide < 560 ? 42 : 64 });
    if (!found) return null;
    const now: Drawn | null = found.now(one.frame);
    return <svg key={one.film.film.id} class="strip-drawn" width={wide} height={found.high} viewBox={`0 0 ${wide} ${found.high}`} role="img" aria-label={`${one.name}: her body along the flight`}
      onClick={(event) => { const edges = event.currentTarget.getBoundingClientRect(); void to(scale.low + ((event.clientX - edges.left - scale.start) / (scale.end - scale.start)) * (scale.high - scale.low)); }}>
      <text class="title" x={0} y={14}>{one.name}</text>
      <line class="phase" x1={on(scale, 0)} x2={on(scale, 0)} y1={20} y2={found.high} /><line class="phase" x1={on(scale, one.lands - one.leaves)} x2={on(scale, one.lands - one.leaves)} y1={20} y2={found.high} />
      <polyline class="arc" points={found.path.map((p) => `${p[0].toFixed(1)},${p[1].toFixed(1)}`).join(" ")} />
      {found.bodies.map((body) => <Figure key={body.frame} {...body} now={false} />)}
      <line class="cursor" x1={x} x2={x} y1={20} y2={found.high} />
      {now ? <Figure {...now} now /> : null}
    </svg>;
  }) : null}</div>;
}
