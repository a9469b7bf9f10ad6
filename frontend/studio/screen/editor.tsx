/** One key pose in numbers: when, and how far each joint goes. */
import { JOINTS, type Joint, MOST_KEYS, addKey, angleIn, bend, keyName, letGo, moveKey, takeOut } from "../plan.ts";
import { chosen, flown, now, plan, said, setPlan, undo, undone } from "../state.ts";
import { seconds, valueAt } from "../words.ts";

export function Slide({ label, value, least, most, step, unit, onValue }: { label: string; value: number; least: number; most: number; step: number; unit: string; onValue: (value: number) => void }) {
  const take = (text: string): void => { if (text.trim() !== "" && Number.isFinite(Number(text))) onValue(Math.min(Math.max(Number(text), least), most)); };
  return (
    <div class="slide">
      <span class="slidename">{label}</span>
      <input type="range" aria-label={label} min={least} max={most} step={step} value={value} onInput={(event) => { take(event.currentTarget.value); }} />
      <span class="number"><input type="number" aria-label={`${label}, ${unit}`} min={least} max={most} step={step} value={Number(value.toFixed(step < 0.1 ? 3 : 1))} onChange={(event) => { take(event.currentTarget.value); }} /><span aria-hidden="true">{unit}</span></span>
    </div>
  );
}

function angleNow(joint: Joint, time: number): number {
  const told = flown.value;
  if (!told) return 0;
  const column = told.body.angle_names.indexOf(joint.angles[0] ?? "");
  return Math.round(valueAt(told.frames.times_s, told.frames.angles_deg.map((row) => row[column] ?? 0), time));
}

function AddPose() {
  const told = plan.value;
  if (!told) return null;
  const add = (): void => {
    const [next, number] = addKey(told, now.value, Object.fromEntries(JOINTS.slice(0, 2).flatMap((joint) => joint.angles.map((name) => [name, angleNow(joint, now.value)]))));
    if (number < 0) return;
    setPlan(next);
    chosen.value = number;
    said.value = `Key pose ${number + 1} was added at ${seconds(now.value)}.`;
  };
  return <button type="button" disabled={told.keys.length >= MOST_KEYS} onClick={add}>Add a pose at {seconds(now.value)}</button>;
}

export function Editor() {
  const told = plan.value;
  if (!told) return null;
  const n = Math.min(chosen.value, told.keys.length - 1), key = told.keys[n];
  return (
    <div class="editor">
      <div class="poses" role="group" aria-label="Key poses">
        {told.keys.map((one, k) => <button type="button" key={k} aria-pressed={k === n} onClick={() => { chosen.value = k; now.value = one.time_s; }}><b>{k + 1}</b> {keyName(told, k)} <span class="quiet">{seconds(one.time_s)}</span></button>)}
      </div>
      {key && <div class="slides">
        <Slide label="When" value={key.time_s} least={0.02} most={told.duration_s} step={0.005} unit="s" onValue={(value) => { setPlan(moveKey(told, n, value)); now.value = value; }} />
        {JOINTS.map((joint) => {
          const angle = angleIn(key, joint);
          if (angle !== null) return <Slide key={joint.name} label={joint.words} value={angle} least={joint.least} most={joint.most} step={1} unit="°" onValue={(value) => { setPlan(bend(told, n, joint, value)); now.value = key.time_s; }} />;
          return null;
        })}
      </div>}
      {key && <details class="more"><summary>Move another joint in this pose, or leave one out</summary>
        <div class="keys">
          {JOINTS.map((joint) => angleIn(key, joint) === null
            ? <button type="button" class="plain" key={joint.name} onClick={() => { setPlan(bend(told, n, joint, angleNow(joint, key.time_s))); }}>Move too: {joint.words.toLowerCase()}</button>
            : <button type="button" class="plain" key={joint.name} onClick={() => { setPlan(letGo(told, n, joint)); }}>Leave out: {joint.words.toLowerCase()}</button>)}
        </div>
      </details>}
      <p class="keys">
        <button type="button" disabled={!undone.value.length} onClick={undo}>Take back</button>
        <AddPose />
        {key && <button type="button" onClick={() => { setPlan(takeOut(told, n)); said.value = `Key pose ${n + 1} was taken out.`; }}>Take pose {n + 1} out</button>}
      </p>
    </div>
  );
}
