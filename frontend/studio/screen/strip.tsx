/** The bodies along the parabola, over their times. Height is to scale; across, it is time. */
import { type Limb, seenFromTheSide } from "../figure.ts";
import type { Flown } from "../contract.ts";

/** Where a moment stands across a plot, in per cent; a margin keeps the first and the last body whole. */
export const EDGE = 7;
export const across = (time: number, end: number): number => EDGE + (100 - 2 * EDGE) * (time / end);

const HEAD = "head";

function Body({ flown, time, x, up, scale }: { flown: Flown; time: number; x: number; up: (z: number) => number; scale: number }) {
  const { chains, chest, centre } = seenFromTheSide(flown, time);
  const at = ([a, z]: [number, number]): [number, number] => [x + (a - centre[0]) * scale, up(z)];
  const part = (limb: Limb, rim: boolean) => {
    const [x1, y1] = at(limb.from), [x2, y2] = at(limb.to), width = Math.max(limb.width * scale, 2.2), name = rim ? "rim" : "limb";
    if (limb.name === HEAD) return <circle key={limb.name} class={name} cx={x1 + (x2 - x1) * 0.6} cy={y1 + (y2 - y1) * 0.6} r={width * 0.56 + (rim ? 1.2 : 0)} />;
    return <line key={limb.name} class={name} x1={x1} y1={y1} x2={x2} y2={y2} stroke-width={width + (rim ? 2.4 : 0)} />;
  };
  return (
    <g>
      {chains.map((limbs) => <g key={limbs[0]?.name}>{limbs.map((limb) => part(limb, true))}{limbs.map((limb) => part(limb, false))}</g>)}
      {chest && <circle class="chest" cx={at(chest)[0]} cy={at(chest)[1]} r={Math.max(0.035 * scale, 1.4)} />}
    </g>
  );
}

export function Strip({ flown, width, tall = 0.42, label }: { flown: Flown; width: number; tall?: number; label: string }) {
  const end = flown.frames.times_s.at(-1) ?? 1;
  const top = Math.max(...flown.frames.mass_centre_m.map((one) => one[2])) + 1.0, low = -0.18;
  const height = Math.round(Math.min(Math.max(width * tall, 150), 330)), scale = (height - 4) / (top - low);
  const up = (z: number): number => 2 + (top - z) * scale;
  const room = (width * (100 - 2 * EDGE)) / 100;
  const count = Math.min(Math.max(Math.floor(room / (flown.body.stature_m * 0.56 * scale)) + 1, 5), 15);
  const x = (time: number): number => (across(time, end) / 100) * width;
  const bed = x(0), mat = x(end), reach = (EDGE / 100) * width;
  return (
    <svg class="strip3" viewBox={`0 0 ${width} ${height}`} width={width} height={height} role="img" aria-label={label}>
      <polyline class="arc" points={flown.frames.mass_centre_m.map((one, n) => `${x(flown.frames.times_s[n] ?? 0).toFixed(1)} ${up(one[2]).toFixed(1)}`).join(" ")} />
      <path class="ground" d={`M${bed - reach + 1} ${up(0)}Q${bed} ${up(-0.13)} ${bed + reach} ${up(0)}M${mat - reach} ${up(0)}H${mat + reach - 1}V${up(-0.16)}H${mat - reach}Z`} />
      {Array.from({ length: count }, (_, n) => {
        const time = (end * n) / (count - 1);
        return <Body key={n} flown={flown} time={time} x={x(time)} up={up} scale={scale} />;
      })}
    </svg>
  );
}
