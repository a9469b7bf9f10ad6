import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import type { Fan, Flown, Plan, Quaternion, Vector } from "./contract.ts";
import { newest } from "./asking.ts";
import { after, between, leaning, poseAt, seenFromTheSide, turned } from "./figure.ts";
import { JOINTS, addKey, angleIn, bend, keyName, letGo, looksLikePlan, looksLikeReplay, moveKey, takeOut } from "./plan.ts";
import { lateArmWords, landingWords, moved, phases, valueAt, within, worstArm } from "./words.ts";

// the same file that Python's tests read: tests/contracts/lab.json
const told = JSON.parse(readFileSync(new URL("../../tests/contracts/lab.json", import.meta.url), "utf8")) as { plan: Plan; fly: { answer: Flown }; fan: { answer: Fan }; limits: { keys: number } };
const { plan } = told, flown = told.fly.answer, fan = told.fan.answer;
const joint = (name: string) => JOINTS.find((one) => one.name === name) ?? assert.fail(name);
const near = (a: readonly number[], b: readonly number[], by: number) => a.forEach((value, n) => assert.ok(Math.abs(value - (b[n] ?? NaN)) <= by, `${a.join(" ")} is not ${b.join(" ")}`));

test("a half is rounded upward whichever way she turns, as the desk says it", () => {
  const off = (twist_deg: number, somersault_deg: number) => moved({ twist_deg, somersault_deg, words: "" });
  assert.deepEqual([off(24.5, 0), off(-24.5, 0), off(-0.5, 3), off(0.49, -2.5), off(0, -0.49)], ["25° left", "25° right", "1° right", "3° short", "no change"]);
});

test("a recorded flight of another version, or with instants that are no numbers, is not drawn", () => {
  const frames = { ...flown.frames }, curves = flown.curves;
  const many = frames.times_s.length, row = new Array(many).fill(0);
  const told = { ...flown, kind: "loftbook lab replay", version: 1, name: "", frames, curves: { ...curves, somersault_turns: row, twist_turns: row, tilt_deg: row }, modelled_frames: frames, modelled_curves: { ...curves, somersault_turns: row, twist_turns: row, tilt_deg: row }, apart_deg: row };
  assert.ok(looksLikeReplay(told));
  assert.ok(!looksLikeReplay({ ...told, version: 9 }));
  assert.ok(!looksLikeReplay({ ...told, frames: { ...frames, times_s: frames.times_s.map(() => "x") } }));
});

test("a plan of the contract is a plan, and other JSON is not", () => {
  assert.ok(looksLikePlan(plan));
  for (const strange of [null, 7, {}, { kind: "loftbook lab plan" }, { kind: "other", keys: [] }]) assert.ok(!looksLikePlan(strange));
});

test("every joint of the editor is an angle of the body", () => {
  for (const one of JOINTS) for (const angle of one.angles) assert.ok(flown.body.angle_names.includes(angle), angle);
});

test("a key moves in time, stops short of its neighbours, and keeps what the search may choose", () => {
  assert.equal(moveKey(plan, 2, 0.9).keys[2]?.time_s, 0.9);
  assert.ok((moveKey(plan, 2, 5).keys[2]?.time_s ?? 9) < (plan.keys[3]?.time_s ?? 0));
  assert.ok((moveKey(plan, 2, -5).keys[2]?.time_s ?? 0) > (plan.keys[1]?.time_s ?? 9));
  assert.ok((moveKey(plan, 4, 9).keys[4]?.time_s ?? 9) <= plan.duration_s);
  assert.deepEqual(moveKey(plan, 2, 0.9).inputs, plan.inputs);
  assert.equal(plan.keys[2]?.time_s, 0.7008, "the plan before is left as it was");
});

// the contract's "editing": when keys are added, taken out or change places, send inputs as []
test("keys that come and go take the inputs with them", () => {
  const [more, number] = addKey(plan, 0.6, { head_flexion: 10 });
  assert.equal(number, 2);
  assert.equal(more.keys.length, 6);
  assert.deepEqual(more.inputs, []);
  assert.deepEqual(more.keys.map((key) => key.time_s), [...more.keys.map((key) => key.time_s)].sort((a, b) => a - b));
  assert.deepEqual(takeOut(more, 2).keys, plan.keys);
  let full = plan;
  while (full.keys.length < told.limits.keys) [full] = addKey(full, 1, { head_flexion: 1 });
  assert.equal(addKey(full, 1, {})[1], -1);
});

test("both hips bend together, an arm alone; limits hold; a pose never moves nothing", () => {
  const bent = bend(plan, 1, joint("hips"), 500);
  assert.equal(bent.keys[1]?.angles_deg["left_hip_flexion"], 140);
  assert.equal(bent.keys[1]?.angles_deg["right_hip_flexion"], 140);
  const arm = bend(plan, 2, joint("right arm"), 100);
  assert.deepEqual(arm.keys[2]?.angles_deg, { right_arm_abduction: 100 });
  assert.deepEqual(letGo(arm, 2, joint("right arm")), arm);
  assert.equal(angleIn(letGo(plan, 0, joint("knees")).keys[0] ?? assert.fail(), joint("knees")), null);
});

