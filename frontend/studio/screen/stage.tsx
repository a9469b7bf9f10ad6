/** The picture: the figure in three dimensions with its cameras and its clock. Without WebGL the strip below says the same. */
import { effect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Stage, View } from "../scene.ts";
import { drawn, flat, ghosts, now, play, playing, replay, show, type Shown, showing, shown, speed, view } from "../state.ts";
import { seconds } from "../words.ts";

const VIEWS: [View, string][] = [["side", "From the side"], ["front", "From the front"], ["with her", "With her"]];
const SPEEDS: [number, string][] = [[1, "as in life"], [0.25, "4 times slower"], [0.1, "10 times slower"]];
const SHOWN: [Shown, string][] = [["measured", "As measured"], ["mechanics", "By mechanics alone"], ["plan", "The plan"]];
const STEP = 0.02; // s

function Canvas() {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const drop: (() => void)[] = [];
    let gone = false;
    void (async () => {
      const surface = canvas.current;
      if (!surface) return;
      let stage: Stage;
      try {
        stage = (await import("../scene.ts")).openStage(surface);
      } catch {
        flat.value = true;
        return;
      }
      if (gone) return;
      (surface as HTMLCanvasElement & { stage?: Stage }).stage = stage;
      const sized = new ResizeObserver(() => { stage.resize(); });
      sized.observe(surface);
      const dark = matchMedia("(prefers-color-scheme: dark)");
      dark.addEventListener("change", stage.look);
      drop.push(
        () => { sized.disconnect(); },
        () => { dark.removeEventListener("change", stage.look); },
        effect(() => { if (shown.value) stage.show(shown.value); }),
        effect(() => { stage.at(now.value); }),
        effect(() => { stage.view(view.value); }),
        effect(() => { stage.ghosts(ghosts.value); }),
        effect(() => {
          const last = drawn.value;
          if (last) requestAnimationFrame(() => { performance.measure("drag to picture", { start: last.since, end: performance.now() }); });
        }),
      );
      stage.resize();
    })();
    return () => { gone = true; for (const one of drop) one(); };
  }, []);

  const held = useRef<{ x: number; y: number } | null>(null);
  const turn = (around: number, over: number): void => { (canvas.current as (HTMLCanvasElement & { stage?: Stage }) | null)?.stage?.turn(around, over); };
  return (
    <canvas
      ref={canvas} class="picture" role="img" tabIndex={0} aria-label="The figure in three dimensions. Arrow keys walk round it. What it does stands below in sentences and in a table."
      onPointerDown={(event) => { held.current = { x: event.clientX, y: event.clientY }; event.currentTarget.setPointerCapture(event.pointerId); }}
      onPointerMove={(event) => {
        if (!held.current) return;
        turn((event.clientX - held.current.x) * 0.008, event.pointerType === "touch" ? 0 : (event.clientY - held.current.y) * 0.006);
        held.current = { x: event.clientX, y: event.clientY };
      }}
      onPointerUp={() => { held.current = null; }}
      onPointerCancel={() => { held.current = null; }}
      onKeyDown={(event) => {
        const way = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1] }[event.key];
        if (!way) return;
        event.preventDefault();
        turn(way[0] ?? 0, way[1] ?? 0);
      }}
    />
  );
}

export function Clock() {
  const end = shown.value?.frames.times_s.at(-1) ?? 1;
  return (
    <div class="clock">
      <button type="button" class="main" onClick={play}>{playing.value ? "Pause" : "Play"}</button>
      <button type="button" aria-label="One step back" onClick={() => { playing.value = false; now.value = Math.max(now.value - STEP, 0); }}>◁ Step</button>
      <button type="button" aria-label="One step on" onClick={() => { playing.value = false; now.value = Math.min(now.value + STEP, end); }}>Step ▷</button>
      <label class="pace"><span class="hidden">How fast it plays</span>
        <select value={String(speed.value)} onChange={(event) => { speed.value = Number(event.currentTarget.value); }}>{SPEEDS.map(([value, words]) => <option key={value} value={String(value)}>{words}</option>)}</select>
      </label>
      <output class="moment">{seconds(now.value)}</output>
    </div>
  );
}

export function Picture() {
  return (
    <div class="stage">
      {replay.value && <div class="cameras shown" role="group" aria-label="Which flight is in the picture">
        {SHOWN.map(([name, words]) => <button type="button" key={name} aria-pressed={showing.value === name} onClick={() => { show(name); }}>{words}</button>)}
      </div>}
      {flat.value
        ? <p class="notice">This browser draws no pictures in three dimensions. The strip below shows the same flight from the side, and the table further down says it in numbers.</p>
        : <>
          <Canvas />
          <div class="cameras" role="group" aria-label="Camera">
            {VIEWS.map(([name, words]) => <button type="button" key={name} aria-pressed={view.value === name} onClick={() => { view.value = name; }}>{words}</button>)}
            <button type="button" aria-pressed={ghosts.value} onClick={() => { ghosts.value = !ghosts.value; }}>Ghosts</button>
          </div>
        </>}
      <Clock />
      <p class="small quiet">Panels in the colour of the paper: her chest and face. Rings: her left wrist and shin. The way from bed to mat is drawn out so that bodies do not hide each other; the model does not travel. {showing.value === "plan" || !replay.value ? "She is drawn leaning an eighth of a turn at take-off: recorded doubles turn about a quarter less in the air than their name says." : "Recorded: it begins and ends as it was measured; where bed and mat were is not known, and the lowest joint stands on the ground."}{flat.value ? "" : " Drag across the picture to walk round her."}</p>
    </div>
  );
}
