/** The picture on its canvas, with what is drawn over it and what a finger, a mouse or a key does there. */
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import * as act from "./actions.ts";
import { FOUR, linesOf, rowOf, type Joint } from "./body.ts";
import type { Place } from "./contract.ts";
import { at } from "./hand.ts";
import * as s from "./state.ts";

const LOUPE = 132; // px of the page
const CLOSER = 3.2; // how much the loupe enlarges what the page shows
const GRAB = 26; // px of the page: so near to a joint it is taken up

interface Seen { left: number; top: number; wide: number; high: number }

/** Which part of the film is seen, px of the film, kept inside it where it fits. */
function seen(width: number, height: number): Seen {
  const view = s.view.value;
  const wide = Math.min(view?.wide ?? width, width), high = (wide * height) / width;
  const inside = (middle: number, size: number, most: number) => Math.min(Math.max(middle - size / 2, 0), most - size);
  return { left: inside(view?.x ?? width / 2, wide, width), top: inside(view?.y ?? height / 2, high, height), wide, high };
}

export function Stage() {
  const film = s.film.value?.film;
  const canvas = useRef<HTMLCanvasElement>(null), glass = useRef<HTMLCanvasElement>(null), box = useRef<HTMLDivElement>(null);
  const [finger, setFinger] = useState<Place | null>(null);
  const held = useRef<{ kind: "joint"; joint: Joint } | { kind: "end"; end: 0 | 1 } | { kind: "new" } | null>(null);
  const touches = useRef(new Map<number, Place>());
  const [wide, setWide] = useState(0);
  const width = film?.width ?? 16, height = film?.height ?? 9;
  const part = seen(width, height);
  const frame = s.frame.value, doing = s.doing.value;
  void s.drawn.value;

  useEffect(() => {
    const place = box.current;
    if (!place) return;
    const watching = new ResizeObserver(() => setWide(place.clientWidth));
    watching.observe(place);
    return () => watching.disconnect();
  }, []);
  // Before the page is painted: the number of a picture and the picture change together.
  useLayoutEffect(() => {
    const to = canvas.current, from = act.still();
    if (!to || !wide) return;
    const dense = Math.min(window.devicePixelRatio || 1, 2);
    const [w, h] = [Math.round(wide * dense), Math.round((wide * height * dense) / width)];
    if (to.width !== w || to.height !== h) [to.width, to.height] = [w, h];
    const pen = to.getContext("2d");
    if (!pen) return;
    // Nothing rather than the wrong picture.
    if (!from || frame < 0) pen.clearRect(0, 0, w, h);
    else drawPart(pen, from, part, [w, h], [width, height]);
  });
  useEffect(() => {
    const to = glass.current, from = act.still();
    const pen = to?.getContext("2d");
    if (!to || !pen || !from || !finger || !wide || frame < 0) return;
    const across = (LOUPE / CLOSER / wide) * part.wide;
    pen.fillRect(0, 0, to.width, to.height);
    drawPart(pen, from, { left: finger[0] - across / 2, top: finger[1] - across / 2, wide: across, high: across }, [to.width, to.height], [width, height]);
  });

  if (!film) return null;
  const px = wide ? part.wide / wide : 1; // px of the film for each px of the page
  function placeOf(event: PointerEvent): Place {
    const edges = (box.current as HTMLDivElement).getBoundingClientRect();
    return [part.left + ((event.clientX - edges.left) / edges.width) * part.wide, part.top + ((event.clientY - edges.top) / edges.height) * part.high];
  }
  function down(event: PointerEvent): void {
    if (doing === "look" || frame < 0 || event.button > 0) return;
    event.preventDefault();
    box.current?.setPointerCapture(event.pointerId);
    box.current?.focus({ preventScroll: true });
    const place = placeOf(event);
    touches.current.set(event.pointerId, place);
    if (touches.current.size > 1) {
      held.current = null;
      setFinger(null);
      return;
    }
    held.current = take(place);
    if (held.current?.kind === "joint") s.chosen.value = held.current.joint;
    setFinger(place);
  }
  function take(place: Place): typeof held.current {
    const far = (one: Place) => Math.hypot(one[0] - place[0], one[1] - place[1]) / px;
    if (doing === "bed" && s.bed.value) return { kind: "end", end: far(s.bed.value[0]) <= far(s.bed.value[1]) ? 0 : 1 };
    // A touch puts what is missing, however near another joint lies; once all are put, it takes up the nearest.
    if (doing === "hand" && s.joint.value === null) {
      const near = jointsHere(frame).filter(([, one]) => far(one) < GRAB).sort((a, b) => far(a[1]) - far(b[1]))[0];
      if (near) return { kind: "joint", joint: near[0] };
    }
    return { kind: "new" };
  }
  function move(event: PointerEvent): void {
    const known = touches.current.get(event.pointerId);
    if (!known) return;
    const place = placeOf(event);
    if (touches.current.size === 2) pinch(event.pointerId, place);
    else if (held.current) {
      setFinger(place);
      if (held.current.kind === "end") moveEnd(held.current.end, place);
    }
    if (touches.current.size < 2) touches.current.set(event.pointerId, place);
  }
  /** Two fingers make the picture larger or smaller and shift it. */
  function pinch(finger: number, now: Place): void {
    const other = [...touches.current].find(([n]) => n !== finger)?.[1], before = touches.current.get(finger);
    if (!other || !before) return;
    const grown = Math.hypot(now[0] - other[0], now[1] - other[1]) / Math.max(1, Math.hypot(before[0] - other[0], before[1] - other[1]));
    const wide = Math.min(Math.max(part.wide / grown, width / 16), width);
    s.view.value = { wide, x: part.left + part.wide / 2 - (now[0] - before[0]) / 2, y: part.top + part.high / 2 - (now[1] - before[1]) / 2 };
  }
  function up(event: PointerEvent): void {
    const place = placeOf(event), what = held.current;
    touches.current.delete(event.pointerId);
    if (what && event.type === "pointerup") {
      if (what.kind === "joint") act.put(place, what.joint);
      else if (what.kind === "new" && doing === "hand") act.put(place);
      else if (what.kind === "new" && doing === "her") void act.follow(model(), { x: round(place[0]), y: round(place[1]), frame });
    }
    held.current = null;
    setFinger(null);
  }
  function pressed(event: KeyboardEvent): void {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (event.ctrlKey && event.key === "z") act.undo();
    else if (event.key === "," || event.key === ".") void act.step(event.key === "," ? -1 : 1);
    else if (way && doing !== "look") nudge(way as Place, event.shiftKey ? 10 : 1);
    else if (way && way[0]) void act.step(way[0]);
    else if (event.key === "Enter" && doing === "hand") act.put(cross());
    else if (event.key === "Enter" && doing === "her") void act.follow(model(), { x: round(cross()[0]), y: round(cross()[1]), frame });
    else return;
    event.preventDefault();
  }
  const [aim, setAim] = useState<Place | null>(null);
  const cross = (): Place => aim ?? [part.left + part.wide / 2, part.top + part.high / 2];
  function nudge(way: Place, by: number): void {
    const moved = (one: Place): Place => [one[0] + way[0] * by, one[1] + way[1] * by];
    const joint = s.chosen.value, here = joint ? s.points.value.get(at(frame, joint)) : undefined;
    if (doing === "bed" && s.bed.value) moveEnd(end.current, moved(s.bed.value[end.current]));
    else if (doing === "hand" && joint && here) act.put(moved(here), joint);
    else setAim(moved(cross()));
  }
  const end = useRef<0 | 1>(0);
  function moveEnd(which: 0 | 1, place: Place): void {
    end.current = which;
    if (s.bed.value) s.bed.value = which === 0 ? [place, s.bed.value[1]] : [s.bed.value[0], place];
  }

  const loupe = finger && wide ? besideFinger(finger, part, wide) : null;
  return (
    <div class={`stage ${doing}`} ref={box} tabIndex={0} role="application" aria-roledescription="picture of the film" aria-label={label()}
      onPointerDown={down} onPointerMove={move} onPointerUp={up} onPointerCancel={up} onKeyDown={pressed}
      style={{ aspectRatio: `${width} / ${height}` }} data-frame={frame} data-sure={s.sure.value ? "yes" : "no"}>
      <canvas ref={canvas} />
      <svg viewBox={`${part.left} ${part.top} ${part.wide} ${part.high}`} aria-hidden="true">
        {s.skeleton.value && doing !== "hand" ? <Skeleton px={px * (wide < 560 && !s.view.value ? 0.6 : 1)} /> : null}
        {s.bed.value && (doing === "bed" || doing === "look") ? <Bed px={px} hold={doing === "bed"} /> : null}
        {doing === "hand" ? <Joints px={px} text={wide >= 560} /> : null}
        {aim && (doing === "hand" || doing === "her") ? <Cross place={aim} px={px} /> : null}
        {finger ? <Cross place={finger} px={px} /> : null}
      </svg>
      {frame < 0 ? <p class="nothing">{s.film.value?.job && !s.job.value?.over ? "The copy for the browser is being made." : "The picture comes."}</p> : null}
      {loupe ? <div class="loupe" style={{ left: `${loupe[0]}px`, top: `${loupe[1]}px` }}><canvas ref={glass} width={LOUPE * 2} height={LOUPE * 2} /><i /></div> : null}
    </div>
  );
}