test("a key is called what the technique calls it, or by its joints", () => {
  assert.equal(keyName(plan, 3), "arm down");
  assert.equal(keyName({ ...plan, inputs: [] }, 3), "right arm");
  assert.equal(keyName({ ...plan, inputs: [] }, 0), "whole body");
});

test("of questions asked while one is out only the newest is asked, and answers keep their order", async () => {
  const asked: number[] = [], took: number[] = [];
  let free: (() => void)[] = [];
  const ask = newest((n: number) => { asked.push(n); return new Promise<number>((done) => free.push(() => { done(n); })); }, (answer) => took.push(answer), () => assert.fail());
  for (let n = 0; n < 10; n++) ask(n);
  assert.deepEqual(asked, [0]);
  const go = async () => { const now = free; free = []; for (const one of now) one(); await new Promise((done) => setTimeout(done, 0)); };
  await go();
  assert.deepEqual(asked, [0, 9]);
  await go();
  assert.deepEqual(took, [0, 9]);
});

// definition of a share: of the whole numbers 1 to 100, half are at most 50 and nine tenths at most 90
test("shares of landings", () => {
  const hundred = Array.from({ length: 100 }, (_, n) => (n % 2 ? 1 : -1) * (n + 1));
  assert.equal(within(hundred, 0.5), 50);
  assert.equal(within(hundred, 0.9), 90);
  assert.equal(within([], 0.5), 0);
});

test("landings and the late arm are said in words, as a band over the arm's movements", () => {
  const words = landingWords(fan).join(" ");
  assert.match(words, /Half of the landings face within \d+°/);
  assert.ok(!/ready|cleared|should try/i.test(words));
  const worst = worstArm(fan);
  assert.equal(worst && Math.abs(worst.late.twist_deg), Math.max(...fan.movements.filter((one) => one.name.includes("arm")).map((one) => Math.abs(one.late.twist_deg))));
  assert.match(lateArmWords("Full-out", fan), /ten milliseconds late turns the landing by \d+° to \d+°/);
});

test("phases follow each other from take-off to landing and say where she is", () => {
  const found = phases(plan, flown);
  assert.equal(found[0]?.from, 0);
  assert.equal(found.at(-1)?.to, plan.duration_s);
  found.slice(1).forEach((one, n) => assert.equal(one.from, found[n]?.to));
  assert.ok(Math.abs((found.at(-1)?.somersaults ?? 0) - flown.result.somersaults_in_the_air) < 0.001);
  assert.equal(valueAt([0, 1, 2], [0, 10, 0], 1.5), 5);
});

// law: a quarter turn about x takes forward (y) to up (z); about z takes right (x) to forward (y)
test("turns follow the right hand", () => {
  const quarter = Math.SQRT1_2;
  near(turned([quarter, quarter, 0, 0], [0, 1, 0]), [0, 0, 1], 1e-12);
  near(turned([quarter, 0, 0, quarter], [1, 0, 0]), [0, 1, 0], 1e-12);
  near(turned(after([quarter, 0, 0, quarter], [quarter, quarter, 0, 0]), [0, 1, 0]), turned([quarter, 0, 0, quarter], turned([quarter, quarter, 0, 0], [0, 1, 0])), 1e-12);
  near(between([1, 0, 0, 0], [-1, 0, 0, 0], 0.5), [1, 0, 0, 0], 1e-12);
});

// law: parts that hang together stay together; each joint lies in its parent where the body says
test("the drawn figure hangs together at every frame, leaning or not", () => {
  for (const one of [flown, leaning(flown)]) {
    for (const time of one.frames.times_s) {
      const pose = poseAt(one, time);
      one.body.segments.forEach((segment, s) => {
        if (segment.parent < 0) return;
        const hung = turned(pose.turns[segment.parent] as Quaternion, segment.joint_m), from = pose.origins[segment.parent] as Vector;
        near(pose.origins[s] as Vector, [from[0] + hung[0], from[1] + hung[1], from[2] + hung[2]], 0.0005);
      });
    }
  }
});

// law: a flight turned as a whole keeps every distance to its mass centre; its toes begin on the bed
test("leaning changes no shape and puts the toes on the bed", () => {
  const lean = leaning(flown);
  flown.frames.origins_m.forEach((row, n) => row.forEach((o, s) => {
    const far = (frames: Flown["frames"]) => { const p = frames.origins_m[n]?.[s] ?? [0, 0, 0], c = frames.mass_centre_m[n] ?? [0, 0, 0]; return Math.hypot(p[0] - c[0], p[1] - c[1], p[2] - c[2]); };
    assert.ok(o && Math.abs(far(flown.frames) - far(lean.frames)) < 1e-9);
  }));
  const toes = lean.body.segments.flatMap((segment, s) => (segment.name.endsWith("foot") ? [(lean.frames.origins_m[0]?.[s]?.[2] ?? 9) + turned(lean.frames.turns[0]?.[s] as Quaternion, segment.bone_m)[2]] : []));
  assert.ok(Math.abs(Math.min(...toes)) < 1e-9);
});

test("seen from the side every part is drawn once, and the mass centre goes to the right", () => {
  const seen = seenFromTheSide(flown, 0.4);
  assert.deepEqual(seen.chains.flat().map((limb) => limb.name).sort(), flown.body.segments.map((segment) => segment.name).sort());
  assert.ok(seen.chains.flat().every((limb) => limb.width > 0 && limb.width < 0.5));
});
