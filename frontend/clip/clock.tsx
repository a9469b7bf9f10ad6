/** One clock from take-off: bodies along the parabola, turning, hip and knee, and the picture that is seen, on one line. */
import { useEffect, useRef, useState } from "preact/hooks";
import * as act from "./actions.ts";
import { bodyAt, centreOf, outline } from "./body.ts";
import type { Curves, Place, Track, Values } from "./contract.ts";
import * as s from "./state.ts";

const LEFT = 44, RIGHT = 14;

export interface Scale { low: number; high: number; start: number; end: number }
export const on = (scale: Scale, value: number) => scale.start + ((value - scale.low) / (scale.high - scale.low)) * (scale.end - scale.start);
export const figure = (value: number | null | undefined, digits: number) => (value === null || value === undefined ? "–" : value.toFixed(digits).replace("-", "−"));

/** The wide of a place on the page, for a drawing that is set anew when it changes. */
export function useWide() {
  const place = useRef<HTMLDivElement>(null);
  const [wide, setWide] = useState(0);
  useEffect(() => {
    const one = place.current;
    if (!one) return;
    const watching = new ResizeObserver(() => setWide(one.clientWidth));
    watching.observe(one);
    return () => watching.disconnect();
  }, []);
  return [place, wide] as const;
}

/** From the first picture to the last that the clock shows: the flight with a little on both sides, or the whole film. */
export function spanOf(times: readonly number[], flight: { takes_off_s: number | null; lands_s: number | null } | null, speed: number): [number, number] {
  const whole: [number, number] = [0, Math.max(0, times.length - 1)];
  const start = flight?.takes_off_s, end = flight?.lands_s;
  if (start === null || start === undefined || end === null || end === undefined) return whole;
  const inside = times.map((_, n) => n).filter((n) => (times[n] ?? 0) / speed >= start - 0.22 && (times[n] ?? 0) / speed <= end + 0.22);
  return inside.length > 1 ? [inside[0] ?? 0, inside.at(-1) ?? 0] : whole;
}

export function Clock() {
  const [place, wide] = useWide();
  const times = s.times.value, flight = s.flight.value, speed = s.film.value?.measured?.speed ?? 1;
  const [first, last] = spanOf(times, flight, speed);
  const frame = Math.min(Math.max(s.frame.value, 0), times.length - 1);
  const scale: Scale = { low: s.since(first), high: Math.max(s.since(last), s.since(first) + 0.1), start: LEFT, end: Math.max(wide - RIGHT, LEFT + 40) };
  const curves = s.film.value?.measured?.curves ?? null;
  const x = on(scale, s.since(frame));
  const outside = frame < first || frame > last;
  return (
    <div class="clock" ref={place}>
      {wide ? <>
        <Strip scale={scale} wide={wide} first={first} last={last} cursor={outside ? null : x} />
        {curves ? <Rows scale={scale} wide={wide} curves={curves} cursor={outside ? null : x} /> : null}
        <Ticks scale={scale} wide={wide} flight={flight !== null} />
        <label class="scrub" style={{ paddingLeft: `${LEFT - 12}px`, paddingRight: `${RIGHT - 12}px` }}><span class="hidden">Picture</span>
          <input type="range" min={first} max={last} value={frame} onInput={(event) => void act.show(Number(event.currentTarget.value))} aria-valuetext={spoken(frame)} /></label>
      </> : null}
    </div>
  );
}

export function valuesAt(curves: Curves | null, frame: number) {
  const n = curves ? curves.frame.indexOf(frame) : -1;
  const of = (values: Values | undefined) => (n < 0 ? null : values?.[n] ?? null);
  return { somersault: of(curves?.somersault_deg), hip: of(curves?.hip_flexion_deg), knee: of(curves?.knee_flexion_deg), up: of(curves?.mass_centre_up_m) };
}

