/** The page: who is next, how the round stands, and the keys. */
import { useEffect, useState } from "preact/hooks";
import * as act from "../actions.ts";
import { paceWords } from "../day.ts";
import * as s from "../state.ts";
import { Flight, Form, kindOf } from "./forms.tsx";
import { Keys, onKey } from "./keys.tsx";
import { Line, Over } from "./sheets.tsx";
import { lineSentence } from "./station.tsx";

export function Page() {
  useEffect(() => {
    document.addEventListener("keydown", onKey);
    return () => document.removeEventListener("keydown", onKey);
  }, []);
  if (!s.ready.value) return <p class="opening quiet">Opening the book …</p>;
  const sheet = s.sheet.value;
  const full = sheet !== null && (s.station.value.rater || sheet.device.rater);
  return (
    <div class="gym" data-hand={s.station.value.hand} data-armed={!s.resting.value} data-written={s.onDisk.value}>
      <Head />
      <main id="page">
        <Notices />
        {!sheet ? <Door /> : !full ? <Rater /> : <Bed />}
      </main>
      {sheet && full ? <aside class="side" aria-label="The line"><h2>The line</h2><Line rows={s.line.value} /></aside> : null}
      <Over />
      <p class="hidden" role="status">{s.announced.value}</p>
    </div>
  );
}

function Head() {
  const waiting = s.waiting.value.length;
  const camp = s.sheet.value?.camp;
  return (
    <header class="head">
      {s.standing.value?.role === "head_coach" ? <a class="bookname" href="/">Loftbook</a> : <span class="bookname">Loftbook</span>}
      <p class="place">{camp ? <>{camp.name}{camp.bed ? <span class="bed">, {camp.bed}</span> : null}{s.sheet.value?.device.second ? ", second rater" : ""}{camp.invented ? " ◇ invented" : ""}</> : null}</p>
      <button type="button" class="sent" data-act="waiting" data-waiting={waiting} data-line={s.said.value.line} aria-haspopup="dialog" onClick={() => (s.dialog.value = { name: "waiting" })}>
        {waiting ? <><b>{waiting}</b> waiting to send</> : s.said.value.line === "no network" ? "no network" : "all sent"}
      </button>
      {s.sheet.value ? <button type="button" data-act="station" aria-haspopup="dialog" onClick={() => (s.dialog.value = { name: "station" })}>Station</button> : null}
    </header>
  );
}

function Notices() {
  const lines: string[] = [];
  if (s.trouble.value) lines.push(s.trouble.value);
  if (s.bare.value) lines.push(s.waiting.value.length ? "No certificate on this device: do not close or reload this page until it says all sent." : "No certificate on this device: keep this page open. It cannot come back without a network.");
  if (s.said.value.clock) lines.push(s.said.value.clock);
  const out = s.sheet.value !== null && (!s.letIn.value || s.said.value.line === "not let in");
  return (
    <div class="notices">
      {s.lost.value ? <Lost count={s.lost.value.count} at={s.lost.value.at} /> : null}
      {lines.map((one) => <p key={one} class="notice" role="status">{one}</p>)}
      {s.trouble.value && s.waiting.value.length ? <button type="button" data-act="save-file" onClick={() => void act.saveFile()}>Save waiting results to a file</button> : null}
      {out ? <Out /> : null}
      {s.refused.value.length ? <p class="notice"><button type="button" class="link" onClick={() => (s.dialog.value = { name: "waiting" })}>{s.refused.value.length === 1 ? "One result was not taken as it stood" : `${s.refused.value.length} results were not taken as they stood`}: see why</button></p> : null}
    </div>
  );
}

/** The browser has emptied its store: the results themselves are gone, and a coach must know which to write again. */
function Lost({ count, at }: { count: number; at: number }) {
  const when = new Date(at).toLocaleString([], { weekday: "short", hour: "2-digit", minute: "2-digit" });
  return (
    <div class="notice" role="alert">
      <p><b>{count === 1 ? "One result is gone from this device." : `${count} results are gone from this device.`}</b> The browser has emptied what this page kept. {count === 1 ? "It" : "They"} had not been sent by {when}. Everything sent before is in the book.</p>
      <p>What to do: at the laptop, look which turns are missing on the camp’s page, and write them again from paper or memory, today. Then put this page on the home screen, so that the browser keeps its store.</p>
      <button type="button" data-act="loss-seen" onClick={() => void act.lossSeen()}>Seen</button>
    </div>
  );
}

/** This device is no longer let in: what waits is kept, and can be handed over. */
function Out() {
  return (
    <div class="notice" role="alert">
      <p>{s.said.value.sentence || "The laptop does not let this device in any more."} {s.waiting.value.length ? "What waits is kept here." : ""}</p>
      {s.waiting.value.length ? <button type="button" data-act="save-file" onClick={() => void act.saveFile()}>Save waiting results to a file</button> : null}
      <details><summary>Let this device in again</summary><Pairing /></details>
    </div>
  );
}

