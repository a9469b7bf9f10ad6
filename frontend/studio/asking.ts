/** Asks the server of the book. While one question is out only the newest other one waits, so a drag never queues up. */
import type { Fan, Flown, Plan, Preset, Replay, Search } from "./contract.ts";

export class Told extends Error {}

async function json<T>(address: string, body?: unknown): Promise<T> {
  let answer: Response;
  try {
    answer = await fetch(address, body === undefined ? { headers: { accept: "application/json" } } : { method: "POST", headers: { "content-type": "application/json", accept: "application/json" }, body: JSON.stringify(body) });
  } catch {
    throw new Told("The laptop with the book does not answer. What to do: see that Loftbook runs, then touch the plan again.");
  }
  const read = (await answer.json().catch(() => null)) as (T & { error?: string }) | null;
  if (!answer.ok || read === null) throw new Told(read?.error ?? `The server answered ${answer.status}. What to do: load the page again.`);
  return read;
}

export const askPresets = (query: string): Promise<{ presets: Preset[]; person: Plan["person"] }> => json(`/api/lab/presets${query}`);
export const askFly = (plan: Plan, frames: number): Promise<Flown> => json("/api/lab/fly", { plan, frames });
export const askReplay = (film: string): Promise<Replay> => json(`/api/lab/replay?film=${encodeURIComponent(film)}`);
export const askFan = (plan: Plan): Promise<Fan> => json("/api/lab/fan", { plan });
export const askCompare = (plans: [Plan, Plan]): Promise<{ flights: [Flown, Flown]; fans: [Fan, Fan]; sentence: string }> => json("/api/lab/compare", { plans });
export const askLink = (plan: Plan): Promise<{ code: string; address: string }> => json("/api/lab/link", { plan });
export const askPlan = (code: string): Promise<{ plan: Plan }> => json(`/api/lab/plan?code=${encodeURIComponent(code)}`);
export const askForgive = (plan: Plan): Promise<Search> => json("/api/lab/forgive", { plan });
export const askSearch = (search: string): Promise<Search> => json(`/api/lab/forgive/${encodeURIComponent(search)}`);
export const askStop = (search: string): Promise<Search> => json(`/api/lab/forgive/${encodeURIComponent(search)}/stop`, {});

/** A way to ask of which only the newest question waits; answers come in the order of their questions. */
export function newest<Q, A>(ask: (question: Q) => Promise<A>, took: (answer: A, question: Q) => void, failed: (why: unknown) => void): (question: Q) => void {
  let out = false;
  let next: { question: Q } | null = null;
  const go = async (question: Q): Promise<void> => {
    out = true;
    try {
      const answer = await ask(question);
      took(answer, question);
    } catch (why) {
      failed(why);
    }
    out = false;
    const waited = next;
    next = null;
    if (waited) void go(waited.question);
  };
  return (question) => {
    if (out) next = { question };
    else void go(question);
  };
}