const round = (value: number) => Math.round(value * 10) / 10;
const model = () => document.querySelector<HTMLInputElement>('input[name="follow-model"]:checked')?.value ?? "heavy";

function label(): string {
  const doing = s.doing.value, n = s.frame.value + 1;
  if (doing === "hand") return `Picture ${n}. Arrow keys move the cross or the joint, shift for larger steps, Enter puts the ${s.joint.value ?? "joint"} there.`;
  if (doing === "bed") return `Picture ${n}. Arrow keys move the end of the bed that was touched last.`;
  if (doing === "her") return `Picture ${n}. Arrow keys move the cross, Enter says that she is there.`;
  return `Picture ${n} of ${s.times.value.length}. Arrow keys go to the picture before and after.`;
}

function drawPart(pen: CanvasRenderingContext2D, from: HTMLCanvasElement, part: Seen, to: [number, number], film: [number, number]): void {
  const across = from.width / film[0], down = from.height / film[1]; // the copy may be smaller than the film
  pen.drawImage(from, part.left * across, part.top * down, part.wide * across, part.high * down, 0, 0, to[0], to[1]);
}

/** Above the finger, or beside it where there is no room above. */
function besideFinger(finger: Place, part: Seen, wide: number): Place {
  const scale = wide / part.wide, high = part.high * scale;
  const x = (finger[0] - part.left) * scale, y = (finger[1] - part.top) * scale;
  const over = y > LOUPE + 34;
  const left = over ? x - LOUPE / 2 : x > wide / 2 ? x - LOUPE - 48 : x + 48;
  return [Math.min(Math.max(left, 0), wide - LOUPE), over ? y - LOUPE - 34 : Math.min(Math.max(y - LOUPE / 2, 0), Math.max(0, high - LOUPE))];
}

