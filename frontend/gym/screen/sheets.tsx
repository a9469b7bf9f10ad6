/** What opens over the keys: find somebody, the help scale, other rungs, details, the station, what waits. */
import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import * as act from "../actions.ts";
import { found, type InLine } from "../day.ts";
import * as s from "../state.ts";
import { Add, Child } from "./details.tsx";
import { Form, kindOf } from "./forms.tsx";
import { StationSheet, WaitingSheet } from "./station.tsx";

export function Over() {
  const open = s.dialog.value;
  switch (open?.name) {
    case "who": return <Find />;
    case "help": return <Helps />;
    case "rungs": return <AllRungs />;
    case "station": return <StationSheet />;
    case "waiting": return <WaitingSheet />;
    case "add": return <Add key={open.attempt} id={open.attempt} />;
    case "child": return <Child athlete={open.athlete} />;
    default: return null;
  }
}

/** A sheet over the page; closing it is never a loss. */
export function Leaf({ title, children, foot, onClose }: { title: string; children: ComponentChildren; foot?: ComponentChildren; onClose?: () => void }) {
  const dialog = useRef<HTMLDialogElement>(null);
  // Before the next key arrives: what is typed at once must not fall beside the sheet.
  useLayoutEffect(() => {
    const it = dialog.current;
    if (it && !it.open) it.showModal();
  }, []);
  function close(): void {
    onClose?.();
    s.dialog.value = null;
  }
  return (
    <dialog ref={dialog} class="leaf" aria-label={title} onCancel={(event) => { event.preventDefault(); close(); }}
      onClick={(event) => { if (event.target === dialog.current) close(); }}>
      <div class="leaf-page">
        <header><h2>{title}</h2></header>
        <div class="leaf-body" tabIndex={-1}>{children}</div>
        <footer>{foot}<button type="button" class="solid" data-act="close" onClick={close}>{onClose ? "Done" : "Close"}</button></footer>
      </div>
    </dialog>
  );
}

function Find() {
  const [typed, type] = useState("");
  const field = useRef<HTMLInputElement>(null);
  useLayoutEffect(() => {
    if (window.matchMedia("(hover: hover) and (pointer: fine)").matches) field.current?.focus();
  }, []);
  const rows = found(s.line.value, typed);
  const hit = rows[0];
  return (
    <Leaf title="Who is it?" foot={
      <form class="search" onSubmit={(event) => { event.preventDefault(); if (hit) act.choose(hit.athlete.id); }}>
        <label><span class="hidden">First name or bib</span>
          <input ref={field} type="search" autocomplete="off" placeholder="First name or bib" value={typed} onInput={(event) => type(event.currentTarget.value)} /></label>
      </form>}>
      <Line rows={rows} />
      {rows.length === 0 ? <Nobody typed={typed} /> : null}
    </Leaf>
  );
}

/** Only today's names are on a device, so somebody else has to be let onto the list first. */
function Nobody({ typed }: { typed: string }) {
  const [looked, look] = useState(0);
  const camp = s.sheet.value?.camp.id ?? "";
  return (
    <div class="nobody" role="status">
      <p>Nobody on today’s list has a first name or bib that begins with “{typed}”.</p>
      {s.standing.value?.role === "head_coach" ? (
        <><p>If she is in the book, “Add” beside her name puts her on the list. What waits here is kept meanwhile.</p>
          <a class="touch" href={`/camps/${camp}/expected`}>Who is expected</a></>
      ) : (
        <p>This device holds today’s first names and no others. The head coach adds her at the laptop: Who is expected, “Add” beside her name. Then she stands here.</p>
      )}
      <button type="button" data-act="look-again" onClick={() => { void act.refresh().then(() => look(looked + 1)); }}>Look again</button>
      <p class="quiet">{looked ? (s.said.value.line === "no network" ? "There is no network to the laptop just now. Write her down on paper meanwhile, or take the others first." : "Looked again: she is not on the list yet.") : ""}</p>
    </div>
  );
}

/** Where she stands in the line, in words; turns count on every device of this seat. */
function placeWords(one: InLine): string {
  switch (one.place) {
    case "had her turns": return `had her ${s.wanted.value} ${s.wanted.value === 1 ? "turn" : "turns"}`;
    case "off": return "not again on this rung";
    case "away": return "absent";
    default: return "";
  }
}

/** Everybody in the order of the line, with her turns on this rung. */
export function Line({ rows }: { rows: InLine[] }) {
  const list = useRef<HTMLOListElement>(null);
  const current = s.who.value?.athlete.id;
  useEffect(() => list.current?.querySelector("[aria-current]")?.scrollIntoView({ block: "nearest" }), [current]);
  return (
    <ol class="line" ref={list}>
      {rows.map((one) => (
        <li key={one.athlete.id} class={one.place.replaceAll(" ", "-")} aria-current={one.athlete.id === current ? "true" : undefined}>
          <button type="button" data-athlete={one.athlete.id} onClick={() => act.choose(one.athlete.id)}>
            <small>{one.athlete.bib}</small>
            <span class="name">{one.athlete.name}</span>
            <span class="turns">{one.seen.map((turn) => <Form key={turn.id} kind={kindOf(turn)} size={19} />)}{one.turns > one.seen.length ? <span class="elsewhere" aria-hidden="true">{one.seen.length ? "+" : ""}{one.turns - one.seen.length} elsewhere</span> : null}<span class="hidden">{one.turns} {one.turns === 1 ? "turn" : "turns"}{one.turns > one.seen.length ? `, ${one.turns - one.seen.length} on another device` : ""}</span></span>
            <em>{placeWords(one)}</em>
          </button>
        </li>
      ))}
    </ol>
  );
}

function Helps() {
  const helps = (s.sheet.value?.helps ?? []).filter((one) => one.key !== "nobody_in").sort((a, b) => a.order - b.order);
  return (
    <Leaf title={`${s.who.value?.athlete.name ?? "She"} did it. With what help?`}>
      <ol class="scale" aria-label="From the most help to the least">
        {helps.map((one) => (
          <li key={one.key}><button type="button" data-help={one.key} onClick={() => void act.write({ outcome: "did_it", help: one.key })}>{one.words}</button></li>
        ))}
      </ol>
    </Leaf>
  );
}

function AllRungs() {
  const [everybody, all] = useState(false);
  const sheet = s.sheet.value;
  const heads = new Map((sheet?.groups ?? []).map((one) => [one.key, one.name]));
  const groups = [...new Set((sheet?.rungs ?? []).map((one) => one.group))];
  return (
    <Leaf title="Which rung?" foot={<label class="tickbox"><input type="checkbox" checked={everybody} onChange={(event) => all(event.currentTarget.checked)} /> for everybody from now</label>}>
      {groups.map((group) => (
        <section key={group}>
          <h3>{heads.get(group) ?? group}</h3>
          <ul class="plainlist">
            {(sheet?.rungs ?? []).filter((one) => one.group === group).map((one) => (
              <li key={one.key}><button type="button" data-rung={one.key} aria-pressed={one.key === s.rung.value} onClick={() => { act.takeRung(one.key, everybody); s.dialog.value = null; }}>{one.name}</button></li>
            ))}
          </ul>
        </section>
      ))}
    </Leaf>
  );
}
