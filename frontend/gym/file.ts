/** The file of waiting results: carried to the laptop on a stick when no network will do. */
import type { Device, Fact } from "./contract.ts";

/** Its name: which device, which day. */
export function fileName(device: string, now: number): string {
  const safe = device.normalize("NFD").replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "").toLowerCase() || "device";
  return `loftbook-waiting-${safe}-${new Date(now).toISOString().slice(0, 10)}.json`;
}

/** Its content: everything that the book has not answered for, and what it could not take. */
export function fileText(device: Device | null, facts: Fact[], now: number): string {
  const content = {
    kind: "loftbook-waiting", version: 1,
    device: { id: device?.id ?? null, name: device?.name ?? "" },
    saved_at: new Date(now).toISOString(), records: facts,
  };
  return `${JSON.stringify(content, null, 1)}\n`;
}
