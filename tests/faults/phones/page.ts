/** What one page of a simulated phone can do: the app's own storage, journal, photos and sync, without screens and without a browser. */
import { sha256Hex } from "../../../frontend/src/store/bytes";
import { read, readMeta, writeStrict, type WriteTx } from "../../../frontend/src/store/database";
import { ensureDevice } from "../../../frontend/src/store/device";
import { enrol, markRevoked, showEnrolment } from "../../../frontend/src/store/enrolment";
import { newFact, recordFact, recoverRescued } from "../../../frontend/src/store/journal";
import { allJobs, loadMemory, rereadOutbox } from "../../../frontend/src/store/memory";
import { addPhoto, recoverPhotos, setShrink } from "../../../frontend/src/store/photos";
import { enrolment, outbox, storage } from "../../../frontend/src/store/signals";
import type { StoreName } from "../../../frontend/src/store/schema";
import type { Tell, Why } from "../../../frontend/src/sync/engine-types";
import { outboxStorage, releaseHeld } from "../../../frontend/src/sync/outbox";
import { newRunner, type Runner } from "../../../frontend/src/sync/runner";
import { httpTransport } from "../../../frontend/src/sync/transport";

const STORES = ["meta", "events", "outbox", "photos", "in_hand", "originals", "receipts", "attention"] as const;
const PACK = "a".repeat(64);
const troubles: string[] = [];
const safe: string[] = [];
let working = 0;
let runner: Runner;

/** Work that nobody waits for, as sync.ts starts it; the page is at rest only when all of it is done. */
function during(work: Promise<unknown>): void {
  working += 1;
  work.catch(trouble).finally(() => (working -= 1));
}

function trouble(error: unknown): void {
  troubles.push(error instanceof Error ? `${error.name}: ${error.message}` : String(error));
}

function told(tell: Tell): void {
  if (tell.tell === "revoked") during(markRevoked());
  if (tell.tell === "finished") during(Promise.all([rereadOutbox(), showEnrolment()]));
}

/** Starts the page as opening.ts does, less what belongs to screens, packs and the service worker. */
export async function open(): Promise<void> {
  // The picture is taken as it is: making the small copy needs a browser, and has its own tests there.
  setShrink(async (data) => ({ data, width: 8, height: 8 }));
  runner = newRunner(outboxStorage, httpTransport, { nowMs: () => performance.now(), chance: () => Math.random() }, told, trouble);
  await ensureDevice();
  await Promise.all([loadMemory(), showEnrolment()]);
  await recoverRescued();
  await recoverPhotos();
}

export async function note(job: string, text: string): Promise<object> {
  const event = await recordFact(newFact(job, "NoteWritten", { step: null, text }, PACK));
  return { id: event.id, sha256: await hashOf(event.id) };
}

/** A photo of a job that has begun here. */
export async function photo(job: string, data: Uint8Array<ArrayBuffer>): Promise<object> {
  const hash = await sha256Hex(data);
  if (!allJobs().includes(job)) await recordFact(newFact(job, "NoteWritten", { step: null, text: "" }, PACK));
  const event = await addPhoto(job, null, new Blob([data]), "", () => safe.push(hash));
  return { id: event.id, sha256: await hashOf(event.id), photo: event.body.sha256, bytes: event.body.bytes };
}

async function hashOf(id: string): Promise<string | undefined> {
  return (await read(["events"], (tx) => tx.objectStore("events").get(id)))?.sha256;
}

export async function wake(why: Why): Promise<void> {
  if (why === "button") await releaseHeld();
  runner.wake(why);
}

export { enrol };

/** Whether this phone believes that the dealer takes its notes. */
export function joined(): boolean {
  const known = enrolment.peek();
  return known !== null && !known.revoked;
}

export function atRest(): boolean {
  return working === 0;
}

export function busy(): boolean {
  return runner.busy();
}

export function heard(): string[] {
  return troubles.splice(0);
}

/** Pictures that the person was told are safe, since the last time. */
export function calledSafe(): string[] {
  return safe.splice(0);
}

/** What lies on the phone, photos as the hash of the bytes that are really there. */
export async function dump(): Promise<object> {
  const rows = await read([...STORES], async (tx) => Promise.all(STORES.map((name) => tx.objectStore(name).getAll())));
  const [, events, outboxRows, photos, inHand, originals, receipts, attention] = rows as unknown[][];
  const pictures = await Promise.all((photos as { sha256: string; data: ArrayBuffer }[]).map(async (row) => [row.sha256, await sha256Hex(row.data)]));
  const [head, sync] = await Promise.all([readMeta("head"), readMeta("sync")]);
  const kept = (originals as { id: string }[]).map((row) => row.id);
  return { head, sync, events, outbox: outboxRows, photos: pictures, inHand, originals: kept, receipts, attention, shown: outbox.peek(), problem: storage.peek().problem };
}

/** All rows with their keys, to be put back later: the copy of a phone that an older backup restores. */
export async function snapshot(): Promise<[string, IDBValidKey, unknown][]> {
  const all: [string, IDBValidKey, unknown][] = [];
  await read([...STORES], async (tx) => {
    for (const name of STORES) {
      const [keys, values] = await Promise.all([tx.objectStore(name).getAllKeys(), tx.objectStore(name).getAll()]);
      keys.forEach((key, at) => all.push([name, key, values[at]]));
    }
  });
  return all;
}

/** Fills a phone out of the box with the rows of a snapshot. */
export async function fill(rows: [string, IDBValidKey, unknown][]): Promise<void> {
  const put = (tx: WriteTx, name: string, key: IDBValidKey, value: unknown) =>
    (name === "meta" ? tx.objectStore("meta").put(value, key as string) : tx.objectStore(name as StoreName).put(value as never));
  await writeStrict([...STORES], (tx) => Promise.all(rows.map(([name, key, value]) => put(tx, name, key, value))));
}