function jointsHere(frame: number): [Joint, Place][] {
  return [...FOUR, "toe" as const].flatMap((joint) => {
    const place = s.points.value.get(at(frame, joint));
    return place ? [[joint, place] as [Joint, Place]] : [];
  });
}

function Skeleton({ px }: { px: number }) {
  const track = s.track.value;
  const row = track ? rowOf(track, s.frame.value) : -1;
  if (!track || row < 0) return null;
  const lines = linesOf(track, row);
  return <g class="skeleton">
    {(["edge", "ink"] as const).map((kind) => lines.map((line) => <line class={`${kind} ${line.side}`} x1={line.from[0]} y1={line.from[1]} x2={line.to[0]} y2={line.to[1]} stroke-width={(kind === "edge" ? 5 : 2.4) * px} stroke-dasharray={line.side === "right" && kind === "ink" ? `${6 * px} ${4 * px}` : undefined} />))}
  </g>;
}

function Bed({ px, hold }: { px: number; hold: boolean }) {
  const line = s.bed.value;
  if (!line) return null;
  const [a, b] = line;
  return <g class="bed">
    {["edge", "ink"].map((kind) => <line class={kind} x1={a[0]} y1={a[1]} x2={b[0]} y2={b[1]} stroke-width={(kind === "edge" ? 4 : 1.6) * px} />)}
    {hold ? line.map((one) => ["edge", "ink"].map((kind) => <circle class={kind} cx={one[0]} cy={one[1]} r={13 * px} stroke-width={(kind === "edge" ? 4 : 1.8) * px} />)) : null}
  </g>;
}

function Joints({ px, text }: { px: number; text: boolean }) {
  const here = jointsHere(s.frame.value), places = here.map(([, place]) => place.join(",")).join(" ");
  return <g class="joints">
    {["edge", "ink"].map((kind) => <polyline class={kind} points={places} stroke-width={(kind === "edge" ? 4 : 1.4) * px} />)}
    {here.map(([joint, place]) => <g key={joint} class={s.joint.value === joint ? "held" : ""}>
      {["edge", "ink"].map((kind) => <circle class={kind} cx={place[0]} cy={place[1]} r={8 * px} stroke-width={(kind === "edge" ? 4.5 : 2) * px} />)}
      {text || s.joint.value === joint ? <text x={place[0] + 12 * px} y={place[1] + 5 * px} font-size={14 * px} stroke-width={3.5 * px}>{joint}</text> : null}
    </g>)}
  </g>;
}

function Cross({ place, px }: { place: Place; px: number }) {
  const [x, y] = place, r = 16 * px, gap = 4 * px;
  const d = `M${x - r},${y}H${x - gap}M${x + gap},${y}H${x + r}M${x},${y - r}V${y - gap}M${x},${y + gap}V${y + r}`;
  return <g class="cross"><path class="edge" d={d} stroke-width={4 * px} /><path class="ink" d={d} stroke-width={1.5 * px} /></g>;
}
