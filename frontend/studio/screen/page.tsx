/** The studio from top to bottom: which flight, its picture and score, its landings, two beside each other, what to keep. */
import { useState } from "preact/hooks";
import type { Movement } from "../contract.ts";
import { moveKey } from "../plan.ts";
import { begin, fan, flown, forgive, linkOf, now, plan, presets, readFile, replay, said, search, setPlan, shown, stale, stopSearch, told, trouble } from "../state.ts";
import { phases, seconds, turns } from "../words.ts";
import { Beside, askTheQuestion } from "./beside.tsx";
import { Editor, Slide } from "./editor.tsx";
import { Fans, Movements } from "./landing.tsx";
import { Replayed } from "./replayed.tsx";
import { Score } from "./score.tsx";
import { Picture } from "./stage.tsx";

function Part({ name, id, children }: { name: string; id?: string; children: preact.ComponentChildren }) {
  return <section class="part" id={id}><h2>{name}</h2><div class="text">{children}</div></section>;
}

function Flights() {
  const now_ = plan.value?.preset ?? "";
  return (
    <>
      <div class="flights" role="group" aria-label="Flights to begin with">
        {presets.value.map((one) => <button type="button" key={one.key} aria-pressed={one.key === now_} onClick={() => { begin(one); }}>{one.name}<span class="quiet">{one.notation}</span></button>)}
      </div>
      {!presets.value.length && !trouble.value && <p class="quiet" role="status">The flights are worked out for this body; the first time takes some seconds …</p>}
      <p class="question"><button type="button" class="asks" onClick={askTheQuestion}>What does an arm ten milliseconds late do to a full-in and to a full-out?</button></p>
    </>
  );
}

function TakeOff() {
  const told = plan.value;
  if (!told) return null;
  const off = told.take_off;
  return (
    <details class="more"><summary>Body and take-off: {told.person.stature_cm} cm, {told.person.table} table, {told.person.age} years; {seconds(told.duration_s)} in the air</summary>
      <div class="slides">
        <Slide label="Height" value={told.person.stature_cm} least={100} most={200} step={1} unit="cm" onValue={(value) => { setPlan({ ...told, person: { ...told.person, stature_cm: value } }); }} />
        <Slide label="Time in the air" value={told.duration_s} least={0.8} most={2.2} step={0.01} unit="s" onValue={(value) => { setPlan({ ...told, duration_s: value, keys: told.keys.map((key) => ({ ...key, time_s: Math.min(key.time_s, value) })) }); }} />
        <Slide label="Spin put in at take-off" value={off.momentum_per_kg} least={-1.6} most={1.6} step={0.005} unit="m²/s" onValue={(value) => { setPlan({ ...told, take_off: { ...off, momentum_per_kg: value } }); }} />
        <Slide label="Lean to her right at take-off" value={off.tilt_deg} least={-15} most={15} step={0.5} unit="°" onValue={(value) => { setPlan({ ...told, take_off: { ...off, tilt_deg: value } }); }} />
      </div>
      <p class="quiet small">Spin at take-off is what she brings round with her: more of it turns her faster in every shape. Backward is positive; m²/s is angular momentum for each kilogram. The body is a model of this height: no weight is asked for.</p>
    </details>
  );
}

function Result() {
  const told = shown.value;
  if (!told) return null;
  const recorded = told !== flown.value;
  return <div class="result">{!recorded && <p class="notation" aria-label={`Notation ${told.result.notation}`}>{told.result.notation || "no notation"}</p>}<p class="finding">{told.result.sentence}</p></div>;
}

function Forgive() {
  const told = search.value;
  if (plan.value && !plan.value.aim) return <p class="quiet">This plan has no aim to land at, so nothing can be looked for. Begin with one of the flights that has.</p>;
  return (
    <>
      <p>Looks for the timing that lands closest to the aim when arms and spin are never quite as meant. It takes some seconds; nothing is changed until you take it. What it finds is a model’s timing and a place to look, nothing to be taught as it stands: a qualified coach decides.</p>
      <p class="keys">{told && !told.done
        ? <button type="button" onClick={() => void stopSearch()}>Stop looking</button>
        : <button type="button" class="main" onClick={() => void forgive()}>Find a forgiving plan</button>}</p>
      {told && !told.done && <p><progress max="1" value={told.share} aria-label="How far the search is" /> <span class="small">{told.sentence}</span></p>}
      {told?.done && told.trouble && <p class="notice" role="alert">{told.trouble}</p>}
      {told?.done && !told.found && !told.trouble && <p class="quiet">{told.sentence}.</p>}
      {told?.found && <div class="found">
        <p class="finding large">{told.found.sentence}</p>
        <div class="two"><section aria-label="Before"><h3>Before</h3><Fans fan={told.found.before} old={false} /></section><section aria-label="Found"><h3>Found</h3><Fans fan={told.found.fan} old={false} /></section></div>
        <p class="keys"><button type="button" onClick={() => { if (told.found) { setPlan(told.found.plan); said.value = "The found plan is now in the picture."; } }}>Take this plan into the picture</button></p>
      </div>}
    </>
  );
}

