/** Asks the server; what it refuses comes back as the sentence that it gave. */
import type { Film, Job, Put, Track } from "./contract.ts";

export class Said extends Error {}

async function asked<T>(address: string, body?: unknown): Promise<T> {
  const sent: RequestInit = body === undefined ? { headers: { accept: "application/json" } }
    : { method: "POST", headers: { "content-type": "application/json", accept: "application/json" }, body: JSON.stringify(body) };
  let answer: Response;
  try {
    answer = await fetch(address, sent);
  } catch {
    throw new Said("The laptop does not answer. Nothing on this page is lost; try again.");
  }
  const told: unknown = await answer.json().catch(() => null);
  if (!answer.ok) {
    const error = told && typeof told === "object" && "error" in told ? String(told.error) : "";
    throw new Said(error || `The laptop answered with ${answer.status}. Load the page again.`);
  }
  return told as T;
}

export const askFilm = (id: string) => asked<Film>(`/api/film/${id}`);
export const askTrack = (id: string) => asked<Track>(`/api/film/${id}/track`);
export const askJob = (id: string) => asked<{ job: Job | null }>(`/api/film/${id}/job`);
export const sendPoints = (id: string, points: Put[]) => asked<Film>(`/api/film/${id}/points`, { points });
export const sendBed = (id: string, ends: number[]) => asked<Film>(`/api/film/${id}/bed`, { ends });
export const sendFlight = (id: string, flight: number) => asked<Film>(`/api/film/${id}/flight`, { flight });
export const sendSpeed = (id: string, times: number) => asked<Film>(`/api/film/${id}/speed`, { times });
export const sendCancel = (id: string) => asked<{ job: Job | null }>(`/api/film/${id}/cancel`, {});
export const sendMeasure = (id: string, model: string, at: { x: number; y: number; frame: number } | null) =>
  asked<{ job: Job | null }>(`/api/film/${id}/measure`, at ? { model, at } : { model });
