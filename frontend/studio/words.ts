/** What is drawn, in words and numbers: landings in shares, phases in sentences. Everything here is pure. */
import type { Fan, Flown, Movement, Off, Plan } from "./contract.ts";
import { JOINTS, keyName } from "./plan.ts";

/** Whole degrees for words, halves upward either way, as the desk's sentences have them. */
const whole = (degrees: number): number => Math.round(Math.abs(degrees));
/** Turned to which side, as a coach says it; twist to the left is positive. */
export const sided = (degrees: number): string => (whole(degrees) === 0 ? "straight" : `${whole(degrees)}° ${degrees > 0 ? "left" : "right"}`);
/** What a slip of ten milliseconds does, in a table's cell: turned where she twists, else how far round. */
export const moved = (off: Off): string => {
  if (whole(off.twist_deg) !== 0) return sided(off.twist_deg);
  const round = whole(off.somersault_deg);
  return round === 0 ? "no change" : `${round}° ${off.somersault_deg > 0 ? "over" : "short"}`;
};
export const seconds = (time: number): string => `${time.toFixed(2)} s`;
export const turns = (value: number): string => (Math.abs(value) < 0.005 ? "0.00" : value.toFixed(2).replace("-", "−"));

/** The distance from the middle within which this share of the values lies: the smallest d with share of |v| <= d. */
export function within(values: readonly number[], share: number): number {
  const sizes = values.map(Math.abs).sort((a, b) => a - b);
  return sizes.length ? (sizes[Math.max(Math.ceil(share * sizes.length) - 1, 0)] ?? 0) : 0;
}

export function landingWords(fan: Fan): string[] {
  const twist = fan.landings.twist_off_deg, round = fan.landings.somersault_off_deg;
  const about = fan.off === "the aim" ? "what was aimed at" : "the flight as planned";
  const turned = Math.round(within(twist, 0.95)) === 0
    ? "No landing is turned off line: there is no twist in this flight."
    : `Half of the landings face within ${Math.round(within(twist, 0.5))}° of ${about}, nine of ten within ${Math.round(within(twist, 0.9))}°; ${Math.round(fan.count * fan.within_a_quarter_twist)} of ${fan.count} are less than a quarter twist away${fan.more_than_half_a_twist ? `, ${fan.more_than_half_a_twist} more than half a twist, which is another skill` : ""}.`;
  return [turned, `Half of the landings come round within ${Math.round(within(round, 0.5))}° of ${about}, nine of ten within ${Math.round(within(round, 0.9))}°.`];
}

export const isArm = (movement: Movement): boolean => /\barm|\barms/.test(movement.name);

/** The arm movement whose lateness moves the landing most. */
export function worstArm(fan: Fan): Movement | null {
  return fan.movements.filter(isArm).reduce<Movement | null>((worst, one) => (worst && Math.abs(worst.late.twist_deg) >= Math.abs(one.late.twist_deg) ? worst : one), null);
}

/** The answer to "what does an arm ten milliseconds late do?" for one plan, for a band of arm movements, not one. */
export function lateArmWords(name: string, fan: Fan): string {
  const arms = fan.movements.filter(isArm);
  const worst = worstArm(fan);
  if (!worst) return `In “${name}” no arm moves by itself.`;
  const sizes = arms.map((one) => whole(one.late.twist_deg));
  const few = Math.min(...sizes), many = Math.max(...sizes);
  const range = arms.length > 1 && few !== many ? `${few}° to ${many}°, depending on which arm movement it is` : `${many}°`;
  return `${name}: an arm ten milliseconds late turns the landing by ${range}${arms.length > 1 && few !== many ? `; most by “${worst.name}” (${sided(worst.late.twist_deg)})` : ` (“${worst.name}”, ${sided(worst.late.twist_deg)})`}.`;
}

export interface Phase {
  from: number;
  to: number;
  what: string;
  somersaults: number;
  twists: number;
  tilt: number;
  sentence: string;
}

export function valueAt(times: readonly number[], values: readonly number[], time: number): number {
  const last = times.length - 1;
  if (last < 1) return values[0] ?? 0;
  const place = Math.min(Math.max(((time - (times[0] ?? 0)) / ((times[last] ?? 1) - (times[0] ?? 0))) * last, 0), last);
  const n = Math.min(Math.floor(place), last - 1), u = place - n;
  return (values[n] ?? 0) * (1 - u) + (values[n + 1] ?? 0) * u;
}

function changes(flown: Flown, from: number, to: number): string {
  const parts: string[] = [];
  for (const joint of JOINTS) {
    const column = flown.body.angle_names.indexOf(joint.angles[0] ?? "");
    const values = flown.frames.angles_deg.map((row) => row[column] ?? 0);
    const a = valueAt(flown.frames.times_s, values, from), b = valueAt(flown.frames.times_s, values, to);
    if (Math.abs(a - b) >= 5) parts.push(`${joint.words.toLowerCase()} from ${Math.round(a)}° to ${Math.round(b)}°`);
  }
  return parts.length ? parts.join(", ") : "the shape is held";
}

/** From each key pose to the next: what moves, and how far round and twisted she is at its end. */
export function phases(plan: Plan, flown: Flown): Phase[] {
  const ends = [...new Set([...plan.keys.map((key) => key.time_s).filter((time) => time < plan.duration_s - 0.005), plan.duration_s])].sort((a, b) => a - b);
  let from = 0;
  return ends.map((to) => {
    const at = (values: readonly number[]): number => valueAt(flown.frames.times_s, values, to);
    const made = { somersaults: at(flown.curves.somersault_turns), twists: at(flown.curves.twist_turns), tilt: at(flown.curves.tilt_deg) };
    const names = plan.keys.flatMap((key, n) => (Math.abs(key.time_s - to) < 1e-6 ? [keyName(plan, n)] : []));
    const what = changes(flown, from, to);
    const phase = {
      from, to, what, ...made,
      sentence: `From ${seconds(from)} to ${seconds(to)}${names.length ? ` (${names.join(", ")})` : ""}: ${what}. By then ${turns(Math.abs(made.somersaults))} somersaults and ${turns(Math.abs(made.twists))} twists, ${Math.round(made.tilt) === 0 ? "not leaning" : `leaning ${Math.round(Math.abs(made.tilt))}° to her ${made.tilt > 0 ? "right" : "left"}`}.`,
    };
    from = to;
    return phase;
  });
}
