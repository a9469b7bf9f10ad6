/**
 * What was seen, kept on this device until the book has answered for it.
 *
 * Three drawers: `waiting` (not answered yet), `written` (everything of the day, sent or
 * not, so that a reload knows whose turn it is) and `refused` (answered, but it could not
 * stand). A fact goes into `waiting` and `written` in one transaction. If the browser
 * refuses to store, facts stay in this page's memory and `trouble` says so.
 */
import type { Answer, Attempt, Fact } from "./contract.ts";

const NAME = "loftbook-gym";
const VERSION = 1;

export interface Refused { id: string; fact: Fact; why: string; status: string }

export interface Outbox {
  keep(facts: Fact[]): Promise<void>;
  waiting(): Promise<Fact[]>;
  settle(facts: Fact[], answers: Answer[]): Promise<void>;
  written(): Promise<Fact[]>;
  remember(attempts: Attempt[]): Promise<void>;
  refused(): Promise<Refused[]>;
  get<T>(key: string): Promise<T | undefined>;
  put(key: string, value: unknown): Promise<void>;
  forgetTheDay(): Promise<void>;
  /** Why facts are in this page's memory only; empty while all is well. */
  trouble(): string;
}

/** The outbox of this browser; where IndexedDB cannot be had, one that lives in this page only. */
export async function openOutbox(factory: IDBFactory | undefined): Promise<Outbox> {
  if (!factory) return outbox(null, NO_STORE);
  try {
    return outbox(await opened(factory), "", () => opened(factory));
  } catch {
    return outbox(null, NO_STORE);
  }
}

export const NO_STORE =
  "This browser keeps nothing on this device, so what you write stays in this page only. " +
  "Do not close it; save the waiting results to a file from time to time.";
export const FULL =
  "This device’s storage is full or was refused, so the newest results are in this page only. " +
  "Do not close it; save the waiting results to a file now.";

