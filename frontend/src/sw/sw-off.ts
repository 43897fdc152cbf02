/**
 * The kill switch: a worker that takes itself and the cached app files away, and nothing else. Notes, photos and packs are in IndexedDB
 * and stay. To use it, serve dist/sw-off.js at /sw.js; each phone fetches it at its next visit with a connection, then works straight
 * from the server until a good sw.js is served again. Never send Clear-Site-Data: "storage" instead: that deletes unsent notes.
 */
const worker = self as unknown as ServiceWorkerGlobalScope;

worker.addEventListener("install", (event) => event.waitUntil(worker.skipWaiting()));
worker.addEventListener("activate", (event) => event.waitUntil(goAway()));

async function goAway(): Promise<void> {
  const shells = (await caches.keys()).filter((name) => name.startsWith("shell-"));
  await Promise.all(shells.map((name) => caches.delete(name)));
  await worker.registration.unregister();
}
