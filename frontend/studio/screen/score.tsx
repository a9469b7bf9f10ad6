/** The score: one line of time through everything. Strip on top, key poses to drag, joints and turning underneath. */
import { useEffect, useRef, useState } from "preact/hooks";
import { JOINTS, angleIn, keyName, moveKey } from "../plan.ts";
import { chosen, flown, now, plan, playing, setPlan } from "../state.ts";
import { seconds, turns, valueAt } from "../words.ts";
import { Strip, across, EDGE } from "./strip.tsx";

const TARGET = 46; // px, of a key pose under a thumb
const LANES = ["hips", "knees", "left arm", "right arm", "head"];

/** In which row each handle stands, so that none lies over another. */
export function rowsOf(places: readonly number[], room: number): number[] {
  const ends: number[] = [];
  return places.map((place) => {
    const free = ends.findIndex((end) => place - room / 2 >= end);
    const row = free < 0 ? ends.length : free;
    ends[row] = place + room / 2;
    return row;
  });
}

function Handles({ width }: { width: number }) {
  const told = plan.value;
  const held = useRef<{ x: number; time: number; moved: boolean } | null>(null);
  if (!told) return null;
  const end = told.duration_s, pixels = (width * (100 - 2 * EDGE)) / 100;
  const rows = rowsOf(told.keys.map((key) => (across(key.time_s, end) / 100) * width), TARGET);
  const move = (number: number, time: number): void => {
    if (Math.abs(time - (plan.peek()?.keys[number]?.time_s ?? time)) > 1e-6 && plan.peek()) {
      setPlan(moveKey(plan.peek() ?? told, number, time), held.current === null ? "soon" : held.current.moved ? "more" : "first");
      if (held.current) held.current.moved = true;
    }
    const there = plan.peek()?.keys[number]?.time_s;
    if (there !== undefined) now.value = there;
  };
  return (
    <div class="handles" style={{ height: `${(Math.max(0, ...rows) + 1) * TARGET + 2}px` }}>
      {told.keys.map((key, n) => (
        <button
          type="button" key={n} class="handle" role="slider" aria-pressed={undefined} data-chosen={chosen.value === n} data-key={n}
          aria-label={`Key pose ${n + 1}, ${keyName(told, n)}: its time`} aria-valuemin={0} aria-valuemax={end} aria-valuenow={key.time_s} aria-valuetext={seconds(key.time_s)}
          style={{ left: `${across(key.time_s, end)}%`, top: `${(rows[n] ?? 0) * TARGET}px` }}
          onFocus={() => { chosen.value = n; }}
          onClick={() => { chosen.value = n; playing.value = false; now.value = key.time_s; }}
          onPointerDown={(event) => {
            event.currentTarget.setPointerCapture(event.pointerId);
            event.currentTarget.focus();
            held.current = { x: event.clientX, time: key.time_s, moved: false };
            chosen.value = n;
            playing.value = false;
          }}
          onPointerMove={(event) => {
            if (held.current && event.currentTarget.hasPointerCapture(event.pointerId)) move(n, held.current.time + ((event.clientX - held.current.x) / pixels) * end);
          }}
          onPointerUp={() => { held.current = null; }}
          onPointerCancel={() => { held.current = null; }}
          onKeyDown={(event) => {
            const step = { ArrowLeft: -0.01, ArrowDown: -0.01, ArrowRight: 0.01, ArrowUp: 0.01, PageDown: -0.05, PageUp: 0.05, Home: -9, End: 9 }[event.key];
            if (step === undefined) return;
            event.preventDefault();
            playing.value = false;
            move(n, key.time_s + step);
          }}
        ><span>{n + 1}</span></button>
      ))}
    </div>
  );
}

interface Line {
  name: string;
  values: number[];
  told: (value: number) => string;
  dots?: { time: number; value: number; chosen: boolean }[];
  zero?: boolean;
}