/** Height over that at take-off, m. */
export function heightAt(curves: Curves | null, frame: number, takesOff: number | null | undefined): number | null {
  const up = valuesAt(curves, frame).up;
  if (!curves || up === null || takesOff === null || takesOff === undefined) return null;
  let best = 0;
  curves.time_s.forEach((t, n) => { if (Math.abs(t - takesOff) < Math.abs((curves.time_s[best] ?? 0) - takesOff)) best = n; });
  const ground = curves.mass_centre_up_m[best];
  return ground === null || ground === undefined ? null : up - ground;
}

export function spoken(frame: number): string {
  const curves = s.film.value?.measured?.curves ?? null, now = valuesAt(curves, frame);
  const parts = [`picture ${frame + 1}`, `${figure(s.since(frame), 2)} seconds ${s.flight.value ? "from take-off" : "into the film"}`];
  if (now.hip !== null) parts.push(`hip bent ${figure(now.hip, 0)} degrees`, `knee ${figure(now.knee, 0)}`);
  return parts.join(", ");
}

/** Bodies along the parabola: across is time, so that a flight on the spot can be read; up is the picture's own up. */
function Strip({ scale, wide, first, last, cursor }: { scale: Scale; wide: number; first: number; last: number; cursor: number | null }) {
  const track = s.track.value;
  if (!track) return null;
  const found = stripOf(track, { first, last, since: s.since, scale, size: wide < 560 ? 46 : 74 });
  if (!found) return null;
  const flight = s.flight.value;
  return (
    <svg class="strip-drawn" width={wide} height={found.high} viewBox={`0 0 ${wide} ${found.high}`} role="img" aria-label="Her body along the flight, one drawing each few pictures. Touch one to see its picture."
      onClick={(event) => void act.show(frameNear(event, scale, wide))}>
      {flight ? <Phases scale={scale} top={14} foot={found.high} /> : null}
      <polyline class="arc" points={found.path.map((one) => one.map((v) => v.toFixed(1)).join(",")).join(" ")} />
      {found.bodies.map((one) => <Figure key={one.frame} {...one} now={false} />)}
      {cursor !== null ? <line class="cursor" x1={cursor} x2={cursor} y1={0} y2={found.high} /> : null}
      {found.now(s.frame.value) ? <Figure {...found.now(s.frame.value) as Drawn} now /> : null}
    </svg>
  );
}

export interface Drawn { frame: number; trunk: Place[]; arm: Place[]; head: Place | null; thick: number }

export function stripOf(track: Track, set: { first: number; last: number; since: (n: number) => number; scale: Scale; size: number }) {
  const rows = track.frames.map((frame, row) => ({ frame, row })).filter((one) => one.frame >= set.first && one.frame <= set.last);
  const known = rows.flatMap((one) => {
    const body = bodyAt(track, one.row), centre = centreOf(body);
    return centre ? [{ ...one, body, centre }] : [];
  });
  if (known.length < 3) return null;
  const tall = Math.max(...known.map((one) => Math.max(...outline(one.body).trunk.map((p) => Math.abs(p[1] - one.centre[1])), 1))) * 2;
  const size = set.size / tall;
  const ups = known.map((one) => one.centre[1]), low = Math.max(...ups), high = Math.min(...ups);
  const pad = set.size * 0.66 + 16;
  const place = (one: { frame: number; centre: Place }): Place => [on(set.scale, set.since(one.frame)), pad + (one.centre[1] - high) * size];
  const drawn = (one: (typeof known)[number]): Drawn => {
    const [x, y] = place(one);
    const put = (p: Place): Place => [x + (p[0] - one.centre[0]) * size, y + (p[1] - one.centre[1]) * size];
    const lines = outline(one.body);
    return { frame: one.frame, trunk: lines.trunk.map(put), arm: lines.arm.map(put), head: lines.head ? put(lines.head) : null, thick: set.size / 13 };
  };
  const count = Math.max(3, Math.min(15, Math.floor((set.scale.end - set.scale.start) / (set.size * 0.72))));
  const picked = Array.from({ length: count }, (_, n) => known[Math.round((n * (known.length - 1)) / (count - 1))]).filter((one) => one !== undefined);
  return {
    high: pad + (low - high) * size + set.size * 0.62,
    path: known.map(place),
    bodies: picked.map(drawn),
    now: (frame: number): Drawn | null => {
      const here = known.find((one) => one.frame === frame);
      return here ? drawn(here) : null;
    },
  };
}