function Keep() {
  const [link, setLink] = useState("");
  const told = plan.value;
  if (!told) return null;
  const save = (): void => {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(new Blob([JSON.stringify(told, null, 1) + "\n"], { type: "application/json" }));
    a.download = `${told.name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "plan"}.json`;
    a.click();
    setTimeout(() => { URL.revokeObjectURL(a.href); }, 1000);
  };
  const makeLink = async (): Promise<void> => {
    const made = await linkOf();
    if (!made) return;
    const address = `${location.origin}${made.address}`;
    setLink(address);
    said.value = await navigator.clipboard?.writeText(address).then(() => "The link was copied.", () => "The link stands below.") ?? "The link stands below.";
  };
  const print = async (): Promise<void> => {
    const made = await linkOf();
    if (made) location.href = `/lab/card.pdf?plan=${made.code}`;
  };
  return (
    <>
      <label class="field"><span>Name of the plan</span><input type="text" maxLength={80} value={told.name} onChange={(event) => { setPlan({ ...told, name: event.currentTarget.value }); }} /></label>
      <p class="keys">
        <button type="button" onClick={save}>Save as a file</button>
        <label class="key opening-file">Open a file<input type="file" accept=".json,application/json" onChange={(event) => { const file = event.currentTarget.files?.[0]; if (file) void readFile(file); event.currentTarget.value = ""; }} /></label>
        <button type="button" onClick={() => void makeLink()}>Make a link</button>
        <button type="button" onClick={() => void print()}>Print a teaching card</button>
      </p>
      {link && <label class="field"><span>The plan as a link <span class="hint">(no name of a child is in it)</span></span><input type="text" readOnly value={link} onFocus={(event) => { event.currentTarget.select(); }} /></label>}
    </>
  );
}

function InWords() {
  if (!told.value) return null;
  const { plan: planned, flown: flight } = told.value, said_ = phases(planned, flight), step = Math.max(Math.round(0.1 / ((flight.frames.times_s[1] ?? 0.1) || 0.1)), 1);
  const rows = flight.frames.times_s.flatMap((time, n) => (n % step === 0 || n === flight.frames.times_s.length - 1 ? [{ time, n }] : []));
  return (
    <>
      <ol class="phases">{said_.map((one) => <li key={one.to}>{one.sentence}</li>)}</ol>
      <details><summary>The curves as a table</summary>
        <div class="scroll" role="group" aria-label="Curves as a table" tabIndex={0}><table class="short"><caption class="hidden">Somersault, tilt, twist and spin through the flight</caption>
          <thead><tr><th scope="col" class="num">s from take-off</th><th scope="col" class="num">Somersaults</th><th scope="col" class="num">Twists to the left</th><th scope="col" class="num">Leaning to her right, °</th><th scope="col" class="num">Spin, turns a second</th></tr></thead>
          <tbody>{rows.map(({ time, n }) => <tr key={n}><td class="num">{time.toFixed(2)}</td><td class="num">{turns(flight.curves.somersault_turns[n] ?? 0)}</td><td class="num">{turns(flight.curves.twist_turns[n] ?? 0)}</td><td class="num">{Math.round(flight.curves.tilt_deg[n] ?? 0)}</td><td class="num">{(flight.curves.spin_turns_per_s[n] ?? 0).toFixed(2)}</td></tr>)}</tbody>
        </table></div>
      </details>
      <p class="quiet small">{flight.verdict.sentence}</p>
    </>
  );
}

export function Page() {
  const late = (movement: Movement, by: number): void => {
    const told = plan.value;
    if (!told) return;
    setPlan(moveKey(told, movement.key, movement.time_s + by));
    now.value = told.duration_s;
    said.value = `Flown with ${movement.name} ${by > 0 ? "ten milliseconds late" : "ten milliseconds early"}. “Take back” undoes it.`;
  };
  return (
    <>
      <p class="hidden" role="status" aria-live="polite">{said.value}</p>
      <Part name="A flight"><Flights /></Part>
      {trouble.value && <p class="notice trouble" role="alert">{trouble.value}</p>}
      <Part name="The picture" id="picture"><Result /><Picture /></Part>
      {replay.value && <Part name="Recorded" id="recorded"><Replayed told={replay.value} /></Part>}
      <Part name="The plan" id="plan"><Score /><Editor /><TakeOff /></Part>
      <Part name="The landing" id="landing">
        {fan.value ? <>
          <Fans fan={fan.value} old={stale.value} />
          <p class="quiet small">{fan.value.count} flights of this plan. In each, every movement comes a little early or late by itself (10 ms) and the spin is a little more or less (2 %). Each ray is one landing; the thick arc holds half of them, the thin one nine of ten.</p>
          <h3>Ten milliseconds</h3>
          <Movements fan={fan.value} caption="What it does to the facing at landing, one movement at a time; touch a number to fly it" fly={late} />
          <details class="more"><summary>The same in sentences, and what else is unsure</summary><p class="finding">{fan.value.sentence}</p></details>
        </> : <p class="quiet">Not flown yet.</p>}
      </Part>
      <Part name="Two plans" id="beside"><Beside /></Part>
      <Part name="More forgiving" id="forgiving"><Forgive /></Part>
      <Part name="Keep it" id="keep"><Keep /></Part>
      <Part name="In words" id="words"><InWords /></Part>
    </>
  );
}
