/** Which instant shows which picture: films of phones have uneven times, so nothing here divides by a rate. */

/** The instant to seek so that picture `n` is shown: the middle of the time for which it stands. */
export function middleOf(times: readonly number[], n: number): number {
  const start = times[n] ?? 0;
  return start + lasts(times, n) / 2;
}

function lasts(times: readonly number[], n: number): number {
  const start = times[n], next = times[n + 1];
  if (start === undefined) return 0;
  if (next !== undefined) return next - start;
  const before = times[n - 1];
  return before === undefined ? 1 / 30 : start - before;
}

/** The picture that stands at an instant: the last that has begun, with a little grace for rounded times. */
export function shownAt(times: readonly number[], t: number): number {
  let low = 0, high = times.length - 1;
  while (low < high) {
    const half = (low + high + 1) >> 1;
    if ((times[half] ?? Infinity) <= t + 0.001) low = half;
    else high = half - 1;
  }
  return low;
}

/** The picture whose beginning is nearest to an instant. */
export function nearestTo(times: readonly number[], t: number): number {
  const n = shownAt(times, t);
  const here = times[n] ?? 0, next = times[n + 1];
  return next !== undefined && next - t < t - here ? n + 1 : n;
}
