/** The film's place on its page: picture, keys to step, the clock, and what can be put right by touch. */
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import * as act from "./actions.ts";
import { Clock, figure, heightAt, phasesOf, valuesAt } from "./clock.tsx";
import { Hand } from "./hand-panel.tsx";
import * as s from "./state.ts";
import { Stage } from "./stage.tsx";

export function Page() {
  const film = s.film.value;
  if (!film) return <p class="quiet">{s.trouble.value || "The film is looked up."}</p>;
  return <>
    <Work />
    {s.trouble.value ? <p class="notice" role="alert">{s.trouble.value}</p> : null}
    <p class="said" role="status">{s.said.value}</p>
    <Stage />
    {s.sure.value ? null : <p class="quiet">This browser does not say which picture it shows; it was sent to the middle of the one that is named.</p>}
    <Keys />
    {s.doing.value === "look" ? <><Reading /><Clock /><Doings /></> : s.doing.value === "hand" ? <Hand /> : s.doing.value === "bed" ? <BedPanel /> : <HerPanel />}
  </>;
}

/** To the picture before and after, slowly and as it was. */
function Keys() {
  const n = s.frame.value, last = s.times.value.length - 1, playing = s.playing.value;
  const look = s.doing.value === "look";
  return (
    <div class="steps" role="group" aria-label="Go through the film">
      <button type="button" data-act="back" disabled={n <= 0} onClick={() => void act.step(-1)} aria-label="Picture before"><Arrow left /></button>
      <output class="where"><b>{n < 0 ? "–" : n + 1}</b> of {last + 1}</output>
      <button type="button" data-act="on" disabled={n >= last} onClick={() => void act.step(1)} aria-label="Picture after"><Arrow /></button>
      {look ? <span class="plays">
        <button type="button" class="plain" data-act="slow" aria-pressed={playing === 0.25} onClick={() => act.play(0.25)}>{playing === 0.25 ? "Stop" : "Slowly"}</button>
        <button type="button" class="plain" data-act="play" aria-pressed={playing === 1} onClick={() => act.play(1)}>{playing === 1 ? "Stop" : "As it was"}</button>
        <button type="button" class="plain" data-act="closer" aria-pressed={s.view.value !== null} onClick={() => (s.view.value ? (s.view.value = null) : act.nearer())}>Close up</button>
      </span> : <span class="plays">
        <button type="button" class="plain" onClick={() => act.nearer()}>Closer</button>
        <button type="button" class="plain" disabled={!s.view.value} onClick={() => act.farther()}>Wider</button>
      </span>}
    </div>
  );
}

function Arrow({ left = false }: { left?: boolean }) {
  return <svg width="22" height="22" viewBox="0 0 22 22" aria-hidden="true"><path d={left ? "M14 3 6 11l8 8" : "M8 3l8 8-8 8"} fill="none" stroke="currentColor" stroke-width="2.4" /></svg>;
}

/** What is known at the picture that is seen. */
function Reading() {
  const curves = s.film.value?.measured?.curves ?? null, n = s.frame.value, now = valuesAt(curves, n);
  const up = heightAt(curves, n, s.flight.value?.takes_off_s);
  if (n < 0 || !s.flight.value) return null;
  const parts: [string, string][] = [
    ["in the air", `${figure(s.since(n), 2)} s`], ["up", up === null ? "–" : `${figure(up, 2)} m`],
    ["turned", now.somersault === null ? "–" : `${figure(now.somersault / 360, 2)}`],
    ["hip", now.hip === null ? "–" : `${figure(now.hip, 0)}°`], ["knee", now.knee === null ? "–" : `${figure(now.knee, 0)}°`],
  ];
  return <dl class="now">{parts.map(([name, value]) => <div key={name}><dt>{name}</dt><dd class="finding">{value}</dd></div>)}</dl>;
}

