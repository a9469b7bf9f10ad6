/**
 * A trace of what waited, in a cookie: a browser that empties this page's store as a rule leaves cookies alone, so
 * the page can say afterwards that something was there. A number and a time, no names; it goes to no other page.
 */
export interface Trace { count: number; at: number }

const NAME = "lb-waited";
const MONTH_S = 30 * 24 * 3600;

/** The cookie for so many that wait; none for nothing. */
export function traceOf(count: number, at: number, secure: boolean): string {
  const end = count > 0 ? MONTH_S : 0;
  return `${NAME}=${count}.${Math.round(at / 1000)}; path=/gym; max-age=${end}; samesite=strict${secure ? "; secure" : ""}`;
}

/** What the browser's cookies say; null for nothing that waited. */
export function traceIn(cookies: string): Trace | null {
  const found = new RegExp(`(?:^|; )${NAME}=(\\d{1,6})\\.(-?\\d{1,12})(?:;|$)`).exec(cookies);
  const count = Number(found?.[1] ?? 0);
  return count > 0 ? { count, at: Number(found?.[2]) * 1000 } : null;
}
