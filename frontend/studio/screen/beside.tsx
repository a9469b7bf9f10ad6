/** Two plans beside each other, with the same noise: what one forgives and the other does not. */
import { useState } from "preact/hooks";
import type { Plan } from "../contract.ts";
import { beside, compare, comparing, plan, presets } from "../state.ts";
import { lateArmWords } from "../words.ts";
import { Fans, Movements } from "./landing.tsx";
import { Strip } from "./strip.tsx";

export function planOf(key: string): Plan | null {
  return key === "" ? plan.value : (presets.value.find((one) => one.key === key)?.plan ?? null);
}

export function askTheQuestion(): void {
  const [early, late] = [planOf("full_in"), planOf("full_out")];
  document.getElementById("beside")?.scrollIntoView();
  const there = (): void => { document.getElementById("answer")?.scrollIntoView(); };
  if (early && late) void compare(early, late).then(() => { setTimeout(there, 50); });
}

export function Beside() {
  const [left, setLeft] = useState("full_in"), [right, setRight] = useState("");
  const told = beside.value;
  const choice = (label: string, value: string, set: (value: string) => void) => (
    <label class="field"><span>{label}</span>
      <select value={value} onChange={(event) => { set(event.currentTarget.value); }}>
        <option value="">The plan above, as it is now</option>
        {presets.value.map((one) => <option key={one.key} value={one.key}>{one.name}</option>)}
      </select>
    </label>
  );
  return (
    <>
      <p class="keys"><button type="button" class="main" onClick={askTheQuestion}>Full-in beside full-out</button></p>
      <details class="more"><summary>Two others</summary>
        <div class="pair">{choice("One", left, setLeft)}{choice("The other", right, setRight)}</div>
        <p class="keys"><button type="button" onClick={() => { const [a, b] = [planOf(left), planOf(right)]; if (a && b) void compare(a, b); }}>Set them beside each other</button></p>
      </details>
      {comparing.value && <p class="quiet" role="status">Flying both, 500 times each …</p>}
      {told && <div class="found" id="answer">
        {told.plans.map((one, n) => <p class="finding large answer" key={n}>{lateArmWords(one.name, told.fans[n as 0 | 1])}</p>)}
        <p class="quiet">All else as planned, in a model of a body. A landing is a band, never one number; nobody moves an arm to the millisecond.</p>
        <div class="two plans">
          {told.plans.map((one, n) => {
            const fan = told.fans[n as 0 | 1], flight = told.flights[n as 0 | 1];
            return (
              <section key={n} aria-label={one.name}>
                <h3>{one.name} <span class="data quiet">{flight.result.notation}</span></h3>
                <Strip flown={flight} width={420} label={`Strip of ${one.name}`} />
                <Fans fan={fan} old={false} />
                <Movements fan={fan} brief caption={`What ten milliseconds do to the facing at landing in ${one.name}, one movement at a time`} />
              </section>
            );
          })}
        </div>
        <p class="finding">{told.sentence}</p>
      </div>}
    </>
  );
}
