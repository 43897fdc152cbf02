/**
 * The database handle: opening, losing, reopening, and the one way to write durably.
 * Knows IndexedDB's faults; nothing of what the rows mean.
 */
import { openDB, type IDBPDatabase, type IDBPTransaction } from "idb";
import { refused } from "./refusal";
import { roomToOpen, roomToWrite } from "./room";
import { DATABASE, VERSION, upgrade, type BenchSchema, type MetaRow, type StoreName } from "./schema";

export type Handle = IDBPDatabase<BenchSchema>;
export type WriteTx = IDBPTransaction<BenchSchema, StoreName[], "readwrite">;
export type ReadTx = IDBPTransaction<BenchSchema, StoreName[], "readonly">;

let opening: Promise<Handle> | null = null;
const beforeClose = new Set<() => void>();

/** Runs `save` when another tab needs this one to let go of the database (it asks for a newer version). */
export function onLettingGo(save: () => void): void {
  beforeClose.add(save);
}

/** The open handle; opens when there is none. */
export function database(): Promise<Handle> {
  opening ??= open().catch((error: unknown) => {
    opening = null;
    throw error;
  });
  return opening;
}

async function open(): Promise<Handle> {
  if (!globalThis.indexedDB) throw refused("storage_unavailable", { detail: "no IndexedDB" });
  if (!(await roomToOpen())) throw noRoom();
  const handle: Handle = await openDB<BenchSchema>(DATABASE, VERSION, {
    upgrade: (db, from) => upgrade(db, from),
    // versionchange: another tab waits in "blocked" until this one closes, so drafts are saved and the handle let go at once.
    blocking: () => {
      beforeClose.forEach((save) => save());
      letGo(handle);
    },
    // onclose: the browser's storage process died (iOS after sleep, offline.md 2.5) or the data were cleared.
    terminated: () => letGo(handle),
  });
  return handle;
}

function noRoom(): DOMException {
  return new DOMException("no room on the disk", "QuotaExceededError");
}

function letGo(handle: Handle): void {
  opening = null;
  try {
    handle.close();
  } catch {
    // a handle whose storage process died can refuse even to close; it is given up either way
  }
}

/** Closes the database; the next use opens it again. */
export async function closeDatabase(): Promise<void> {
  const handle = await opening?.catch(() => null);
  if (handle) letGo(handle);
}

const LOST = new Set(["UnknownError", "InvalidStateError", "AbortError"]);
const TRIES = 4;

/** True for the faults that a fresh handle can mend. Source: offline.md 2.5 (reports 2018 to 2026), our own selection. */
export function isLostHandle(error: unknown): boolean {
  return (error instanceof Error || error instanceof DOMException) && LOST.has(error.name);
}

/** No room for what was written. Chromium on a full disk calls it a DataError when the value is large (seen in 156). */
export function isStorageFull(error: unknown): boolean {
  if (!(error instanceof DOMException || error instanceof Error)) return false;
  return error.name === "QuotaExceededError" || (error.name === "DataError" && /write blobs/i.test(error.message));
}

/** Runs `work` on a handle; when the handle was lost, closes it, reopens and runs `work` again, three times. `work` must be idempotent. */
async function withHandle<T>(work: (handle: Handle) => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt++) {
    const handle = await database();
    try {
      return await work(handle);
    } catch (error) {
      if (!isLostHandle(error) || attempt === TRIES) throw error;
      letGo(handle);
      await new Promise((go) => setTimeout(go, 50 * attempt));
    }
  }
}

/**
 * One transaction whose promise resolves only after `complete`. Inside `work` nothing may be awaited but this transaction's own requests:
 * awaiting a hash or a blob closes it in Firefox and WebKit, with half of the puts committed (offline.md 2.4).
 */
async function run<T>(handle: Handle, stores: StoreName[], durability: "strict" | "relaxed", work: (tx: WriteTx) => Promise<T>): Promise<T> {
  if (!(await roomToWrite())) throw noRoom();
  const tx = handle.transaction(stores, "readwrite", { durability });
  const done = tx.done;
  done.catch(() => undefined);
  let result: T;
  try {
    result = await work(tx);
  } catch (error) {
    try {
      tx.abort();
    } catch {
      // already aborted by the browser: its reason is in tx.error
    }
    await done.catch(() => undefined);
    throw tx.error ?? error;
  }
  await done;
  return result;
}

/** What a person made: flushed to the disk before the promise resolves. */
export function writeStrict<T>(stores: StoreName[], work: (tx: WriteTx) => Promise<T>): Promise<T> {
  return withHandle((handle) => run(handle, stores, "strict", work));
}

/** What can be fetched or computed again: packs, pictures, caches. */
export function writeRelaxed<T>(stores: StoreName[], work: (tx: WriteTx) => Promise<T>): Promise<T> {
  return withHandle((handle) => run(handle, stores, "relaxed", work));
}

export function read<T>(stores: StoreName[], work: (tx: ReadTx) => Promise<T>): Promise<T> {
  return withHandle((handle) => work(handle.transaction(stores, "readonly")));
}

export async function readMeta<K extends keyof MetaRow>(key: K): Promise<MetaRow[K] | undefined> {
  return (await read(["meta"], (tx) => tx.objectStore("meta").get(key))) as MetaRow[K] | undefined;
}

export async function writeMeta<K extends keyof MetaRow>(key: K, value: MetaRow[K]): Promise<void> {
  await writeStrict(["meta"], (tx) => tx.objectStore("meta").put(value, key));
}
