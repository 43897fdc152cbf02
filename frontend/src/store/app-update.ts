/**
 * New versions of the app: found, offered, and put in force only with consent and while no job is open in any tab.
 * Pages with a job on screen hold the lock "job-open" shared; putting a version in force needs it exclusively.
 */
import { flushDrafts, saveDraftsNow } from "./drafts";
import { message } from "./refusal";
import { storage, update } from "./signals";
import { ownScript } from "./trusted";

const LOCK = "job-open";
const RELOADED = "benchtrail.reloaded";
const APPLY_MS = 10_000;
let registration: ServiceWorkerRegistration | null = null;
let jobsOpen = 0;

/** Registers the service worker and watches for a newer one. Without service workers the app runs, but only while connected. */
export async function watchForUpdates(): Promise<void> {
  const workers: ServiceWorkerContainer | undefined = globalThis.navigator?.serviceWorker;
  if (!workers || import.meta.env.DEV) return;
  let firstVisit = workers.controller === null;
  workers.addEventListener("controllerchange", () => {
    // at the first visit the worker only takes charge of the page that brought it; and one that takes over unasked (the kill switch)
    // must not reload a page with a job on it
    if (!firstVisit && jobsOpen === 0) reloadOnce();
    firstVisit = false;
  });
  registration = await workers.register(ownScript("/sw.js"), { updateViaCache: "none", type: "classic" }).catch(() => null);
  if (!registration) return;
  if (registration.waiting) update.value = "ready";
  if (registration.installing) follow(registration.installing);
  registration.addEventListener("updatefound", () => registration?.installing && follow(registration.installing));
  document.addEventListener("visibilitychange", () => void (document.visibilityState === "visible" && lookForUpdate()));
}

function lookForUpdate(): void {
  registration?.update().catch(() => undefined); // no connection: looked for again next time
}

/** "installed" beside a controller is a newer version that waits; "redundant" before that is one that could not be installed whole. */
function follow(worker: ServiceWorker): void {
  let installed = false;
  worker.addEventListener("statechange", () => {
    if (worker.state === "installed") {
      installed = true;
      if (registration?.active) update.value = "ready";
    }
    if (worker.state === "redundant" && !installed) update.value = "failed";
  });
}

/** Puts the waiting version in force; "held_by_job" while any tab has a job open. */
export async function applyUpdate(): Promise<void> {
  // asked of the browser anew: pressed right after opening, the page may not yet have its own registration in hand
  const waiting = (registration ?? (await navigator.serviceWorker?.getRegistration()))?.waiting;
  if (!waiting) return;
  await flushDrafts();
  saveDraftsNow();
  if (!navigator.locks) return apply(waiting);
  await navigator.locks.request(LOCK, { mode: "exclusive", ifAvailable: true }, async (lock) => {
    if (lock === null) return void (update.value = "held_by_job");
    await apply(waiting);
  });
}

/** Holds the lock until the new worker is in force, so that no job opens on the old code in between. */
async function apply(waiting: ServiceWorker): Promise<void> {
  const active = new Promise<boolean>((resolve) => {
    const timer = setTimeout(() => resolve(false), APPLY_MS);
    waiting.addEventListener("statechange", () => {
      if (waiting.state !== "activated") return;
      clearTimeout(timer);
      resolve(true);
    });
  });
  waiting.postMessage({ type: "SKIP_WAITING" });
  if (await active) reloadOnce();
  else update.value = "failed";
}

/** At most one reload in half a minute: whatever goes wrong between two versions, the page never turns in a circle. */
function reloadOnce(): void {
  const lastMs = Number(sessionStorage.getItem(RELOADED) ?? 0);
  if (Date.now() - lastMs < 30_000) return;
  sessionStorage.setItem(RELOADED, String(Date.now()));
  location.reload();
}

/** Has the worker compare its cached files with the hashes it was built with, and mend what differs; says so when it cannot. */
export function checkShell(): void {
  const active = registration?.active;
  if (!active) return;
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }: MessageEvent<{ bad: string[] }>) => {
    if (data.bad.length > 0) storage.value = { ...storage.peek(), problem: storage.peek().problem ?? message("shell_damaged") };
  };
  active.postMessage({ type: "CHECK" }, [port2]);
}

/** Holds back updates while a job is on screen; call what it returns on leaving. */
export function holdJobOpen(): () => void {
  let release: () => void = () => undefined;
  const held = new Promise<void>((resolve) => (release = resolve));
  void navigator.locks?.request(LOCK, { mode: "shared" }, () => held).catch(() => undefined);
  jobsOpen += 1;
  let left = false;
  return () => {
    if (left) return;
    left = true;
    jobsOpen -= 1;
    release();
    if (update.peek() === "held_by_job") update.value = "ready";
  };
}
