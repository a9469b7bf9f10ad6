/** What is set once: the hand, the surfaces, the order, who marks; and what waits to be sent. */
import { useState } from "preact/hooks";
import * as act from "../actions.ts";
import * as s from "../state.ts";
import { Pick } from "./details.tsx";
import { currentLook, useLook } from "../look.ts";
import { Leaf } from "./sheets.tsx";

export function StationSheet() {
  const sheet = s.sheet.value;
  const now = s.station.value;
  const [look, setLook] = useState(currentLook());
  if (!sheet) return null;
  return (
    <Leaf title="This station">
      <Pick title="The thumb that writes" needed value={now.hand} set={(hand) => act.change({ hand: hand as s.Station["hand"] })} from={[{ key: "left", words: "left" }, { key: "right", words: "right" }]} />
      <Pick title="Page" needed value={look} set={(key) => { useLook(key); setLook(key); }} from={[{ key: "device", words: "as the device" }, { key: "light", words: "light" }, { key: "dark", words: "dark" }]} />
      <Pick title="Turns" needed value={now.inARow ? "row" : "round"} set={(key) => act.change({ inARow: key === "row" })} from={[{ key: "round", words: "one each, round and round" }, { key: "row", words: "all her turns in a row" }]} />
      <Pick title="From" needed value={now.takeOff || sheet.camp.take_off} set={(key) => act.change({ takeOff: key === sheet.camp.take_off ? "" : key })} from={sheet.take_offs} />
      <Pick title="Onto" needed value={now.landing || sheet.camp.landing} set={(key) => act.change({ landing: key === sheet.camp.landing ? "" : key })} from={sheet.landings} />
      <section><h3><label for="rater">Who marks here</label></h3>
        <input id="rater" type="text" autocomplete="name" maxLength={200} value={now.rater} onChange={(event) => act.change({ rater: event.currentTarget.value.trim() })} /></section>
      <Pick title="Keyboard" needed value={now.letters ? "on" : "off"} set={(key) => act.change({ letters: key === "on" })} from={[{ key: "on", words: "digits and letters write" }, { key: "off", words: "off" }]} />
      {sheet.plan ? <section><h3>The plan</h3><p>{sheet.plan.arithmetic}</p>{sheet.plan.warning ? <p class="notice">{sheet.plan.warning}</p> : null}</section> : null}
      <section><h3>This device</h3>
        <p>It is called “{sheet.device.name || "this machine"}”{sheet.device.second ? " and belongs to the second rater" : ""}. Today’s first names and bibs are kept on it.</p>
        {s.standing.value?.device ? <>
          <button type="button" data-act="leave" onClick={() => void act.leave()}>Leave the camp on this device</button>
          <p class="quiet">Leaving wipes the names. What waits to be sent is kept.</p></> : null}</section>
    </Leaf>
  );
}

export function WaitingSheet() {
  const waiting = s.waiting.value.length;
  return (
    <Leaf title={waiting ? `${waiting} waiting to send` : "All sent"} foot={<button type="button" data-act="send" onClick={() => void act.sendNow()}>Send now</button>}>
      <p>{lineSentence()}</p>
      {old() ? <p class="notice">Some of this has waited for more than a day. Bring this device near the laptop, or save the file.</p> : null}
      <section><h3>Without a network</h3>
        <p>Save what waits to a file and carry it to the laptop, which takes it in as if it had been sent. Sending it later as well does no harm: each result is kept once.</p>
        <button type="button" data-act="save-file" onClick={() => void act.saveFile()}>Save waiting results to a file</button></section>
      {s.refused.value.length ? (
        <section><h3>Not taken as it stood</h3>
          <ul class="plainlines">{s.refused.value.map((one) => <li key={one.id}>{one.fact.kind === "attempt" ? `${s.nameOf(one.fact.athlete)}, ${s.resultWords(one.fact)}. ` : ""}{one.why}</li>)}</ul>
          <p class="quiet">The head coach sees these on the laptop as well. They are in the file, too.</p></section>
      ) : null}
    </Leaf>
  );
}

function old(): boolean {
  const first = s.waiting.value[0];
  return first !== undefined && s.clock.value - Date.parse(first.at) > 24 * 3600 * 1000 && s.clock.value > 1e12;
}

export function lineSentence(): string {
  const said = s.said.value;
  if (said.sentence) return said.sentence;
  if (said.line === "no network") return "No network to the laptop just now. Go on writing: everything is kept on this device and sent by itself.";
  if (said.line === "busy") return "The laptop is busy. It is tried again by itself.";
  return s.waiting.value.length ? "On its way to the laptop." : "Everything written on this device is in the book.";
}
