/** Shows one picture of a film, and never another: a picture reaches the canvas only after it is known to be the right one.
 *
 * The copy of the film has a key picture every 8, so a seek is short. The browser is sent to the middle of the time for
 * which a picture stands; where it can say which picture it has (requestVideoFrameCallback) that is compared, and a
 * wrong one is asked for again rather than drawn.
 */
import { middleOf, shownAt } from "./frames.ts";

export interface Shown { frame: number; sure: boolean }

export interface Player {
  /** Show a picture; answers when it stands on the canvas. Of many asked for at once only the last is shown. */
  show(frame: number): Promise<Shown | null>;
  play(rate: number): void;
  stop(): void;
  ended(): boolean;
  /** A copy of the picture that was told last; the film itself may be on its way to another one. */
  readonly still: HTMLCanvasElement;
}

const TRIES = 4;
const PATIENCE = 4000; // ms for one seek

export async function openPlayer(address: string, times: readonly number[], drawn: (frame: number, sure: boolean) => void): Promise<Player> {
  const video = document.createElement("video");
  video.muted = true;
  video.playsInline = true;
  video.preload = "auto";
  video.src = address;
  await once(video, "loadeddata", PATIENCE * 5);
  const still = document.createElement("canvas");
  const pen = still.getContext("2d", { alpha: false });
  let wanted = -1, standing = -1, busy = false, playing = 0;

  function told(frame: number, sure: boolean): void {
    standing = sure ? frame : -1;
    if (frame >= 0) {
      if (still.width !== video.videoWidth) [still.width, still.height] = [video.videoWidth, video.videoHeight];
      pen?.drawImage(video, 0, 0);
    }
    drawn(frame, sure);
  }

  let waiting: ((shown: Shown | null) => void)[] = [];

  async function seek(frame: number): Promise<Shown> {
    if (frame === standing) return { frame, sure: true }; // what stands already is not presented again
    for (let n = 0; n < TRIES; n++) {
      const told = pictureTold(video);
      video.currentTime = middleOf(times, frame) + (n === 0 ? 0 : (n - 1.5) * 0.0005);
      await once(video, "seeked", PATIENCE);
      const at = await told;
      if (at === null) return { frame, sure: false };
      if (shownAt(times, at) === frame) return { frame, sure: true };
    }
    return { frame: -1, sure: false };
  }

  async function work(): Promise<void> {
    if (busy) return;
    busy = true;
    while (waiting.length > 0) {
      const frame = wanted, hoping = waiting;
      waiting = [];
      let shown: Shown | null = null;
      try {
        shown = await seek(frame);
      } catch {
        shown = { frame: -1, sure: false };
      }
      if (frame === wanted) told(shown.frame, shown.sure);
      else shown = null;
      for (const one of hoping) one(shown);
    }
    busy = false;
  }

  function follow(now: number): void {
    const round = playing;
    const tick = (at: number) => {
      if (playing !== round) return;
      told(shownAt(times, at), true);
      if (video.ended || video.paused) playing = 0;
      else follow(now);
    };
    if ("requestVideoFrameCallback" in video) video.requestVideoFrameCallback((_, about) => tick(about.mediaTime));
    else requestAnimationFrame(() => tick((video as HTMLVideoElement).currentTime));
  }

  const player: Player = {
    still,
    ended: () => video.ended || wanted >= times.length - 1,
    show(frame) {
      playing = 0;
      video.pause();
      wanted = Math.min(Math.max(frame, 0), times.length - 1);
      return new Promise((resolve) => {
        waiting.push(resolve);
        void work();
      });
    },
    play(rate) {
      if (video.ended) video.currentTime = 0;
      standing = wanted = -1;
      video.playbackRate = rate;
      playing = performance.now();
      follow(playing);
      void video.play().catch(() => { playing = 0; });
    },
    stop() {
      const last = standing;
      playing = 0;
      video.pause();
      // a busy browser may have drawn the next picture already: the one that stays is asked for and confirmed
      standing = -1;
      if (last >= 0) void player.show(last);
    },
  };
  return player;
}

/** The time of the picture that the browser presents next, null where it cannot say. */
function pictureTold(video: HTMLVideoElement): Promise<number | null> {
  if (!("requestVideoFrameCallback" in video)) return Promise.resolve(null);
  return new Promise((resolve) => {
    const patience = setTimeout(() => resolve(null), 700); // the same picture again is not presented again
    video.requestVideoFrameCallback((_, about) => {
      clearTimeout(patience);
      resolve(about.mediaTime);
    });
  });
}

function once(video: HTMLVideoElement, name: string, patience: number): Promise<void> {
  return new Promise((resolve, reject) => {
    const clock = setTimeout(() => end(new Error("the film does not answer")), patience);
    const failed = () => end(new Error("the film cannot be shown"));
    const well = () => end();
    function end(why?: Error): void {
      clearTimeout(clock);
      video.removeEventListener(name, well);
      video.removeEventListener("error", failed);
      if (why) reject(why);
      else resolve();
    }
    video.addEventListener(name, well);
    video.addEventListener("error", failed);
  });
}
