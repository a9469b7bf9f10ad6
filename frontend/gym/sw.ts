/** Keeps the shell, and nothing else: no names, no results. The page comes from the network, or after a moment from here. */
declare const SHELL: string[];
declare const STAMP: string;

interface Worker {
  addEventListener(name: string, work: (event: WorkerEvent) => void): void;
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
  location: Location;
}
interface WorkerEvent { request: Request; waitUntil(work: Promise<unknown>): void; respondWith(answer: Promise<Response>): void }

const worker = self as unknown as Worker;
const DRAWER = `loftbook-gym-${STAMP}`;
const PATIENCE_MS = 1500;

worker.addEventListener("install", (event) => {
  event.waitUntil(
    caches.open(DRAWER).then((drawer) => drawer.addAll(SHELL.map((address) => new Request(address, { cache: "no-cache" })))).then(() => worker.skipWaiting()),
  );
});

worker.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("loftbook-gym-") && name !== DRAWER).map((name) => caches.delete(name))))
      .then(() => worker.clients.claim()),
  );
});

worker.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== worker.location.origin) return;
  if (event.request.mode === "navigate") {
    if (address.pathname === "/gym") event.respondWith(page(event.request));
  } else if (SHELL.includes(address.pathname)) event.respondWith(asset(event.request, address.pathname));
});

async function page(request: Request): Promise<Response> {
  const kept = await (await caches.open(DRAWER)).match("/gym");
  if (!kept) return fetch(request);
  const stop = new AbortController();
  const patience = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(request, { signal: stop.signal });
    return answer.status < 500 ? answer : kept;
  } catch {
    return kept;
  } finally {
    clearTimeout(patience);
  }
}

/** Their names change with their content, so what is kept is right. */
async function asset(request: Request, path: string): Promise<Response> {
  return (await (await caches.open(DRAWER)).match(path)) ?? fetch(request);
}