function outbox(first: IDBDatabase | null, trouble: string, anew?: () => Promise<IDBDatabase>): Outbox {
  let db = first;
  let restoring: Promise<void> | null = null;
  /** What this page has seen in its store. The browser may empty the store under an open page; then it goes in again. */
  const seen = { waiting: new Map<string, Fact>(), written: new Map<string, Fact>() };
  const held = { waiting: new Map<string, Fact>(), written: new Map<string, Fact>(), refused: new Map<string, Refused>(), kept: new Map<string, unknown>() };

  async function all<T>(drawer: string): Promise<T[]> {
    try {
      return db ? await asked<T[]>(db.transaction(drawer, "readonly").objectStore(drawer).getAll()) : [];
    } catch {
      await restore();
      return db ? asked<T[]>(db.transaction(drawer, "readonly").objectStore(drawer).getAll()) : [];
    }
  }

  function watch(): void {
    if (db) db.onclose = () => void restore();
  }

  /** The store was closed or emptied from outside: open it again, and put back what this page knows. */
  function restore(): Promise<void> {
    restoring ??= putBack().finally(() => (restoring = null));
    return restoring;
  }

  async function putBack(): Promise<void> {
    try {
      if (!anew) throw new Error("no store");
      const opened = await patiently(anew);
      await done(opened, ["waiting", "written", "kept"], (tx) => {
        for (const [id, fact] of seen.waiting) tx.objectStore("waiting").put({ id, fact });
        for (const fact of seen.written.values()) tx.objectStore("written").put(fact);
        for (const [key, value] of held.kept) tx.objectStore("kept").put({ key, value });
      });
      db = opened;
      watch();
    } catch {
      db = null;
      trouble = FULL;
      for (const [id, fact] of seen.waiting) held.waiting.set(id, fact);
      for (const [id, fact] of seen.written) held.written.set(id, fact);
    }
  }
  watch();

  return {
    trouble: () => trouble,

    async keep(facts) {
      const put = (tx: IDBTransaction) => {
        for (const fact of facts) {
          tx.objectStore("waiting").put({ id: fact.id, fact });
          tx.objectStore("written").put(fact);
        }
      };
      try {
        if (!db) throw new Error("no store");
        try {
          await done(db, ["waiting", "written"], put);
        } catch (fault) {
          if (fault instanceof DOMException && fault.name === "QuotaExceededError") throw fault;
          await restore(); // perhaps closed from outside
          if (!db) throw fault;
          await done(db, ["waiting", "written"], put);
        }
        for (const fact of facts) {
          seen.waiting.set(fact.id, fact);
          seen.written.set(fact.id, fact);
        }
      } catch {
        trouble = trouble || FULL;
        for (const fact of facts) {
          held.waiting.set(fact.id, fact);
          held.written.set(fact.id, fact);
        }
      }
    },

    async waiting() {
      const rows = await all<{ id: string; fact: Fact }>("waiting");
      if (db) seen.waiting = new Map(rows.map((row) => [row.id, row.fact]));
      const facts = [...rows.map((row) => row.fact), ...held.waiting.values()];
      return facts.sort((a, b) => (a.id < b.id ? -1 : 1));
    },

    async settle(facts, answers) {
      const sent = new Map(facts.map((fact) => [fact.id, fact]));
      const final = answers.filter((one) => one.id !== null && sent.has(one.id) && !(one.status === "refused" && one.again));
      const set = final
        .filter((one) => one.status === "refused" || one.status === "conflict")
        .map((one): Refused => ({ id: one.id as string, fact: sent.get(one.id as string) as Fact, why: one.why, status: one.status }));
      for (const one of final) {
        held.waiting.delete(one.id as string);
        seen.waiting.delete(one.id as string);
      }
      if (!db) {
        for (const one of set) held.refused.set(one.id, one);
        return;
      }
      await done(db, ["waiting", "refused", "written"], (tx) => {
        for (const one of final) tx.objectStore("waiting").delete(one.id as string);
        for (const one of set) {
          tx.objectStore("refused").put(one);
          if (one.status === "refused") tx.objectStore("written").delete(one.id);
        }
      });
    },

    async written() {
      const rows = await all<Fact>("written");
      if (db) seen.written = new Map(rows.map((fact) => [fact.id, fact]));
      return [...rows, ...held.written.values()];
    },

    async remember(attempts) {
      if (!db || attempts.length === 0) return;
      await done(db, ["written"], (tx) => {
        for (const one of attempts) tx.objectStore("written").put(one);
      }).catch(() => undefined);
    },

    async refused() {
      return [...(await all<Refused>("refused")), ...held.refused.values()];
    },

    async get<T>(key: string) {
      if (!db) return held.kept.get(key) as T | undefined;
      const row = await asked<{ key: string; value: T } | undefined>(db.transaction("kept").objectStore("kept").get(key));
      return row?.value;
    },

    async put(key, value) {
      held.kept.set(key, value);
      if (db) await done(db, ["kept"], (tx) => tx.objectStore("kept").put({ key, value })).catch(() => undefined);
    },

    async forgetTheDay() {
      held.kept.clear();
      held.written.clear();
      seen.written.clear();
      if (db) {
        await done(db, ["kept", "written"], (tx) => {
          tx.objectStore("kept").clear();
          tx.objectStore("written").clear();
        });
      }
    },
  };
}

/** A browser that is still emptying the store refuses to open it for a moment. */
async function patiently(open: () => Promise<IDBDatabase>): Promise<IDBDatabase> {
  for (const pause of [50, 200, 500, 1000]) {
    try {
      return await open();
    } catch {
      await new Promise((resolve) => setTimeout(resolve, pause));
    }
  }
  return open();
}

function opened(factory: IDBFactory): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asking = factory.open(NAME, VERSION);
    asking.onupgradeneeded = () => {
      for (const drawer of ["waiting", "written", "refused"]) asking.result.createObjectStore(drawer, { keyPath: "id" });
      asking.result.createObjectStore("kept", { keyPath: "key" });
    };
    asking.onsuccess = () => {
      asking.result.onversionchange = () => asking.result.close();
      resolve(asking.result);
    };
    asking.onerror = () => reject(asking.error);
    asking.onblocked = () => reject(new Error("another tab holds an older version"));
  });
}

function asked<T>(request: IDBRequest): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result as T);
    request.onerror = () => reject(request.error);
  });
}

/** Resolves when the transaction is on the disk, not when it was asked for. */
function done(db: IDBDatabase, drawers: string[], work: (tx: IDBTransaction) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    const tx = db.transaction(drawers, "readwrite", { durability: "strict" });
    tx.oncomplete = () => resolve();
    tx.onabort = () => reject(tx.error ?? new Error("not stored"));
    tx.onerror = () => reject(tx.error);
    work(tx);
  });
}
