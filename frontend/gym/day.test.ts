import assert from "node:assert/strict";
import { test } from "node:test";
import { type Attempt, type Sheet, type Withdrawal, whole } from "./contract.ts";
import { found, glance, inForce, jumpedIn, lineOf, nextInLine, paceWords, sentBack, stopSign, turnsOf, withoutTakenBack } from "./day.ts";
import { fileName, fileText } from "./file.ts";
import { uuid7 } from "./ids.ts";

const NAMES = ["Ayla", "Bo", "Cem", "Dára"];
const sheet = {
  athletes: NAMES.map((name, n) => ({ id: name, name, bib: String(n + 1) })),
  rungs: [{ key: "tuck", name: "Tuck", short: "Tuck", tested: true, group: "g" }],
  turns: {}, plan: { turns: 2, minutes_needed: 8 }, stop: { short_in_a_row: 2, words: "Short twice in a row." },
} as unknown as Sheet;
const ORDER = NAMES;

let count = 0;
function turn(athlete: string, more: Partial<Attempt> = {}): Attempt {
  count += 1;
  const at = new Date(Date.UTC(2026, 3, 11, 10, 0, count)).toISOString();
  return whole({ id: `id ${String(count).padStart(4, "0")}`, athlete, rung: "tuck", outcome: "did_it", help: "nobody_in", at, turn: 1, ...more });
}
const line = (attempts: Attempt[], order = ORDER) => lineOf(sheet, attempts, order, "tuck");
const next = (attempts: Attempt[], last: string | null, order = ORDER, inARow = false) => nextInLine(line(attempts, order), last, inARow)?.athlete.name;