function Door() {
  const standing = s.standing.value;
  if (standing?.role === "read") return <section class="door"><h1>To read only</h1><p>This device may look into the book, not write in it. <a href="/">To the book</a></p></section>;
  if (standing?.role) return <section class="door"><h1>No camp yet</h1><p>There is no camp with children on its list. Make one on the laptop, then come back here.</p><button type="button" onClick={() => void act.refresh()}>Look again</button></section>;
  return (
    <section class="door">
      <h1>Let this device in</h1>
      <p>On the laptop, open “Let a device in”. Point the camera at the square, or type the short code here.</p>
      <Pairing />
    </section>
  );
}

function Pairing() {
  const [why, say] = useState("");
  async function send(event: SubmitEvent): Promise<void> {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    say(await act.pair(String(form.get("code") ?? "")));
  }
  return (
    <form class="pairing" onSubmit={(event) => void send(event as SubmitEvent)}>
      <label>Code <input name="code" required autocomplete="off" autocapitalize="characters" spellcheck={false} maxLength={12} placeholder="K7M-3QX" /></label>
      <button class="solid">Let it in</button>
      <p role="alert">{why}</p>
    </form>
  );
}

function Rater() {
  return (
    <section class="door">
      <h1>Who marks here?</h1>
      <form class="pairing" onSubmit={(event) => { event.preventDefault(); act.change({ rater: String(new FormData(event.currentTarget as HTMLFormElement).get("rater") ?? "").trim() }); }}>
        <label>Name <input name="rater" required autocomplete="name" maxLength={200} /></label>
        <button class="solid">Begin</button>
      </form>
      <p class="quiet">It stands beside every result that is written here.</p>
    </section>
  );
}

function Bed() {
  const her = s.now.value;
  const look = s.roundGlance.value;
  if (!her) return <Through />;
  const rung = s.rungs.value.get(s.rung.value);
  return (
    <>
      <section class="next">
        <p class="rungline">{rung?.name}, turn {her.turns + 1}{her.turns < s.wanted.value ? ` of ${s.wanted.value}` : ""}{her.seen.length ? <span class="sofar" aria-label="so far">{her.seen.map((one) => <Form key={one.id} kind={kindOf(one)} size={20} />)}</span> : null}</p>
        <h1><button type="button" data-act="child" data-athlete={her.athlete.id} aria-haspopup="dialog" onClick={() => (s.dialog.value = { name: "child", athlete: her.athlete.id })}>
          {her.athlete.bib ? <span class="bib">{her.athlete.bib}</span> : null}<span class="name">{her.athlete.name}</span></button></h1>
        {s.stop.value ? <Stop /> : null}
        {look ? (
          <div class="glance">
            <Flight line={s.line.value} round={look.round} current={her.athlete.id} />
            <p><b>{look.toCome}</b> still to come in round {look.round} <span aria-hidden="true">·</span> <b>{look.had}</b> of {look.expected} in all{look.minutes === null ? "" : <> <span aria-hidden="true">·</span> {paceWords(look.minutes)}</>}</p>
          </div>
        ) : null}
        {s.said.value.line === "no network" ? <p class="offline quiet">{lineSentence()}</p> : null}
      </section>
      <Keys />
    </>
  );
}

/** It suggests and never blocks: the keys stay where they are. */
function Stop() {
  return (
    <div class="stop" role="alert">
      <p>{s.stop.value}</p>
      <button type="button" data-act="carry-on" onClick={() => act.carryOn()}>Seen</button>
    </div>
  );
}

function Through() {
  const rungs = s.tested.value;
  const at = rungs.findIndex((one) => one.key === s.stationRung.value);
  const next = rungs[at + 1];
  return (
    <section class="door through">
      <h1>Everybody has had her turns</h1>
      <p>{s.rungs.value.get(s.stationRung.value)?.name}: nobody is still to come on this rung.</p>
      {next ? <button type="button" class="solid" data-act="next-rung" onClick={() => act.takeRung(next.key, true)}>Next rung: {next.name}</button> : null}
      <button type="button" data-act="rungs" onClick={() => (s.dialog.value = { name: "rungs" })}>Another rung</button>
      <button type="button" data-act="find" onClick={() => (s.dialog.value = { name: "who" })}>One more turn for somebody</button>
      {s.last.value ? <button type="button" data-act="undo" onClick={() => void act.takeBack(s.last.value!.id)}>Undo: {s.nameOf(s.last.value.athlete)}, {s.resultWords(s.last.value)}</button> : null}
    </section>
  );
}
