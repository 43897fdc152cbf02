/**
 * Keeps the app's own files on the phone and answers from them. It caches nothing else: packs, photos and notes are in IndexedDB, and
 * /api is never touched. Its list of files, each with its SHA-256, is put in by build.mjs.
 *
 *   install   every file fetched past the HTTP cache and hashed; one wrong byte fails the install, and the old version stays in force
 *   waiting   until a page says SKIP_WAITING, which it does only with consent and while no job is open (store/app-update.ts)
 *   activate  removes shells older than the one before this
 *   fetch     a navigation to an app path gets the cached page at once; a network-first answer can hang for ever in flight mode
 *
 * Kill switch: serve sw-off.js in place of sw.js (sw-off.ts).
 */
import { isAppPath } from "./app-paths";

type ShellFile = { url: string; sha256: string };
declare const __SHELL__: ShellFile[];
declare const __VERSION__: string;

const worker = self as unknown as ServiceWorkerGlobalScope;
const CACHE = `shell-${__VERSION__}`;
const SHELL = new Map(__SHELL__.map((file) => [file.url, file]));

worker.addEventListener("install", (event) => event.waitUntil(install()));
// claim: a page that no worker has in charge would let the next version come into force without asking
worker.addEventListener("activate", (event) => event.waitUntil(dropOldShells().then(() => worker.clients.claim())));
worker.addEventListener("message", (event) => {
  const { type } = (event.data ?? {}) as { type?: string };
  if (type === "SKIP_WAITING") event.waitUntil(worker.skipWaiting());
  if (type === "VERSION") event.ports[0]?.postMessage({ version: __VERSION__ });
  if (type === "CHECK") event.waitUntil(mendShell().then((bad) => event.ports[0]?.postMessage({ version: __VERSION__, bad })));
});
worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== worker.location.origin) return;
  if (request.mode === "navigate") {
    if (isAppPath(pathname)) event.respondWith(fromShell("/", request));
  } else if (SHELL.has(pathname) || pathname.startsWith("/assets/")) {
    event.respondWith(fromShell(pathname, request));
  }
});

async function install(): Promise<void> {
  const before = await caches.has(CACHE);
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(__SHELL__.map((file) => fetchInto(cache, file)));
  } catch (error) {
    // a half-filled shell must not be mistaken for a whole one; one that an earlier worker of this version filled is left alone
    if (!before) await caches.delete(CACHE);
    throw error;
  }
}

/** Throws when the file is not exactly what was built: an error page, a proxy's rewriting, a deploy half done. */
async function fetchInto(cache: Cache, file: ShellFile): Promise<void> {
  const response = await fetch(file.url, { cache: "reload", credentials: "same-origin", redirect: "error" });
  if (!response.ok || response.type !== "basic") throw new Error(`${file.url} was answered with ${response.status}`);
  if ((await hashOf(response.clone())) !== file.sha256) throw new Error(`${file.url} is not the file of version ${__VERSION__}`);
  await cache.put(file.url, response);
}

async function hashOf(response: Response): Promise<string> {
  const digest = await crypto.subtle.digest("SHA-256", await response.arrayBuffer());
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The current shell and the one before it stay, so that a broken release can be rolled back without a network. Names come in order of making. */
async function dropOldShells(): Promise<void> {
  const others = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== CACHE);
  await Promise.all(others.slice(0, -1).map((name) => caches.delete(name)));
}

/** From this version's shell; a page of the version before may still ask for its own files; and if the cache fails, the network is left. */
async function fromShell(path: string, request: Request): Promise<Response> {
  try {
    const own = await (await caches.open(CACHE)).match(path, { ignoreVary: true });
    const found = own ?? (path === "/" ? undefined : await caches.match(path, { ignoreVary: true }));
    if (found) return found;
  } catch {
    // iOS has failed here in whole releases (offline.md 1.3): an uncaught error would leave a blank page
  }
  return fetch(request);
}

/** Hashes what is cached and fetches anew what is missing or was changed; the addresses that could not be mended. */
async function mendShell(): Promise<string[]> {
  const cache = await caches.open(CACHE);
  const bad: string[] = [];
  for (const file of __SHELL__) {
    const held = await cache.match(file.url, { ignoreVary: true });
    if (held && (await hashOf(held)) === file.sha256) continue;
    await fetchInto(cache, file).catch(() => bad.push(file.url));
  }
  return bad;
}
