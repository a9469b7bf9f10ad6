import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { test } from "node:test";
import { IDBFactory } from "fake-indexeddb";
import { type Answer, type Fact, type SyncReply, whole } from "./contract.ts";
import { FULL, NO_STORE, openOutbox, type Outbox } from "./outbox.ts";
import { type Said, senderOf } from "./sending.ts";

const fact = (id: string): Fact => whole({ id, athlete: "Ayla", rung: "tuck" });
const answer = (id: string, status: Answer["status"] = "stored", again = false): Answer => ({ id, status, why: status === "stored" ? "" : "because", again, at: null });
const ids = (facts: { id: string }[]) => facts.map((one) => one.id);

test("what was kept is there after the page was closed, and leaves only when it was answered for", async () => {
  const disk = new IDBFactory();
  await (await openOutbox(disk)).keep([fact("1"), fact("2"), fact("3")]);
  const box = await openOutbox(disk);
  assert.deepEqual(ids(await box.waiting()), ["1", "2", "3"]);
  await box.settle(await box.waiting(), [answer("1"), answer("2", "duplicate")]);
  assert.deepEqual(ids(await box.waiting()), ["3"]);
  assert.equal((await box.written()).length, 3);
});

test("refused for good is set aside and said, refused for now waits, a conflict is said", async () => {
  const box = await openOutbox(new IDBFactory());
  const facts = [fact("1"), fact("2"), fact("3")];
  await box.keep(facts);
  await box.settle(facts, [answer("1", "refused"), answer("2", "refused", true), answer("3", "conflict")]);
  assert.deepEqual(ids(await box.waiting()), ["2"]);
  assert.deepEqual((await box.refused()).map((one) => [one.id, one.status, one.why]), [["1", "refused", "because"], ["3", "conflict", "because"]]);
});

test("an answer about something that was not sent changes nothing", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep([fact("1")]);
  await box.settle([fact("2")], [answer("1"), { ...answer("1"), id: null }]);
  assert.deepEqual(ids(await box.waiting()), ["1"]);
});

test("a full or forbidden store keeps facts in the page and says so", async () => {
  const none = await openOutbox(undefined);
  assert.equal(none.trouble(), NO_STORE);
  await none.keep([fact("1")]);
  assert.deepEqual(ids(await none.waiting()), ["1"]);
  const disk = new IDBFactory();
  const box = await openOutbox(disk);
  const real = IDBObjectStoreProto(disk).put;
  IDBObjectStoreProto(disk).put = () => { throw new DOMException("full", "QuotaExceededError"); };
  try {
    await box.keep([fact("1")]);
  } finally {
    IDBObjectStoreProto(disk).put = real;
  }
  assert.equal(box.trouble(), FULL);
  assert.deepEqual(ids(await box.waiting()), ["1"]);
  await box.settle([fact("1")], [answer("1")]);
  assert.deepEqual(await box.waiting(), []);
});

function IDBObjectStoreProto(_disk: IDBFactory): { put: unknown } {
  return (globalThis as unknown as { IDBObjectStore: { prototype: { put: unknown } } }).IDBObjectStore.prototype;
}

test("leaving wipes the names and keeps what waits", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.put("sheet", { athletes: ["Ayla"] });
  await box.keep([fact("1")]);
  await box.forgetTheDay();
  assert.equal(await box.get("sheet"), undefined);
  assert.deepEqual(ids(await box.waiting()), ["1"]);
});

type Hear = (sent: Fact[]) => { status?: number; body?: unknown; headers?: Record<string, string> } | Error;

async function sending(box: Outbox, hear: Hear[]): Promise<{ said: Said[]; pauses: number[]; batches: string[][] }> {
  const said: Said[] = [];
  const pauses: number[] = [];
  const batches: string[][] = [];
  const sender = senderOf(box, (one) => said.push(one), async () => undefined, {
    fetch: (async (_to: string, what: { body: string }) => {
      const records = JSON.parse(what.body).records as Fact[];
      batches.push(ids(records));
      const told = (hear.shift() ?? (() => new Error("nothing more")))(records);
      if (told instanceof Error) throw told;
      return new Response(JSON.stringify(told.body), { status: told.status ?? 200, headers: told.headers ?? {} });
    }) as unknown as typeof fetch,
    now: () => 0,
    later: (_work, ms) => (ms < 12_000 || ms > 12_000 ? pauses.push(ms) : 0),
    notLater: () => undefined,
    chance: () => 0.5,
  });
  await sender.send();
  return { said, pauses, batches };
}

const all = (status: Answer["status"] = "stored", again = false): Hear => (sent) => {
  const body: SyncReply = { received_at: "", revision: 7, clock: { skew_s: 0, why: "" }, answers: sent.map((one) => answer(one.id, status, again)) };
  return { body };
};

test("sent, answered, empty", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep([fact("1"), fact("2")]);
  const { said, batches } = await sending(box, [all()]);
  assert.deepEqual(batches, [["1", "2"]]);
  assert.deepEqual(await box.waiting(), []);
  assert.equal(said.at(-1)?.line, "sent");
});

test("a lost reply, a proxy's page, a busy book: all is kept and tried again after a pause", async () => {
  for (const told of [() => new Error("gone"), () => ({ body: "<html>" }), () => ({ status: 503, body: { error: "busy" } })] as Hear[]) {
    const box = await openOutbox(new IDBFactory());
    await box.keep([fact("1")]);
    const { pauses } = await sending(box, [told]);
    assert.deepEqual(ids(await box.waiting()), ["1"]);
    assert.deepEqual(pauses, [2000]);
  }
});

test("too many batches: it waits as long as it was asked to", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep([fact("1")]);
  const { pauses } = await sending(box, [() => ({ status: 429, body: { error: "slow" }, headers: { "Retry-After": "9" } })]);
  assert.deepEqual(pauses, [9000]);
});

test("no longer let in: kept, said in the book's own sentence, and not tried over and over", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep([fact("1")]);
  const { said, pauses } = await sending(box, [() => ({ status: 401, body: { error: "No longer let in.", code: "revoked" } })]);
  assert.deepEqual([said.at(-1)?.line, said.at(-1)?.sentence], ["not let in", "No longer let in."]);
  assert.deepEqual(pauses, []);
  assert.deepEqual(ids(await box.waiting()), ["1"]);
});

test("what has to come again comes again with the rest, and does not go round for ever", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep([fact("1")]);
  const { batches, pauses } = await sending(box, [all("refused", true), all()]);
  assert.deepEqual(batches, [["1"]]);
  assert.equal(pauses.length, 1);
  assert.deepEqual(ids(await box.waiting()), ["1"]);
});

test("six hundred waiting go in batches that the book takes", async () => {
  const box = await openOutbox(new IDBFactory());
  await box.keep(Array.from({ length: 600 }, (_, n) => fact(String(n).padStart(4, "0"))));
  const { batches } = await sending(box, [all(), all(), all(), all()]);
  assert.deepEqual(batches.map((one) => one.length), [200, 200, 200]);
  assert.deepEqual(await box.waiting(), []);
});
