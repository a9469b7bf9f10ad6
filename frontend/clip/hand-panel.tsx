/** What is asked for while joints are put by hand: the pictures as a row, the joint that is next, and what has been done. */
import * as act from "./actions.ts";
import { rowOf, middle } from "./body.ts";
import { at, isWhole, WORDS } from "./hand.ts";
import { Panel } from "./page.tsx";
import * as s from "./state.ts";

const JOINT_WORDS = { shoulder: "shoulder", hip: "hip", knee: "knee", ankle: "ankle", toe: "tip of the foot" } as const;

export function Hand() {
  const key = s.key.value, keys = s.keys.value, put = s.points.value, joint = s.joint.value;
  if (!key) return null;
  const elsewhere = s.frame.value !== key.frame, complete = isWhole(key, put);
  const nextOne = keys.findIndex((one, n) => n > s.active.value && !isWhole(one, put));
  const next = nextOne >= 0 ? nextOne : keys.findIndex((one) => !isWhole(one, put));
  const track = s.track.value, row = track ? rowOf(track, s.frame.value) : -1;
  const wasSeen = track !== null && row >= 0 && key.joints.some((one) => !put.has(at(key.frame, one)) && middle(track, row, one) !== null);
  const whole = s.whole.value;
  return <Panel title="Joints by hand">
    <ol class="asked-for" aria-label="Pictures that are asked for">
      {keys.map((one, n) => <li key={`${one.corner} ${n}`}><button type="button" data-key={n} data-corner={one.corner} aria-current={n === s.active.value ? "step" : undefined} aria-label={`${WORDS[one.corner] ?? one.corner}, picture ${one.frame + 1}, ${isWhole(one, put) ? "done" : "open"}`} onClick={() => void act.go(n)}>
        <svg width="18" height="18" viewBox="0 0 18 18" aria-hidden="true">{isWhole(one, put) ? <circle cx="9" cy="9" r="6.5" fill="currentColor" /> : one.joints.some((j) => put.has(at(one.frame, j))) ? <><circle cx="9" cy="9" r="6.2" fill="none" stroke="currentColor" stroke-width="1.6" /><path d="M9 2.8a6.2 6.2 0 0 1 0 12.4z" fill="currentColor" /></> : <circle cx="9" cy="9" r="6.2" fill="none" stroke="currentColor" stroke-width="1.6" />}</svg>
        <span>{one.frame + 1}</span></button></li>)}
    </ol>
    <p class="asking"><strong>{WORDS[key.corner] ?? "Another picture"}.</strong> {elsewhere ? `You are at picture ${s.frame.value + 1}; picture ${key.frame + 1} was proposed.`
      : complete ? "All joints are put. Drag one to put it right." : joint ? <>Touch the <b>{JOINT_WORDS[joint]}</b>, in the middle between left and right.</> : null}</p>
    <div class="joint-keys" role="group" aria-label="Which joint">
      {key.joints.map((one) => <button type="button" key={one} data-joint={one} class="plain" aria-pressed={joint === one} onClick={() => { s.chosen.value = one; }}>
        {JOINT_WORDS[one]}{put.has(at(key.frame, one)) ? <svg class="tickmark" width="14" height="14" viewBox="0 0 14 14" role="img" aria-label="put"><path d="M2 7.5 5.5 11 12 3.5" fill="none" stroke="currentColor" stroke-width="2.2" /></svg> : null}</button>)}
    </div>
    <div class="keys">
      {elsewhere ? <button type="button" data-act="this-one" onClick={() => act.thisOne()}>It is this picture</button> : null}
      {elsewhere ? <button type="button" class="plain" onClick={() => void act.show(key.frame)}>Back to picture {key.frame + 1}</button> : null}
      {next >= 0 && complete ? <button type="button" class="main" data-act="next" onClick={() => void act.go(next)}>Next picture</button> : null}
      {wasSeen ? <button type="button" class="plain" data-act="as-seen" onClick={() => act.asSeen()}>Take what was seen by itself</button> : null}
      <button type="button" class="plain" data-act="undo" disabled={s.history.value.length === 0} onClick={() => act.undo()}>Undo</button>
      <button type="button" class="plain" data-act="clear" disabled={![...put.keys()].some((one) => one.startsWith(`${s.frame.value} `))} onClick={() => act.clear()}>Empty this picture</button>
    </div>
    <p class="tally">{s.done.value} of {keys.length} pictures done. {whole < 4 ? `From four whole bodies on, gravity and turning fill in what lies between; ${whole === 0 ? "none is" : `${whole} ${whole === 1 ? "is" : "are"}`} put so far.` : whole < 6 ? "Enough to measure; six to eight bodies make it surer." : "Enough to measure well."}</p>
    {s.film.value?.facts.bed ? null : <p class="quiet">The bed’s line is not drawn yet. With it the contact times rest on her feet as well.</p>}
    <div class="keys"><button type="button" class={complete && next >= 0 ? "" : "main"} data-act="send" disabled={s.busy.value || (put.size === 0 && (s.film.value?.facts.points.length ?? 0) === 0)} onClick={() => void act.sendHand()}>{s.busy.value ? "It is measured" : "Keep these and measure"}</button><button type="button" data-act="leave" onClick={() => act.turnTo("look")}>Back to the film</button></div>
  </Panel>;
}
