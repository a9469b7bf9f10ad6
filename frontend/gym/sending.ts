/**
 * The way from the outbox to the book. Each batch may be sent any number of times; a fact
 * leaves the outbox only when the book has answered for it. No background sync: not every
 * browser has it. It sends after each entry, on load, on `online`, when the page comes back
 * to the front, and again after growing pauses.
 */
import type { Fact, SyncReply } from "./contract.ts";
import type { Outbox } from "./outbox.ts";

export type Line = "sent" | "sending" | "no network" | "not let in" | "busy";

export interface Said { line: Line; sentence: string; clock: string; revision: number | null }

const BATCH = 200;
const PATIENCE_MS = 12_000;
const FIRST_PAUSE_MS = 2_000;
const LONGEST_PAUSE_MS = 60_000;

interface Around {
  fetch: typeof fetch;
  now: () => number;
  later: (work: () => void, ms: number) => number;
  notLater: (handle: number) => void;
  chance: () => number;
}

export interface Sender { send(): Promise<void>; stop(): void }

/** A sender over an outbox; `tell` hears how the line stands, `changed` when the outbox has changed. */
export function senderOf(box: Outbox, tell: (said: Said) => void, changed: () => Promise<void>, around: Around): Sender {
  let busy = false;
  let again = false;
  let pause = FIRST_PAUSE_MS;
  let timer = 0;
  let clock = "";

  function wait(ms: number): void {
    around.notLater(timer);
    timer = around.later(() => void send(), ms);
  }

  async function send(): Promise<void> {
    if (busy) {
      again = true;
      return;
    }
    busy = true;
    try {
      do {
        again = false;
        await rounds();
      } while (again);
    } catch {
      wait(grown()); // this device's own store failed; nothing was forgotten
    } finally {
      busy = false;
    }
  }

  async function rounds(): Promise<void> {
    const after = new Set<string>(); // told to come again with the rest: once in a round is enough
    for (;;) {
      const facts = (await box.waiting()).filter((fact) => !after.has(fact.id)).slice(0, BATCH);
      if (facts.length === 0) {
        if (after.size === 0) tell({ line: "sent", sentence: "", clock, revision: null });
        else wait(pause);
        return;
      }
      const reply = await post(facts);
      if (!reply) return;
      await box.settle(facts, reply.answers);
      for (const one of reply.answers) if (one.id && one.status === "refused" && one.again) after.add(one.id);
      clock = reply.clock.why;
      pause = FIRST_PAUSE_MS;
      await changed();
      tell({ line: "sent", sentence: "", clock, revision: reply.revision });
    }
  }

  async function post(facts: Fact[]): Promise<SyncReply | null> {
    const stop = new AbortController();
    const limit = around.later(() => stop.abort(), PATIENCE_MS);
    try {
      const answer = await around.fetch("/api/sync", {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ sent_at: new Date(around.now()).toISOString(), records: facts }),
        signal: stop.signal,
      });
      if (answer.ok) {
        const reply = (await answer.json()) as SyncReply;
        if (Array.isArray(reply.answers)) return reply;
        throw new Error("not an answer of the book");
      }
      return await refusal(answer);
    } catch {
      again = false;
      tell({ line: "no network", sentence: "", clock, revision: null });
      wait(grown());
      return null;
    } finally {
      around.notLater(limit);
    }
  }

  async function refusal(answer: Response): Promise<null> {
    const told = (await answer.json().catch(() => ({}))) as { error?: string };
    const sentence = told.error ?? `The laptop answered with status ${answer.status}.`;
    again = false;
    if (answer.status === 401 || answer.status === 403) {
      tell({ line: "not let in", sentence, clock, revision: null });
      return null;
    }
    tell({ line: "busy", sentence: answer.status === 429 || answer.status === 503 ? "" : sentence, clock, revision: null });
    const asked = Number(answer.headers.get("Retry-After"));
    wait(asked > 0 ? asked * 1000 : grown());
    return null;
  }

  function grown(): number {
    const ms = pause * (0.8 + 0.4 * around.chance());
    pause = Math.min(LONGEST_PAUSE_MS, pause * 2);
    return ms;
  }

  return { send, stop: () => around.notLater(timer) };
}