const line = (points: Place[]) => points.map((one) => `${one[0].toFixed(1)},${one[1].toFixed(1)}`).join(" ");

export function Figure({ trunk, arm, head, thick, now }: Drawn & { now: boolean }) {
  return <g class={now ? "body now" : "body"}>
    <polyline class="halo" points={line(trunk)} stroke-width={thick * 2} />
    <polyline points={line(trunk)} stroke-width={thick} />
    {arm.length > 1 ? <polyline points={line(arm)} stroke-width={thick * 0.55} /> : null}
    {head ? <circle cx={head[0]} cy={head[1]} r={thick * 0.95} /> : null}
  </g>;
}

export function phasesOf(flight: ReturnType<typeof flightNow>): { name: string; at: number }[] {
  if (!flight || flight.takes_off_s === null) return [];
  const found: { name: string; at: number }[] = [{ name: "take-off", at: 0 }];
  const { closing_s, opening_s, folded } = flight.phases;
  if (folded && closing_s !== null) found.push({ name: "closes", at: closing_s });
  if (folded && opening_s !== null) found.push({ name: "opens", at: opening_s });
  if (flight.lands_s !== null) found.push({ name: "landing", at: flight.lands_s - flight.takes_off_s });
  return found;
}
const flightNow = () => s.flight.value;

function Phases({ scale, top, foot }: { scale: Scale; top: number; foot: number }) {
  return <g class="phases">{phasesOf(s.flight.value).map((one, n, all) => {
    const x = on(scale, one.at), crowded = n > 0 && x - on(scale, (all[n - 1] as { at: number }).at) < 58;
    return <g key={one.name}><line x1={x} x2={x} y1={top + (crowded ? 14 : 2)} y2={foot} />
      <text x={x} y={top - 3 + (crowded ? 13 : 0)} text-anchor={one.name === "landing" ? "end" : n === 0 ? "start" : "middle"}>{one.name}</text></g>;
  })}</g>;
}

function frameNear(event: MouseEvent, scale: Scale, wide: number): number {
  const edges = (event.currentTarget as SVGElement).getBoundingClientRect();
  const x = ((event.clientX - edges.left) / edges.width) * wide;
  const t = scale.low + ((x - scale.start) / (scale.end - scale.start)) * (scale.high - scale.low);
  return act.atSeconds(t + (s.flight.value?.takes_off_s ?? 0));
}

interface Row { title: string; lines: { values: Values; name: string; broken: boolean }[]; step: number; unit: string }

function Rows({ scale, wide, curves, cursor }: { scale: Scale; wide: number; curves: Curves; cursor: number | null }) {
  const rows: Row[] = [
    { title: "Turned", lines: [{ values: curves.somersault_deg.map((v) => (v === null ? null : v / 360)), name: "", broken: false }], step: 0.5, unit: "turns" },
    { title: "Bent", lines: [{ values: curves.hip_flexion_deg, name: "hip", broken: false }, { values: curves.knee_flexion_deg, name: "knee", broken: true }], step: 45, unit: "°" },
  ];
  return <>{rows.map((row) => <Plot key={row.title} row={row} curves={curves} scale={scale} wide={wide} cursor={cursor} />)}</>;
}

