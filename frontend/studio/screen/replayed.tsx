/** A recorded flight beside the plan: strips and curves, as measured and as mechanics alone turns the same body. */
import type { Replay } from "../contract.ts";
import { flown, now, plan } from "../state.ts";
import { seconds, turns, valueAt } from "../words.ts";
import { Strip, across } from "./strip.tsx";

const WIDTH = 640;
interface Pair { name: string; measured: number[]; mechanics: number[]; planned: number[]; told: (value: number) => string }

const sideOf = (value: number, unit: (size: number) => string, [more, less]: [string, string]): string => `${unit(Math.abs(value))}${unit(Math.abs(value)) === unit(0) ? "" : ` ${value > 0 ? more : less}`}`;

/** Three curves on the share of the flight that is over, since a plan and a recording last differently. */
function Curves({ one }: { one: Pair }) {
  const all = [...one.measured, ...one.mechanics, ...one.planned];
  const least = Math.min(...all), span = Math.max(Math.max(...all) - least, 1e-6);
  const line = (values: number[]): string => values.map((value, n) => `${(10 * across(n / (values.length - 1), 1)).toFixed(1)} ${(8 + 84 * (1 - (value - least) / span)).toFixed(1)}`).join(" ");
  return (
    <div class="row">
      <div class="rowlabel"><span>{one.name}</span></div>
      <div class="plot"><svg viewBox="0 0 1000 100" preserveAspectRatio="none" aria-hidden="true">
        <polyline class="curve planned" points={line(one.planned)} />
        <polyline class="curve mechanics" points={line(one.mechanics)} />
        <polyline class="curve measured" points={line(one.measured)} />
      </svg></div>
    </div>
  );
}

export function Replayed({ told }: { told: Replay }) {
  const planned = flown.value, times = told.frames.times_s, end = times.at(-1) ?? 1;
  const pairs: Pair[] = [
    { name: "Somersaults", measured: told.curves.somersault_turns, mechanics: told.modelled_curves.somersault_turns, planned: planned?.curves.somersault_turns ?? [], told: turns },
    { name: "Twists", measured: told.curves.twist_turns, mechanics: told.modelled_curves.twist_turns, planned: planned?.curves.twist_turns ?? [], told: (value) => sideOf(value, (size) => size.toFixed(2), ["left", "right"]) },
    { name: "Leaning", measured: told.curves.tilt_deg, mechanics: told.modelled_curves.tilt_deg, planned: planned?.curves.tilt_deg ?? [], told: (value) => sideOf(value, (size) => `${Math.round(size)}°`, ["right", "left"]) },
  ];
  const step = Math.max(Math.round((times.length - 1) / 10), 1), rows = times.flatMap((_, n) => (n % step === 0 ? [n] : []));
  const at = Math.min(now.value, end);
  return (
    <>
      <p class="large"><strong>{told.name}.</strong> <span class="finding">{told.result.sentence}</span></p>
      <p class="small quiet">{told.verdict.sentence}</p>
      <div class="strips">
        <h3>As measured</h3><Strip flown={told} width={WIDTH} tall={0.34} label={`Strip of ${told.name} as measured. ${told.result.sentence}`} />
        <h3>By mechanics alone</h3><Strip flown={{ ...told, frames: told.modelled_frames }} width={WIDTH} tall={0.34} label="Strip of the same body turned by mechanics alone." />
        {planned && <><h3>The plan: {plan.value?.name}</h3><Strip flown={planned} width={WIDTH} tall={0.34} label={`Strip of the plan. ${planned.result.sentence}`} /></>}
      </div>
      <div class="score three">
        {pairs.map((one) => <Curves key={one.name} one={one} />)}
      </div>
      <p class="small quiet legend"><i class="measured" /> as measured <i class="mechanics" /> by mechanics alone <i class="planned" /> the plan. Each over its whole flight. At {seconds(at)} measured and mechanics are {Math.round(valueAt(times, told.apart_deg, at))}° apart.</p>
      <details><summary>The same as a table</summary>
        <div class="scroll" role="group" aria-label="Recorded flight as a table" tabIndex={0}><table class="short"><caption class="hidden">A recorded flight as measured and by mechanics alone</caption>
          <thead><tr><th scope="col" class="num">s</th>{pairs.map((one) => [<th scope="col" class="num" key={one.name}>{one.name}, measured</th>, <th scope="col" class="num" key={`${one.name} m`}>mechanics</th>])}<th scope="col" class="num">Apart</th></tr></thead>
          <tbody>{rows.map((n) => <tr key={n}><td class="num">{(times[n] ?? 0).toFixed(2)}</td>{pairs.map((one) => [<td class="num" key={one.name}>{one.told(one.measured[n] ?? 0)}</td>, <td class="num" key={`${one.name} m`}>{one.told(one.mechanics[n] ?? 0)}</td>])}<td class="num">{Math.round(told.apart_deg[n] ?? 0)}°</td></tr>)}</tbody>
        </table></div>
      </details>
    </>
  );
}