function Row({ line, end }: { line: Line; end: number }) {
  const least = Math.min(...line.values), most = Math.max(...line.values), high = 100;
  const span = Math.max(most - least, 1e-6), flatLine = most - least < 1e-3;
  const y = (value: number): number => (flatLine ? high / 2 : 8 + (high - 16) * (1 - (value - least) / span));
  const last = line.values.length - 1;
  return (
    <div class="row">
      <div class="rowlabel"><span>{line.name}</span><Reading line={line} /></div>
      <div class="plot">
        <svg viewBox={`0 0 1000 ${high}`} preserveAspectRatio="none" aria-hidden="true">
          {line.zero && least < 0 && most > 0 && <line class="zero" x1="0" x2="1000" y1={y(0)} y2={y(0)} />}
          <polyline class="curve" points={line.values.map((value, n) => `${(10 * across((end * n) / last, end)).toFixed(1)} ${y(value).toFixed(1)}`).join(" ")} />
        </svg>
        {line.dots?.map((dot, n) => <i key={n} class="dot" data-chosen={dot.chosen} style={{ left: `${across(dot.time, end)}%`, top: `${y(dot.value)}%` }} />)}
      </div>
    </div>
  );
}

function Reading({ line }: { line: Line }) {
  const told = flown.value;
  return <b>{told ? line.told(valueAt(told.frames.times_s, line.values, now.value)) : ""}</b>;
}

/** Small, so that while it plays nothing larger is drawn anew. */
function Moment({ end }: { end: number }) {
  return (
    <div class="row time"><label class="rowlabel" for="moment"><span>Moment</span><b>{seconds(now.value)}</b></label><div class="plot open">
      <input id="moment" type="range" min="0" max={end} step="0.01" value={now.value} aria-valuetext={seconds(now.value)} onInput={(event) => { playing.value = false; now.value = Number(event.currentTarget.value); }} />
    </div></div>
  );
}

function Needle({ end }: { end: number }) {
  return <i class="needle" style={{ left: `${across(now.value, end)}%` }} aria-hidden="true" />;
}

export function Score() {
  const box = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    if (!box.current) return;
    const sized = new ResizeObserver(([entry]) => { if (entry) setWidth(Math.floor(entry.contentRect.width)); });
    sized.observe(box.current);
    return () => { sized.disconnect(); };
  }, []);
  const told = flown.value, planned = plan.value;
  const end = told?.frames.times_s.at(-1) ?? 1;
  const joints: Line[] = told && planned ? LANES.flatMap((name) => {
    const joint = JOINTS.find((one) => one.name === name);
    if (!joint) return [];
    const column = told.body.angle_names.indexOf(joint.angles[0] ?? "");
    const values = told.frames.angles_deg.map((row) => row[column] ?? 0);
    if (name === "head" && !planned.keys.some((key) => angleIn(key, joint))) return [];
    const dots = planned.keys.flatMap((key, n) => { const value = angleIn(key, joint); return value === null ? [] : [{ time: key.time_s, value, chosen: chosen.value === n }]; });
    return [{ name: `${name[0]?.toUpperCase()}${name.slice(1)}`, values, dots, told: (value: number) => `${Math.round(value)}°`.replace("-", "−") }];
  }) : [];
  const c = told?.curves;
  const turning: Line[] = c ? [
    { name: "Somersaults", values: c.somersault_turns, told: turns },
    { name: "Twists", values: c.twist_turns, told: (value) => (Math.abs(value) < 0.005 ? "0.00" : `${Math.abs(value).toFixed(2)} ${value > 0 ? "left" : "right"}`), zero: true },
    { name: "Leaning", values: c.tilt_deg, told: (value) => (Math.round(value) === 0 ? "0°" : `${Math.round(Math.abs(value))}° to her ${value > 0 ? "right" : "left"}`), zero: true },
    { name: "Spin, turns a second", values: c.spin_turns_per_s, told: (value) => value.toFixed(1) },
  ] : [];
  return (
    <div class="score">
      <div class="row tall"><div class="rowlabel" /><div class="plot open" ref={box}>{told && width > 0 && <Strip flown={told} width={width} label={`Strip: the body from take-off to landing, seen from the side. ${told.result.sentence}`} />}</div></div>
      <Moment end={end} />
      <div class="row keysrow"><div class="rowlabel"><span>Key poses</span><b class="hint">drag, or arrow keys</b></div><div class="plot open">{width > 0 && <Handles width={width} />}</div></div>
      {joints.map((line) => <Row key={line.name} line={line} end={end} />)}
      <p class="between4">Turning</p>
      {turning.map((line) => <Row key={line.name} line={line} end={end} />)}
      <div class="needles"><div class="plot"><Needle end={end} /></div></div>
    </div>
  );
}