function Plot({ row, curves, scale, wide, cursor }: { row: Row; curves: Curves; scale: Scale; wide: number; cursor: number | null }) {
  const high = 116, top = 26, foot = high - 8;
  const known = row.lines.flatMap((one) => one.values.filter((v) => v !== null));
  const low = Math.floor(Math.min(0, ...known) / row.step) * row.step, most = Math.max(Math.ceil(Math.max(...known, row.step) / row.step) * row.step, low + row.step);
  const down: Scale = { low, high: most, start: foot, end: top };
  const every = row.step * ((most - low) / row.step > 4 ? 2 : 1), from = Math.ceil(low / every);
  const marks = Array.from({ length: Math.floor(most / every) - from + 1 }, (_, n) => (from + n) * every);
  return (
    <svg class="plot" width={wide} height={high} viewBox={`0 0 ${wide} ${high}`} role="img" aria-label={`${row.title}: ${row.lines.map((one) => `${one.name} from ${figure(Math.min(...one.values.filter((v) => v !== null)), 1)} to ${figure(Math.max(...one.values.filter((v) => v !== null)), 1)} ${row.unit}`).join(", ")}. The same stands in the table below.`}
      onClick={(event) => void act.show(frameNear(event, scale, wide))}>
      <text class="title" x={0} y={14}>{row.title}, {row.unit}</text>
      {marks.map((v) => <g key={v}><line class="hair" x1={LEFT} x2={scale.end} y1={on(down, v)} y2={on(down, v)} /><text class="mark" x={LEFT - 7} y={on(down, v) + 4} text-anchor="end">{figure(v, row.step < 1 && v % 1 ? 1 : 0)}</text></g>)}
      {phasesOf(s.flight.value).map((one) => <line key={one.name} class="phase" x1={on(scale, one.at)} x2={on(scale, one.at)} y1={top} y2={foot} />)}
      {row.lines.map((one) => <g key={one.name} class={one.broken ? "curve broken" : "curve"}>
        {pieces(one.values, curves, scale, down).map((points, n) => <polyline key={n} points={points} />)}
        {one.name ? <Name values={one.values} curves={curves} scale={scale} down={down} name={one.name} others={row.lines.filter((other) => other !== one).map((other) => other.values)} /> : null}
      </g>)}
      {cursor !== null ? <line class="cursor" x1={cursor} x2={cursor} y1={0} y2={high} /> : null}
    </svg>
  );
}

/** A curve is broken where nothing is known. */
function pieces(values: Values, curves: Curves, scale: Scale, down: Scale): string[] {
  const found: string[][] = [[]];
  values.forEach((v, n) => {
    const t = s.since(curves.frame[n] ?? 0);
    if (v === null || t < scale.low || t > scale.high) found.push([]);
    else found.at(-1)?.push(`${on(scale, t).toFixed(1)},${on(down, v).toFixed(1)}`);
  });
  return found.filter((one) => one.length > 1).map((one) => one.join(" "));
}

function Name({ values, curves, scale, down, name, others }: { values: Values; curves: Curves; scale: Scale; down: Scale; name: string; others: Values[] }) {
  // Where it is bent most, which is where two curves lie farthest apart.
  let best = -1;
  values.forEach((v, n) => {
    const t = s.since(curves.frame[n] ?? 0);
    if (v !== null && t > scale.low + 0.45 * (scale.high - scale.low) && t < scale.low + 0.6 * (scale.high - scale.low) && (best < 0 || v > (values[best] ?? -Infinity))) best = n;
  });
  if (best < 0) return null;
  const y = on(down, values[best] ?? 0), top = others.every((other) => (other[best] ?? -Infinity) <= (values[best] ?? 0));
  return <text class="name" x={on(scale, s.since(curves.frame[best] ?? 0))} y={top ? y - 6 : Math.max(y + 16, down.end + 12)} text-anchor="middle">{name}</text>;
}

function Ticks({ scale, wide, flight }: { scale: Scale; wide: number; flight: boolean }) {
  const step = (scale.high - scale.low) / 0.2 > wide / 44 ? 0.5 : 0.2, ticks: number[] = [];
  for (let n = Math.ceil(scale.low / step); n * step <= scale.high; n++) ticks.push(n * step);
  return <svg class="ticks" width={wide} height={24} viewBox={`0 0 ${wide} 24`} aria-hidden="true">
    <line class="axis" x1={LEFT} x2={scale.end} y1={1} y2={1} />
    {ticks.map((t) => <g key={t}><line class="axis" x1={on(scale, t)} x2={on(scale, t)} y1={1} y2={5} /><text class="mark" x={on(scale, t)} y={18} text-anchor="middle">{Math.abs(t) < 1e-9 ? "0" : figure(t, 1)}</text></g>)}
    <text class="mark" x={0} y={18}>{flight ? "s" : "s"}</text>
  </svg>;
}
