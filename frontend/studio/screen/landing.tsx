/** Where it lands: two fans of the outcomes, and what ten milliseconds do to each movement alone. */
import type { Fan, Movement } from "../contract.ts";
import { landingWords, moved, within } from "../words.ts";

const R = 96;
const LAYERS = 12; // of rays, so that many landings in one place are darker than few
const point = (angle: number, radius: number): string => `${(radius * Math.sin((angle * Math.PI) / 180)).toFixed(1)} ${(-radius * Math.cos((angle * Math.PI) / 180)).toFixed(1)}`;
const arc = (half: number, radius: number): string => {
  const a = Math.min(Math.max(half, 0.6), 179.5);
  return `M${point(-a, radius)}A${radius} ${radius} 0 ${a > 90 ? 1 : 0} 1 ${point(a, radius)}`;
};

/** 500 rays, one a flight; outside them half of them (thick) and nine of ten (thin). Seen from above, left is to the left. */
function Rays({ values, title, ends, full }: { values: number[]; title: string; ends: [string, string, string]; full: boolean }) {
  const half = within(values, 0.5), most = within(values, 0.9);
  const low = full ? R + 30 : 22;
  return (
    <figure class="fan">
      <svg viewBox={`-172 ${-(R + 44)} 344 ${R + 44 + low}`} role="img" aria-label={`${title}: half within ${Math.round(half)}°, nine of ten within ${Math.round(most)}°.`}>
        {full ? <circle class="rule" r={R} /> : <path class="rule" d={`M${-R} 0A${R} ${R} 0 0 1 ${R} 0Z`} />}
        {[-90, -45, 45, 90].map((tick) => <path key={tick} class="rule" d={`M${point(tick, R - (tick % 90 ? 4 : 8))}L${point(tick, R)}`} />)}
        {Array.from({ length: LAYERS }, (_, layer) => <path key={layer} class="rays" d={values.filter((_, n) => n % LAYERS === layer).map((angle) => `M${point(angle, full ? 18 : 6)}L${point(angle, R)}`).join("")} />)}
        <path class="meant" d={`M0 0V${-R - 6}`} />
        <path class="most" d={arc(most, R + 14)} />
        <path class="half" d={arc(half, R + 8)} />
        {full && <><ellipse class="limbfill" rx="17" ry="6" /><circle class="limbfill" r="7.5" cy="-1" /></>}
        <text y={-R - 26} class="fanlabel">{ends[1]}</text>
        <text x={-R - 20} y={full ? 4 : 16} class="fanlabel end">{ends[0]}</text>
        <text x={R + 20} y={full ? 4 : 16} class="fanlabel start">{ends[2]}</text>
      </svg>
      <figcaption>{title}</figcaption>
    </figure>
  );
}

export function Fans({ fan, old }: { fan: Fan; old: boolean }) {
  const words = landingWords(fan);
  return (
    <div class="landing" data-old={old}>
      <div class="fans">
        <Rays values={fan.landings.twist_off_deg.map((left) => -left)} title="From above: which way she faces" ends={["¼ left", "as meant", "¼ right"]} full />
        <Rays values={fan.landings.somersault_off_deg} title="From the side: how far round" ends={["short", "as meant", "over"]} full={false} />
      </div>
      <p class="finding large">{old ? "Of the plan before: " : ""}{words[0]}</p>
      <p class="finding">{words[1]}</p>
    </div>
  );
}

const REACH = 90; // degrees on either side of the axis
function Whisker({ one }: { one: Movement }) {
  const x = (left: number): number => 100 - (98 * Math.max(-REACH, Math.min(REACH, left))) / REACH;
  const [early, late] = [one.early.twist_deg, one.late.twist_deg];
  return (
    <svg class="whisker" viewBox="0 0 200 30" aria-hidden="true">
      <path class="rule" d="M2 15H198M51 11V19M149 11V19M2 9V21M198 9V21" />
      <path class="meant" d="M100 5V25" />
      <path class="reach" d={`M${x(Math.min(early, late, 0))} 15H${x(Math.max(early, late, 0))}`} />
      <circle class="early" cx={x(early)} cy="15" r="5" />
      <path class="late" d={`M${x(late)} 8L${x(late) + 7} 15L${x(late)} 22L${x(late) - 7} 15Z`} />
    </svg>
  );
}

export function Movements({ fan, caption, fly, brief = false }: { fan: Fan; caption: string; brief?: boolean; fly?: (movement: Movement, late: number) => void }) {
  return (
    <div class="scroll" role="group" aria-label={caption} tabIndex={0}>
      <table class={brief ? "movements brief" : "movements"}>
        <caption class={brief ? "hidden" : undefined}>{caption}</caption>
        <thead><tr><th scope="col">Movement</th><th scope="col" class="drawn"><span class="hidden">Drawn</span><span aria-hidden="true" class="scale"><span>¼ left</span><span /><span>¼ right</span></span></th><th scope="col" class="num"><i class="m early" />{brief ? "" : "10 ms "}early</th><th scope="col" class="num"><i class="m late" />{brief ? "" : "10 ms "}late</th></tr></thead>
        <tbody>
          {fan.movements.map((one) => (
            <tr key={one.key}>
              <th scope="row">{one.key + 1} {one.name.replace(/ at [\d.]+ s$/, "")} <span class="under">{one.time_s.toFixed(2)} s</span></th>
              <td class="drawn"><Whisker one={one} /></td>
              <td class="num finding">{fly ? <button type="button" class="plain" aria-label={`Fly it with ${one.name} 10 ms early: ${moved(one.early)}`} onClick={() => { fly(one, -0.01); }}>{moved(one.early)}</button> : moved(one.early)}</td>
              <td class="num finding">{fly ? <button type="button" class="plain" aria-label={`Fly it with ${one.name} 10 ms late: ${moved(one.late)}`} onClick={() => { fly(one, 0.01); }}>{moved(one.late)}</button> : moved(one.late)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
