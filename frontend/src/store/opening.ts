/** The start of the app: in which order the parts of the phone's data come to life. */
import { startSync } from "../sync/sync";
import { checkShell, watchForUpdates } from "./app-update";
import { onChange, type Change } from "./changes";
import { subtle } from "./bytes";
import { database, onLettingGo, readMeta } from "./database";
import { ensureDevice } from "./device";
import { recoverDrafts, saveDraftsNow } from "./drafts";
import { showEnrolment } from "./enrolment";
import { layReserve, showStorage } from "./health";
import { recoverRescued } from "./journal";
import { showLibrary } from "./library";
import { showMachines } from "./machines";
import { loadMemory, rereadJournal, rereadOutbox, showOutbox } from "./memory";
import { recoverPhotos, recoverWaitingPhotos } from "./photos";
import { showPrefs } from "./prefs";
import { BenchError, refused } from "./refusal";
import { storage } from "./signals";
import { readPinnedPacks } from "./summary";
import { showTools } from "./tools";

let opened: Promise<void> | null = null;

/** Refused("insecure_page"), ("storage_unavailable"), ("storage_newer"). A second call joins the first. */
export function openBench(): Promise<void> {
  opened ??= open().catch((error: unknown) => {
    opened = null;
    throw error;
  });
  return opened;
}

async function open(): Promise<void> {
  subtle();
  await openStorage();
  await Promise.all([loadMemory(), showMachines(), showPrefs(), showTools(), showEnrolment(), showLibrary()]);
  await readPinnedPacks();
  showOutbox({ lastSent: (await readMeta("sync"))?.lastSent ?? null });
  await recoverDrafts().catch(() => undefined); // no room for them: they stay in their slot, where they are read as well
  onChange((change) => void hear(change).catch(say));
  onLettingGo(saveDraftsNow);
  document.addEventListener("visibilitychange", () => (document.visibilityState === "hidden" ? saveDraftsNow() : void roomAgain().catch(say)));
  addEventListener("pagehide", saveDraftsNow);
  void afterOpening().catch(say);
}

async function openStorage(): Promise<void> {
  try {
    await database();
    await ensureDevice();
  } catch (error) {
    if (error instanceof BenchError) throw error;
    if (error instanceof DOMException && error.name === "VersionError") throw refused("storage_newer");
    const detail = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
    throw refused(NO_ROOM.has((error as Error).name) ? "storage_not_opened" : "storage_unavailable", { detail });
  }
}

// what the browsers say of a database that cannot be opened or written for want of room
const NO_ROOM = new Set(["QuotaExceededError", "UnknownError", "AbortError"]);

/** What may take a while and must not hold up the first screen. The order matters: notes left behind come before photos, both before sending. */
async function afterOpening(): Promise<void> {
  await recoverRescued();
  startSync();
  await watchForUpdates();
  await layReserve();
  await showStorage();
  await recoverPhotos();
  if ("requestIdleCallback" in globalThis) requestIdleCallback(checkShell);
}

/** The person was away, perhaps to free space on the phone: then what found no room is done now. */
async function roomAgain(): Promise<void> {
  if (storage.peek().reserve !== "spent" || !(await layReserve())) return;
  await recoverRescued();
  await recoverWaitingPhotos();
}

/** Another tab wrote something. */
async function hear(change: Change): Promise<void> {
  if (change.type !== "changed") return;
  switch (change.part) {
    case "journal": await rereadJournal(change.job); return readPinnedPacks();
    case "outbox":
    case "in_hand": return rereadOutbox();
    case "library": return showLibrary();
    case "machines": return showMachines();
    case "enrolment": await showEnrolment(); return rereadOutbox();
    case "prefs": return showPrefs();
    case "tools": return showTools();
  }
}

/** A fault that no screen asked for: shown with the storage, never swallowed. */
function say(error: unknown): void {
  console.error(error);
  const detail = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  storage.value = { ...storage.peek(), problem: error instanceof BenchError ? error.shown : refused("storage_unavailable", { detail }).shown };
}
