/** The keys under the thumb: what became of the turn, in one touch. */
import * as act from "../actions.ts";
import * as s from "../state.ts";
import { Form, type Kind } from "./forms.tsx";

interface Key { letter: string; kind: Kind; words: string; result: act.Result; wide?: boolean }

const TAKEN: Key[] = [
  { letter: "4", kind: "short", words: "Short", result: { outcome: "tried", rotation: "short" } },
  { letter: "5", kind: "over", words: "Over", result: { outcome: "tried", rotation: "over" } },
  { letter: "6", kind: "tried", words: "Tried, not yet", result: { outcome: "tried" } },
];
const BLANK: Key[] = [
  { letter: "7", kind: "stopped", words: "Stopped", result: { outcome: "stopped" } },
  { letter: "8", kind: "declined", words: "Declined", result: { outcome: "declined" } },
  { letter: "9", kind: "not_tried", words: "Not tried", result: { outcome: "not_tried" } },
  { letter: "0", kind: "absent", words: "Absent", result: { outcome: "absent" } },
  { letter: "-", kind: "not_allowed", words: "Not allowed today", result: { outcome: "not_allowed" }, wide: true },
];

function did(help: string): act.Result {
  return { outcome: "did_it", help };
}

function ResultKey({ of, class: name = "" }: { of: Key; class?: string }) {
  return (
    <button type="button" class={`result ${name} ${of.wide ? "wide" : ""}`} data-result={of.kind} onClick={() => void act.write(of.result)}>
      <Form kind={of.kind} />
      <span>{of.words}</span>
      <kbd>{of.letter}</kbd>
    </button>
  );
}

export function Keys() {
  const help = s.station.value.help;
  if (!s.who.value) return null;
  return (
    <section class="keys" aria-label="What became of her turn">
      <Written />
      <Who />
      <Rungs />
      <div class="pad">
        <button type="button" class="result main" data-result="alone" onClick={() => void act.write(did("nobody_in"))}>
          <Form kind="alone" size={30} />
          <span>Did it, <b>nobody in</b></span>
          <kbd>1</kbd>
        </button>
        {help ? (
          <button type="button" class="result half" data-result="helped" onClick={() => void act.write(did(help))}>
            <Form kind="helped" />
            <span>Did it, <b>{s.wordsOf("helps", help)}</b></span>
            <kbd>2</kbd>
          </button>
        ) : null}
        <button type="button" class={`result ${help ? "half" : "full"}`} data-result="other-help" aria-haspopup="dialog" onClick={() => act.armed() && (s.dialog.value = { name: "help" })}>
          {help ? null : <Form kind="helped" />}
          <span>Did it, {help ? "other" : "with"} help …</span>
          <kbd>3</kbd>
        </button>
        {TAKEN.map((one) => <ResultKey key={one.kind} of={one} />)}
        {BLANK.map((one) => <ResultKey key={one.kind} of={one} class="blank" />)}
      </div>
    </section>
  );
}

function Written() {
  const last = s.last.value;
  return (
    <div class="written">
      {last ? (
        <>
          <p><span class="tick" aria-hidden="true"><Form kind={s.last.value ? kind(last) : "tried"} size={20} /></span> <b>{s.nameOf(last.athlete)}</b> {s.resultWords(last)}</p>
          <button type="button" data-act="undo" onClick={() => void act.takeBack(last.id)}>Undo</button>
          <button type="button" data-act="add" aria-haspopup="dialog" onClick={() => (s.dialog.value = { name: "add", attempt: last.id })}>Add …</button>
        </>
      ) : (
        <p class="quiet">Nothing written just now.</p>
      )}
    </div>
  );
}

function kind(one: { outcome: string; help: string; rotation: string }): Kind {
  if (one.outcome === "did_it") return one.help === "nobody_in" ? "alone" : "helped";
  if (one.outcome === "tried" && (one.rotation === "short" || one.rotation === "over")) return one.rotation;
  return one.outcome as Kind;
}

function Who() {
  return (
    <div class="row then" aria-label="Somebody else" role="group">
      {s.then.value.map((one) => (
        <button key={one.athlete.id} type="button" data-act="then" onClick={() => act.choose(one.athlete.id)}>
          <small>{one.athlete.bib}</small> <span>{one.athlete.name}</span>
        </button>
      ))}
      <button type="button" class="tool" data-act="later" onClick={() => act.later()}>Later</button>
      <button type="button" class="tool" data-act="find" aria-haspopup="dialog" onClick={() => (s.dialog.value = { name: "who" })}>Find</button>
    </div>
  );
}

function Rungs() {
  const rung = s.rung.value;
  const own = rung !== s.stationRung.value;
  const shown = s.tested.value.some((one) => one.key === rung) ? s.tested.value : [...s.tested.value, ...(s.rungs.value.get(rung) ? [s.rungs.value.get(rung)!] : [])];
  return (
    <div class="row rungs" role="group" aria-label="Her rung">
      {shown.map((one) => (
        <button key={one.key} type="button" data-rung={one.key} aria-pressed={one.key === rung} onClick={() => act.takeRung(one.key, false)}>{one.short || one.name}</button>
      ))}
      {own ? <button type="button" class="tool" data-act="everybody" onClick={() => act.takeRung(rung, true)}>All do it</button> : null}
      <button type="button" class="tool" data-act="rungs" aria-haspopup="dialog" aria-label="Another rung" onClick={() => (s.dialog.value = { name: "rungs" })}>…</button>
    </div>
  );
}

/** The keyboard of the laptop; nothing happens while something is being typed, or where it is switched off. */
export function onKey(event: KeyboardEvent): void {
  const at = event.target as HTMLElement;
  if (event.repeat || event.ctrlKey || event.metaKey || event.altKey || s.dialog.value || !s.station.value.letters) return;
  if (/^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) || !s.who.value) return;
  const work = keyboard(event.key);
  if (!work) return;
  event.preventDefault();
  work();
}

function keyboard(key: string): (() => void) | undefined {
  const result = [...TAKEN, ...BLANK].find((one) => one.letter === key)?.result;
  if (result) return () => void act.write(result);
  const last = s.last.value;
  const help = s.station.value.help;
  const works: Record<string, () => void> = {
    "1": () => void act.write(did("nobody_in")),
    "2": () => void (help ? act.write(did(help)) : (s.dialog.value = { name: "help" })),
    "3": () => (s.dialog.value = { name: "help" }),
    "/": () => (s.dialog.value = { name: "who" }),
    f: () => (s.dialog.value = { name: "who" }),
    l: () => act.later(),
    r: () => (s.dialog.value = { name: "rungs" }),
    u: () => void (last && act.takeBack(last.id)),
    a: () => void (last && (s.dialog.value = { name: "add", attempt: last.id })),
  };
  return works[key];
}
