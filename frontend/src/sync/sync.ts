/**
 * When to send: the triggers, the one timer, the lock between tabs, and what the screens are told.
 * Background sync does not exist on iPhones (offline.md 3), so everything rests on the moments in which the page is on screen.
 */
import { announce, onChange } from "../store/changes";
import { markRevoked, showEnrolment } from "../store/enrolment";
import { onSaved } from "../store/journal";
import { noteServerTime, refreshAfterContact } from "../store/library";
import { layReserve } from "../store/health";
import { rereadOutbox, setItem, showOutbox } from "../store/memory";
import { message } from "../store/refusal";
import { connection, enrolment, outbox } from "../store/signals";
import { readMeta } from "../store/database";
import { asLeader, heardLeader } from "./leader";
import type { Tell, Why } from "./engine-types";
import { tellHeld } from "./held";
import { outboxStorage, releaseHeld } from "./outbox";
import { newRunner } from "./runner";
import { sendLastBatch } from "./last-batch";
import { httpTransport } from "./transport";

const TICK_MS = 45_000;
const LIBRARY_EVERY_MS = 10 * 60_000;
const SOON_MS = 300;
const JITTER_MS = 700;

// performance.now(): a wall clock set back by years must not make the phone wait for years
const clock = { nowMs: () => performance.now(), chance: () => Math.random() };
const runner = newRunner(outboxStorage, httpTransport, clock, told, broke);
let timer: ReturnType<typeof setTimeout> | undefined;
let timerAtMs = Infinity;
let roundEnds: (() => void) | null = null;
let libraryMs = -Infinity;

/** Attaches the triggers and asks for the first round. */
export function startSync(): void {
  onSaved(() => {
    if (enrolment.peek() && !enrolment.peek()?.revoked) syncSoon("saved");
  });
  document.addEventListener("visibilitychange", () => (document.visibilityState === "visible" ? syncSoon("visible") : sendLastBatch()));
  addEventListener("pageshow", (event) => event.persisted && syncSoon("visible"));
  addEventListener("online", () => syncSoon("online"));
  setInterval(tick, TICK_MS);
  onChange((change) => {
    if (change.type === "sync-wanted" && runner.busy()) runner.wake(change.why as Why);
    if (change.type === "sync-alive") hearLeader(change.sending, change.reached);
  });
  syncSoon("start");
}

/** While the page is on screen: every 45 s when something waits, every 10 min for the library. */
function tick(): void {
  const { notes, photos } = outbox.peek();
  const due = notes + photos > 0 || clock.nowMs() - libraryMs > LIBRARY_EVERY_MS;
  if (document.visibilityState === "visible" && due) plan(0, "timer");
}

export function syncSoon(why: Why): void {
  if (why === "button") void releaseHeld().catch(broke).then(() => plan(0, why));
  else plan(SOON_MS + Math.random() * JITTER_MS, why);
}

/** One timer, always for the earliest wish. */
function plan(delayMs: number, why: Why): void {
  const atMs = clock.nowMs() + delayMs;
  if (atMs >= timerAtMs) return;
  clearTimeout(timer);
  timerAtMs = atMs;
  timer = setTimeout(() => {
    timerAtMs = Infinity;
    void round(why).catch(broke);
  }, delayMs);
}

async function round(why: Why): Promise<void> {
  if (runner.busy()) return runner.wake(why);
  await asLeader(why, clock.nowMs(), async () => {
    const ended = new Promise<void>((end) => (roundEnds = end));
    runner.wake(why);
    if (runner.busy()) await ended;
  });
}

function told(tell: Tell): void {
  switch (tell.tell) {
    case "sending": return showSending(tell);
    case "wake-in": return plan(tell.delayMs, "timer");
    case "reached": return void (connection.value = tell.reached ? "reached" : "not_reached");
    case "library": return void library(tell.serverMs, tell.why).catch(broke);
    case "revoked": return void markRevoked().catch(broke);
    case "problem": return showOutbox({ problem: tell.code === null ? null : message(tell.code) });
    case "finished": return void finished(tell.sentAny).catch(broke);
  }
}

function showSending({ what, done, total, ids }: Extract<Tell, { tell: "sending" }>): void {
  const sending = what === null ? null : { what, done, total };
  for (const id of ids) setItem(id, { state: "sending", receivedAt: null });
  showOutbox({ sending, ...(what === null ? {} : { problem: null }) });
  announce({ type: "sync-alive", sending, reached: connection.peek() === "reached" });
}

/** After a contact: keep the server's time, and look for new packs now and then, always when the person asks. */
async function library(serverMs: number, why: Why): Promise<void> {
  await noteServerTime(serverMs);
  if (why !== "button" && clock.nowMs() - libraryMs < LIBRARY_EVERY_MS) return;
  libraryMs = clock.nowMs();
  await refreshAfterContact(serverMs);
  await tellHeld();
}

async function finished(sentAny: boolean): Promise<void> {
  roundEnds?.();
  roundEnds = null;
  await Promise.all([rereadOutbox(), showEnrolment()]);
  showOutbox({ lastSent: (await readMeta("sync"))?.lastSent ?? null });
  if (sentAny) await layReserve();
  if (connection.peek() === "reached") await tellHeld();
}

function hearLeader(sending: typeof outbox.value.sending, reached: boolean | null): void {
  heardLeader(clock.nowMs());
  showOutbox({ sending });
  if (reached !== null) connection.value = reached ? "reached" : "not_reached";
}

/** A fault of this phone, not of the way to the dealer: said in the outbox, with the engine's words for a report. */
function broke(error: unknown): void {
  console.error(error);
  showOutbox({ problem: message("sync_storage_failed", { detail: error instanceof Error ? `${error.name}: ${error.message}` : String(error) }) });
}
