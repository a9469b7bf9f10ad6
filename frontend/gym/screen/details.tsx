/** What is added to a result when there is time: note, marks, rotation, surfaces; and last camp's marks, afterwards. */
import { useState } from "preact/hooks";
import * as act from "../actions.ts";
import type { Attempt, Earlier } from "../contract.ts";
import * as s from "../state.ts";
import { Form, kindOf } from "./forms.tsx";
import { Leaf } from "./sheets.tsx";

type Draft = Pick<Attempt, "outcome" | "help" | "rotation" | "take_off" | "landing" | "marks" | "note">;

export function Add({ id }: { id: string }) {
  const old = s.attempts.value.find((one) => one.id === id);
  const [draft, set] = useState<Draft | null>(old ? { outcome: old.outcome, help: old.help, rotation: old.rotation, take_off: old.take_off, landing: old.landing, marks: old.marks, note: old.note } : null);
  const sheet = s.sheet.value;
  if (!old || !draft || !sheet) return <Leaf title="Taken back"><p>This result was put right or taken back elsewhere.</p></Leaf>;
  const blank = sheet.outcomes.find((one) => one.key === draft.outcome)?.blank ?? false;
  const more = (change: Partial<Draft>) => set({ ...draft, ...change });
  const needsHelp = draft.outcome === "did_it" && !draft.help;
  return (
    <Leaf title={`${s.nameOf(old.athlete)}, ${s.rungs.value.get(old.rung)?.short ?? old.rung}: ${s.resultWords(old)}`}
      onClose={() => void (needsHelp || act.correct(id, blank ? { ...draft, help: "", rotation: "", marks: {}, take_off: "", landing: "" } : draft))}
      foot={<button type="button" data-act="take-back" onClick={() => { void act.takeBack(id); s.dialog.value = null; }}>Take it back</button>}>
      <Note note={draft.note} set={(note) => more({ note })} />
      {blank ? null : <Marks marks={draft.marks} set={(marks) => more({ marks })} />}
      {blank ? null : <Pick title="Rotation" from={sheet.rotations} value={draft.rotation} set={(rotation) => more({ rotation })} />}
      <Pick title="Result" from={sheet.outcomes} value={draft.outcome} needed set={(outcome) => more({ outcome })} />
      {needsHelp ? <p class="notice" role="alert">“Did it” needs the help she had; choose it below, or nothing is changed.</p> : null}
      {blank ? null : <Pick title="Help" from={sheet.helps} value={draft.help} set={(help) => more({ help })} />}
      {blank ? null : <Pick title="From" from={sheet.take_offs} value={draft.take_off || sheet.camp.take_off} needed set={(take_off) => more({ take_off })} />}
      {blank ? null : <Pick title="Onto" from={sheet.landings} value={draft.landing || sheet.camp.landing} needed set={(landing) => more({ landing })} />}
      <LastCamp athlete={old.athlete} rung={old.rung} />
    </Leaf>
  );
}

function Note({ note, set }: { note: string; set: (note: string) => void }) {
  const said = note.split("; ").filter(Boolean);
  const toggle = (phrase: string) => set((said.includes(phrase) ? said.filter((one) => one !== phrase) : [...said, phrase]).join("; "));
  return (
    <section>
      <h3><label for="note">Note</label></h3>
      <div class="choice">
        {(s.sheet.value?.phrases ?? []).map((phrase) => <button key={phrase} type="button" data-phrase={phrase} aria-pressed={said.includes(phrase)} onClick={() => toggle(phrase)}>{phrase}</button>)}
      </div>
      <textarea id="note" rows={2} maxLength={2000} value={note} onInput={(event) => set(event.currentTarget.value)} />
    </section>
  );
}

