/** Which picture an instant shows, and which joints are asked for where. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { middleOf, nearestTo, shownAt } from "./frames.ts";
import { at, fromServer, guessed, keysFrom, moved, toServer, wholeOnes } from "./hand.ts";

const UNEVEN = [0, 1 / 60, 3 / 60, 4 / 60]; // the third picture was lost

test("the middle of a picture lies inside it, also where times are uneven", () => {
  // definition: a picture stands until the next one begins
  for (const n of UNEVEN.keys()) {
    assert.equal(shownAt(UNEVEN, middleOf(UNEVEN, n)), n);
  }
  assert.ok(Math.abs(middleOf(UNEVEN, 1) - 2 / 60) < 1e-9);
  assert.equal(nearestTo(UNEVEN, 2.6 / 60), 2);
});

const CORNERS = ["take-off", "fold begins", "folded", "between", "between", "opening begins", "open", "landing"];
const proposed = CORNERS.map((corner, n) => ({ corner, frame: n * 15 }));
const times = Array.from({ length: 122 }, (_, n) => n / 60);

test("the foot is asked for on both sides of each contact", () => {
  const keys = keysFrom(proposed, null, times, new Map());
  assert.deepEqual(keys.map((one) => one.corner), ["take-off", "feet off", ...CORNERS.slice(1, -1), "feet near", "landing"]);
  assert.deepEqual(keys[1]?.joints, ["ankle", "toe"]);
  assert.equal(keys[1]?.frame, 1);
});

test("what lies between follows both ends once they are known", () => {
  let keys = keysFrom(proposed, null, times, new Map());
  keys = moved(keys, keys[0]!, 16, times.length);
  keys = moved(keys, keys.at(-1)!, 108, times.length);
  const frames = keys.map((one) => one.frame);
  assert.deepEqual([frames[0], frames[1], frames.at(-2), frames.at(-1)], [16, 17, 107, 108]);
  assert.deepEqual([...frames].sort((a, b) => a - b), frames);
});

test("what is kept comes back from the server as it was sent", () => {
  const keys = keysFrom(proposed, null, times, new Map());
  const put = new Map([[at(0, "hip"), [10, 20] as [number, number]], [at(0, "toe"), [11, 40] as [number, number]], [at(1, "ankle"), [12, 38] as [number, number]]]);
  const sent = toServer([], put, keys);
  assert.deepEqual(sent.map((one) => one.joint).sort(), ["hip", "left_ankle", "left_toe", "right_ankle", "right_toe"]);
  assert.deepEqual(fromServer(sent), put);
  assert.deepEqual(toServer(sent, put, keys), []);
  assert.ok(toServer(sent, new Map(), keys).every((one) => one.x === null && one.y === null));
  assert.equal(wholeOnes(keys, put), 0);
});

test("a foot whose sides were put apart is left as it is", () => {
  const apart = [{ frame: 3, joint: "left_toe", x: 1, y: 2 }, { frame: 3, joint: "right_toe", x: 5, y: 2 }];
  assert.deepEqual(toServer(apart, fromServer(apart), []), []);
});

test("three hips tell where the fourth is, by the parabola through them", () => {
  // law: a fall is a parabola in time
  const fall = (n: number): [number, number] => [600 + n, 200 + 0.1 * (n - 50) ** 2];
  const put = new Map([0, 30, 100].map((n) => [at(n, "hip"), fall(n)]));
  const there = guessed(put, times, 60)!;
  assert.ok(Math.abs(there[0] - 660) < 0.5 && Math.abs(there[1] - 210) < 0.5);
  assert.equal(guessed(new Map([...put].slice(0, 2)), times, 60), null);
});