test("a version 7 id carries the time, the version and the variant", () => {
  // RFC 9562, appendix A.6: the worked example of a UUIDv7, 2022-02-22T19:22:22Z.
  const chance = new Uint8Array([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(uuid7(1645557742000, chance), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("ids of one clock sort by time, and a clock in 1970 or before makes ids as well", () => {
  assert.ok(uuid7(1) < uuid7(2));
  assert.match(uuid7(-5), /^00000000-0000-7/);
  assert.equal(new Set(Array.from({ length: 2000 }, () => uuid7(7))).size, 2000);
});

test("corrected and taken back attempts do not count", () => {
  const first = turn("Ayla");
  const right = turn("Ayla", { outcome: "tried", replaces: first.id });
  const gone = turn("Bo");
  const back: Withdrawal = { kind: "withdrawal", id: "w", attempt: gone.id, at: gone.at, by: "", reason: "" };
  assert.deepEqual(inForce([right, back, gone, first]).map((one) => one.id), [right.id]);
});

test("round and round, and after the last turn nobody", () => {
  const done: Attempt[] = [];
  const seen: string[] = [];
  for (let last: string | null = null; ;) {
    const who = next(done, last);
    if (!who) break;
    done.push(turn(who, { turn: turnsOf(sheet, done, who, "tuck") + 1 }));
    seen.push(who);
    last = who;
  }
  assert.deepEqual(seen, [...NAMES, ...NAMES]);
});

test("all turns in a row", () => {
  assert.equal(next([turn("Bo")], "Bo", ORDER, true), "Bo");
  assert.equal(next([turn("Bo", { turn: 2 })], "Bo", ORDER, true), "Cem");
});

test("the order follows what really happens", () => {
  // Ayla went, then Dára although Bo was next: Bo comes straight after, and the next round goes A D B C.
  const order = jumpedIn(ORDER, "Dára", "Ayla");
  assert.deepEqual(order, ["Ayla", "Dára", "Bo", "Cem"]);
  assert.equal(next([turn("Ayla"), turn("Dára")], "Dára", order), "Bo");
  assert.deepEqual(jumpedIn(ORDER, "Cem", null), ["Cem", "Ayla", "Bo", "Dára"]);
});

test("later means behind everybody of this round, and loses no turn", () => {
  const done = [turn("Ayla")];
  const order = sentBack(line(done), "Bo", "Ayla");
  assert.deepEqual(order, ["Ayla", "Cem", "Dára", "Bo"]);
  assert.equal(next([...done, turn("Cem"), turn("Dára")], "Dára", order), "Bo");
});

test("later with nobody else left changes nothing", () => {
  const done = [turn("Ayla"), turn("Bo"), turn("Cem")].map((one) => ({ ...one, turn: 2 }));
  assert.deepEqual(sentBack(line(done), "Dára", "Cem"), ORDER);
});

test("five blanks are five different things: who is away, who is off this rung, who comes again", () => {
  const places = (outcome: string) => line([turn("Ayla", { outcome, help: "" })])[0]?.place;
  assert.deepEqual(["absent", "stopped", "declined", "not_allowed", "not_tried"].map(places), ["away", "off", "off", "off", "to come"]);
});

test("turns of other devices of the same seat count", () => {
  const shared = { ...sheet, turns: { Ayla: { tuck: 1 } } };
  assert.equal(turnsOf(shared, [], "Ayla", "tuck"), 1);
  assert.equal(turnsOf(shared, [turn("Ayla", { turn: 2 })], "Ayla", "tuck"), 2);
});

test("a turn that was taken back gives its number free, although the book has not heard of that yet", () => {
  const told = { ...sheet, turns: { Ayla: { tuck: 2 }, Bo: { tuck: 1 } } };
  const one = turn("Ayla"), two = turn("Ayla", { turn: 2 });
  const back: Withdrawal = { kind: "withdrawal", id: "w", attempt: two.id, at: two.at, by: "", reason: "" };
  const known = withoutTakenBack(told, [one, two, back]);
  assert.deepEqual(known.turns, { Ayla: { tuck: 1 }, Bo: { tuck: 1 } });
  // A correction keeps the turn: nothing becomes free.
  assert.equal(withoutTakenBack(told, [one, two, turn("Ayla", { turn: 2, replaces: two.id })]), told);
});

test("found by first name without accents, or by bib", () => {
  assert.deepEqual(found(line([]), "dar").map((one) => one.athlete.name), ["Dára"]);
  assert.deepEqual(found(line([]), "3").map((one) => one.athlete.name), ["Cem"]);
  assert.equal(found(line([]), "").length, 4);
  assert.deepEqual(found(line([]), "zz"), []);
});

test("the stop sign: short twice, stopped, pain; and silence otherwise", () => {
  const short = () => turn("Bo", { outcome: "tried", help: "", rotation: "short" });
  assert.equal(stopSign(sheet, [short()], "Bo"), "");
  assert.equal(stopSign(sheet, [short(), short()], "Bo"), sheet.stop.words);
  assert.equal(stopSign(sheet, [short(), turn("Bo"), short()], "Bo"), "");
  assert.match(stopSign(sheet, [turn("Bo", { outcome: "stopped" })], "Bo"), /^Bo was stopped/);
  assert.match(stopSign(sheet, [turn("Bo", { note: "pain in the wrist" })], "Bo"), /pain in the wrist/);
  assert.equal(stopSign(sheet, [turn("Bo", { note: "paint on the mat" })], "Bo"), "");
});

test("the glance counts and tells the time against the plan", () => {
  // 4 children × 2 turns × 1 rung in 8 minutes: a minute a turn. Three turns by minute 5 is 2 minutes behind.
  const done = [turn("Ayla"), turn("Bo"), turn("Cem")];
  const look = glance(sheet, line(done), done, Date.parse(done[0]!.at) + 5 * 60_000);
  assert.deepEqual([look.had, look.expected, look.round, look.toCome, look.minutes], [3, 8, 1, 1, 2]);
  // Turns on other devices count; a day that was to begin an hour before its first turn is an hour behind besides.
  const first = new Date(done[0]!.at), hour = (at: Date) => `${String(at.getHours()).padStart(2, "0")}:${String(at.getMinutes()).padStart(2, "0")}`;
  first.setSeconds(0, 0);
  const early = { ...sheet, turns: { Dára: { tuck: 2 } }, plan: { ...sheet.plan!, starts: hour(new Date(first.getTime() - 3600_000)) } } as Sheet;
  const late = glance(early, lineOf(early, done, ORDER, "tuck"), done, first.getTime() + 5 * 60_000);
  assert.deepEqual([late.had, late.minutes], [5, 60]);
  assert.deepEqual([2, -3, 0.2, null].map(paceWords), ["2 min behind the plan", "3 min ahead of the plan", "on time", ""]);
});

test("the waiting file has the name and the content that the laptop takes in", () => {
  const now = Date.UTC(2026, 3, 11, 12);
  assert.equal(fileName("Tablet Zwei/Ä", now), "loftbook-waiting-tablet-zwei-a-2026-04-11.json");
  const content = JSON.parse(fileText({ id: null, name: "t", rater: "", second: false }, [turn("Ayla")], now));
  assert.deepEqual([content.kind, content.version, content.records.length], ["loftbook-waiting", 1, 1]);
});
