/** The form of a result, the same as in the book: a flight over the bed, whole, half or outlined; or a flat bed. */
import type { Attempt } from "../contract.ts";
import type { InLine } from "../day.ts";

export type Kind = "alone" | "helped" | "tried" | "short" | "over" | "not_tried" | "stopped" | "declined" | "not_allowed" | "absent";

export function kindOf(one: Pick<Attempt, "outcome" | "help" | "rotation">): Kind {
  if (one.outcome === "did_it") return one.help === "nobody_in" ? "alone" : "helped";
  if (one.outcome === "tried") return one.rotation === "short" || one.rotation === "over" ? one.rotation : "tried";
  return one.outcome as Kind;
}

const ARCH = "M3 18Q12 -8 21 18Z";

export function Form({ kind, size = 24 }: { kind: Kind; size?: number }) {
  return (
    <svg class="form" viewBox="0 0 24 22" width={size} height={(size * 22) / 24} aria-hidden="true" fill="none" stroke="currentColor" stroke-width="1.7" stroke-linecap="round">
      {parts(kind)}
    </svg>
  );
}

function parts(kind: Kind) {
  switch (kind) {
    case "alone":
      return <path d={ARCH} fill="currentColor" />;
    case "helped":
      return [<path d={ARCH} />, <path d="M3 18Q7.5 5 12 5V18Z" fill="currentColor" />];
    case "tried":
      return <path d={ARCH} />;
    case "short": // comes down before it is round
      return [<path d="M3 18Q11 -7 18 11.5" />, <path d="M3 19.6H21" />];
    case "over": // goes on after the bed
      return [<path d="M3 18Q12 -8 20 16q1.6 3.4 3.2 -.4" />, <path d="M3 19.6H18" />];
    case "stopped":
      return [<path d="M3 18H21" />, <path d="M12 18V7" stroke-width="2.6" />];
    case "declined":
      return [<path d="M3 18H9" />, <path d="M15 18H21" />];
    case "not_allowed":
      return [<path d="M3 18H21" />, <path d="M7 21.4L17 9.5" />];
    case "absent":
      return [<circle cx="4.5" cy="18" r="1.3" fill="currentColor" />, <circle cx="19.5" cy="18" r="1.3" fill="currentColor" />];
    default:
      return <path d="M3 18H21" />;
  }
}

/** The round as one flight: everybody in the line stands on the parabola, whoever has been seen is inked. */
export function Flight({ line, round, current }: { line: InLine[]; round: number; current: string }) {
  const wide = 344, tall = 62, bed = 56;
  const at = (n: number) => {
    const t = line.length < 2 ? 0.5 : n / (line.length - 1);
    return { x: 12 + t * (wide - 24), y: bed - 46 * (1 - (2 * t - 1) ** 2) };
  };
  return (
    <svg class="flight" viewBox={`0 0 ${wide} ${tall}`} aria-hidden="true">
      <path class="bed" d={`M2 ${tall - 1.5}H${wide - 2}`} />
      {line.map((one, n) => {
        const { x, y } = at(n);
        if (one.athlete.id === current)
          return <g key={one.athlete.id} class="current"><path class="drop" d={`M${x} ${y + 8}V${tall - 2}`} /><circle cx={x} cy={y} r="7" /><circle class="eye" cx={x} cy={y} r="2.6" /></g>;
        if (one.place === "away") return <circle key={one.athlete.id} class="away" cx={x} cy={y} r="1" />;
        if (one.place === "off") return <path key={one.athlete.id} class="off" d={`M${x - 4} ${y}H${x + 4}`} />;
        return <circle key={one.athlete.id} class={one.turns >= round ? "had" : "open"} cx={x} cy={y} r="3.6" />;
      })}
    </svg>
  );
}