function Marks({ marks, set }: { marks: Record<string, number>; set: (marks: Record<string, number>) => void }) {
  function give(key: string, mark: number): void {
    const { [key]: old, ...others } = marks;
    set(old === mark ? others : { ...others, [key]: mark });
  }
  return (
    <section>
      <h3>Marks, if wanted</h3>
      {(s.sheet.value?.criteria ?? []).map((one) => (
        <div class="criterion" key={one.key} role="group" aria-label={one.name}>
          <span>{one.name}</span>
          {one.levels.map((level, n) => <button key={level} type="button" data-mark={`${one.key} ${n + 1}`} aria-pressed={marks[one.key] === n + 1} aria-label={`${n + 1}: ${level}`} onClick={() => give(one.key, n + 1)}>{n + 1}</button>)}
          <p class="quiet">{marks[one.key] ? one.levels[(marks[one.key] ?? 1) - 1] : one.watch}</p>
        </div>
      ))}
    </section>
  );
}

export function Pick({ title, from, value, set, needed = false }: { title: string; from: { key: string; words: string }[]; value: string; set: (key: string) => void; needed?: boolean }) {
  return (
    <section>
      <h3>{title}</h3>
      <div class="choice" role="group" aria-label={title}>
        {from.map((one) => <button key={one.key} type="button" data-pick={one.key} aria-pressed={one.key === value} onClick={() => set(one.key === value && !needed ? "" : one.key)}>{one.words}</button>)}
      </div>
    </section>
  );
}

/** Hidden until this camp's mark is in: a remembered mark pulls the new one towards it. */
function LastCamp({ athlete, rung }: { athlete: string; rung: string }) {
  const [told, tell] = useState<Earlier | string | null>(null);
  const [asking, ask] = useState(false);
  async function look(): Promise<void> {
    ask(true);
    try {
      const camp = s.sheet.value?.camp.id ?? "";
      const answer = await fetch(`/api/earlier?${new URLSearchParams({ camp, athlete, rung })}`);
      const body = (await answer.json()) as Earlier & { error?: string };
      tell(answer.ok ? body : (body.error ?? "The laptop did not answer this."));
    } catch {
      tell("The last camp’s marks lie on the laptop, and there is no network to it now.");
    } finally {
      ask(false);
    }
  }
  return (
    <section class="earlier">
      <h3>At the last camp</h3>
      {told === null ? <button type="button" data-act="earlier" disabled={asking} onClick={() => void look()}>Show what was marked</button> : null}
      <div role="status">
        {typeof told === "string" ? <p>{told}</p> : null}
        {told && typeof told !== "string" ? <EarlierLines told={told} /> : null}
      </div>
    </section>
  );
}

function EarlierLines({ told }: { told: Earlier }) {
  if (!told.shown || told.attempts.length === 0) return <p>{told.why || "Nothing was written on this rung before."}</p>;
  const names = new Map((s.sheet.value?.criteria ?? []).map((one) => [one.key, one.name]));
  return (
    <>
      <p class="quiet">{told.camp?.name}, {told.camp?.starts}</p>
      <ol class="plainlines">
        {told.attempts.map((one, n) => (
          <li key={n}><Form kind={kindOf(one)} size={19} /> {s.resultWords(one)}{Object.entries(one.marks ?? {}).map(([key, mark]) => `, ${(names.get(key) ?? key).toLowerCase()} ${mark}`).join("")}{one.note ? `. “${one.note}”` : ""}</li>
        ))}
      </ol>
    </>
  );
}

/** What this device has written of one child today, to put right. */
export function Child({ athlete }: { athlete: string }) {
  const hers = s.attempts.value.filter((one) => one.athlete === athlete);
  return (
    <Leaf title={`${s.nameOf(athlete)} today`}>
      {hers.length === 0 ? <p>Nothing written yet on this device.</p> : null}
      <ol class="plainlist">
        {hers.map((one) => (
          <li key={one.id}><button type="button" data-attempt={one.id} onClick={() => (s.dialog.value = { name: "add", attempt: one.id })}>
            <Form kind={kindOf(one)} size={20} /> {s.rungs.value.get(one.rung)?.short ?? one.rung}, turn {one.turn}: {s.resultWords(one)}{one.note ? `. “${one.note}”` : ""}</button></li>
        ))}
      </ol>
    </Leaf>
  );
}
