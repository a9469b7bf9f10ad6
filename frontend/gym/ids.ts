/** Identities made on the device. `crypto.randomUUID` is missing on plain http, `getRandomValues` is not. */

/** A version 7 UUID: 48 bits of milliseconds, then chance. Source: RFC 9562, section 5.7. */
export function uuid7(now: number, chance: Uint8Array = crypto.getRandomValues(new Uint8Array(10))): string {
  const bytes = new Uint8Array(16);
  const ms = Math.max(0, Math.floor(now));
  for (let n = 0; n < 6; n++) bytes[n] = Math.floor(ms / 2 ** (8 * (5 - n))) % 256;
  bytes.set(chance.subarray(0, 10), 6);
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