function Doings() {
  const flights = s.film.value?.measured?.flights ?? [], chosen = s.film.value?.measured?.chosen_flight;
  const slowed = s.flight.value?.slowed ?? 1;
  return <>
    {phasesOf(s.flight.value).length > 1 ? <div class="keys phases-list" role="group" aria-label="Parts of the flight">
      {phasesOf(s.flight.value).map((one) => <button type="button" class="plain" key={one.name} onClick={() => void act.show(act.atSeconds(one.at + (s.flight.value?.takes_off_s ?? 0)))}>{one.name} <span class="finding">{figure(one.at, 2)} s</span></button>)}
    </div> : null}
    {flights.length > 1 ? <div class="keys" role="group" aria-label="Which flight is meant">
      {flights.map((one, n) => <button type="button" class="plain" key={one.number} aria-pressed={chosen === one.number} onClick={() => void act.chooseFlight(n)}>Flight {one.number}, {figure(one.takes_off_s, 1)} s into the film</button>)}
    </div> : null}
    {slowed > 1 ? <div class="notice"><p>By gravity this film plays {slowed} times slower than life. Look at what the phone was set to, and confirm it.</p>
      <p class="keys"><button type="button" onClick={() => void act.confirmSpeed(slowed)}>It is {slowed} times slowed down</button></p></div> : null}
    <h3>Put right</h3>
    <div class="keys" role="group" aria-label="Put right">
      <button type="button" data-act="hand" onClick={() => act.turnTo("hand")}>Joints by hand</button>
      <button type="button" data-act="bed" onClick={() => act.turnTo("bed")}>{s.film.value?.facts.bed ? "The bed’s line" : "Draw the bed’s line"}</button>
      <button type="button" data-act="her" onClick={() => act.turnTo("her")}>Point at her</button>
      <button type="button" class="plain" aria-pressed={s.skeleton.value} onClick={() => { s.skeleton.value = !s.skeleton.value; }}>Skeleton on the film</button>
    </div>
  </>;
}

/** How far the work is, watched, and stopped where somebody wants that. */
function Work() {
  const job = s.job.value;
  if (!job) return null;
  if (job.over) return job.error ? <p class="notice" role="alert">{job.error}</p> : job.state === "cancelled" ? <p class="notice">The work was stopped. What was measured before stays.</p> : null;
  const says = job.says ? job.says[0]?.toUpperCase() + job.says.slice(1) : "Waits its turn";
  return <div class="notice work"><p><label>{says}, {Math.round(job.share * 100)} %<progress max={1} value={job.share}>{Math.round(job.share * 100)} %</progress></label></p>
    <p class="keys"><button type="button" data-act="cancel" onClick={() => void act.cancel()}>Stop the work</button></p></div>;
}

/** A panel under the picture, which takes the focus when it opens. */
export function Panel({ title, children }: { title: string; children: ComponentChildren }) {
  const head = useRef<HTMLHeadingElement>(null);
  useEffect(() => head.current?.focus({ preventScroll: true }), []);
  return <section class="panel" aria-label={title}><h3 ref={head} tabIndex={-1}>{title}</h3>{children}</section>;
}

function BedPanel() {
  const line = s.bed.value;
  return <Panel title="The bed’s line">
    <p>Draw both rings to the two ends of the bed’s surface, as the camera sees it from the side where she jumps. One line serves every film {s.film.value?.film.station ? `from ${s.film.value.film.station}` : "of this camera place"} at this camp.</p>
    {line ? <p class="data quiet">From {Math.round(line[0][0])}, {Math.round(line[0][1])} to {Math.round(line[1][0])}, {Math.round(line[1][1])} in pixels of the film.</p> : null}
    <p class="keys"><button type="button" class="main" data-act="send-bed" disabled={s.busy.value} onClick={() => void act.sendBed()}>Keep this line and measure</button><button type="button" data-act="leave" onClick={() => act.turnTo("look")}>Leave it</button></p>
  </Panel>;
}

function HerPanel() {
  return <Panel title="Point at her">
    <p>Go to a picture in which she stands or flies open, and touch her hips. She is followed from there, forward and backward.</p>
    <fieldset class="field"><legend>How</legend><div class="choices wide">{[["heavy", "Surest, slower"], ["full", "In between"], ["lite", "Quickest"]].map(([key, words]) =>
      <label key={key}><input type="radio" name="follow-model" value={key} defaultChecked={key === "heavy"} />{words}</label>)}</div></fieldset>
    <p class="keys"><button type="button" onClick={() => void act.follow(document.querySelector<HTMLInputElement>('input[name="follow-model"]:checked')?.value ?? "heavy", null)}>Follow whoever flies</button><button type="button" data-act="leave" onClick={() => act.turnTo("look")}>Leave it</button></p>
  </Panel>;
}
