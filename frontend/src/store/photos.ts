/**
 * Photos of a job: safe first, then made ready, then recorded.
 *
 * The event must name the SHA-256 of the bytes that will be sent, and those are the small copy without metadata, never the camera's file
 * (it may say where the person lives). The copy takes up to seconds, and the page may die meanwhile. So:
 *   1. one strict transaction stores the original bytes in `originals` and a row in `in_hand` with job, step, caption and time: from here on it is safe;
 *   2. the worker makes the copy, and proves that it opens;
 *   3. one strict transaction stores copy, PhotoTaken event and outbox rows and removes the original: never both gone, never half of it.
 * If the page dies in between, the next start finds the row and goes on at 2. A picture that cannot be decoded stays as it is, with a
 * message, until the person saves it elsewhere or puts it away.
 */
import { knownAddress, newAddress } from "./addresses";
import { announce } from "./changes";
import { sha256Hex } from "./bytes";
import { isLostHandle, isStorageFull, read, writeStrict } from "./database";
import { newFact, packOf, recordFact } from "./journal";
import { rereadOutbox } from "./memory";
import type { JournalEvent } from "./pack-types";
import { message, refused } from "./refusal";
import { layReserve } from "./health";
import type { InHandRow, OriginalRow, OutboxRow, PhotoRow } from "./schema";
import { shrink as shrinkInWorker, type Shrink, type Shrunk } from "./shrink";
import { sniffed } from "./sniff";
import { uuidV7, wallText } from "./uuid";

const MOST_BYTES = 60 * 1024 * 1024;
const TRIES = 3;
const WAITS = "photo_waits_for_room";
let shrink: Shrink = shrinkInWorker;

/** Sets what makes the small copy (tests without a browser). */
export function setShrink(other: Shrink): void {
  shrink = other;
}

/** Takes a picture in and makes it ready. `onSafe` is called once the original is durable. See the head of this file. */
export async function addPhoto(job: string, step: string | null, file: Blob, caption: string, onSafe?: () => void): Promise<JournalEvent> {
  packOf(job);
  const data = await bytesOf(file);
  const mime = sniffed(new Uint8Array(data, 0, Math.min(data.byteLength, 16)));
  if (mime === null) throw refused("photo_kind", { kind: file.type || "unknown" });
  const row = await store(job, step, caption, mime, data);
  onSafe?.();
  return makeReady(row, data);
}

async function bytesOf(file: Blob): Promise<ArrayBuffer> {
  if (file.size > MOST_BYTES) throw refused("photo_too_large", { megabytes: Math.round(file.size / 1e6), limit: Math.round(MOST_BYTES / 1e6) });
  if (file.size === 0) throw refused("photo_empty");
  try {
    return await file.arrayBuffer();
  } catch {
    throw refused("photo_unreadable_file");
  }
}

async function store(job: string, step: string | null, caption: string, mime: string, data: ArrayBuffer): Promise<InHandRow> {
  const nowMs = Date.now();
  const sha256 = await sha256Hex(data);
  // Photos are the first to be refused: without its reserve the phone has room for notes only.
  if (!(await layReserve())) throw refused("storage_full_photo");
  const row: InHandRow = { id: uuidV7(nowMs), job, step, caption, wall: wallText(nowMs), mime, bytes: data.byteLength, sha256, tries: 0, message: null };
  const original: OriginalRow = { id: row.id, data };
  try {
    await writeStrict(["originals", "in_hand"], (tx) => Promise.all([tx.objectStore("originals").put(original), tx.objectStore("in_hand").put(row)]));
  } catch (error) {
    throw isStorageFull(error) ? refused("storage_full_photo") : isLostHandle(error) ? refused("storage_lost_photo") : error;
  }
  await showInHand();
  return row;
}

async function makeReady(row: InHandRow, data: ArrayBuffer): Promise<JournalEvent> {
  const small = await shrunk(row, data);
  const sha256 = await sha256Hex(small.data);
  const event = await recordCopy(row, small, sha256).catch((error: unknown) => waitForRoom(row, error));
  await showInHand();
  return event;
}

/** The picture is safe; only its copy found no room. The row says so, if even that fits, and a later start goes on with it. */
async function waitForRoom(row: InHandRow, error: unknown): Promise<never> {
  if (!isStorageFull(error) && !isLostHandle(error)) throw error;
  const trouble = message(WAITS);
  await changeInHand({ ...row, message: trouble }).catch(() => undefined);
  throw refused(WAITS);
}

async function shrunk(row: InHandRow, data: ArrayBuffer): Promise<Shrunk> {
  try {
    return await shrink(data, row.mime);
  } catch (error) {
    const code = row.mime === "image/heic" ? "photo_heic" : "photo_not_readable";
    const trouble = message(code, { detail: error instanceof Error ? error.message : String(error) });
    await changeInHand({ ...row, tries: row.tries + 1, message: trouble });
    throw refused(code, trouble.values);
  }
}

async function recordCopy(row: InHandRow, small: Shrunk, sha256: string): Promise<JournalEvent> {
  const body = { step: row.step, sha256, mime: "image/jpeg", bytes: small.data.byteLength, width: small.width, height: small.height, caption: row.caption };
  const fact = { ...newFact(row.job, "PhotoTaken", body, packOf(row.job)), id: row.id, wall: row.wall };
  const photo: PhotoRow = { sha256, mime: "image/jpeg", job: row.job, data: small.data };
  const waiting: OutboxRow = {
    id: sha256, kind: "photo", job: row.job, device: "", order: Date.now(), bytes: small.data.byteLength, mime: "image/jpeg", upload: null, attention: null,
  };
  return recordFact(fact, {
    stores: ["photos", "in_hand", "originals"], outbox: [waiting],
    put: (tx) => [tx.objectStore("photos").put(photo), tx.objectStore("in_hand").delete(row.id), tx.objectStore("originals").delete(row.id)],
  });
}

async function changeInHand(row: InHandRow): Promise<void> {
  await writeStrict(["in_hand"], async (tx) => {
    const held = await tx.objectStore("in_hand").get(row.id);
    if (held) await tx.objectStore("in_hand").put(row); // gone: another tab has finished it
  });
  await showInHand();
}

async function showInHand(): Promise<void> {
  await rereadOutbox();
  announce({ type: "changed", part: "in_hand" });
}

/** At start: goes on with pictures that a dying page left behind; one that failed three times waits for the person. */
export function recoverPhotos(): Promise<void> {
  return goOnWith((row) => row.tries < TRIES);
}

/** Goes on with pictures whose copy found no room; only with those, since others may just be in the making. */
export function recoverWaitingPhotos(): Promise<void> {
  return goOnWith((row) => row.message?.code === WAITS);
}

async function goOnWith(due: (row: InHandRow) => boolean): Promise<void> {
  const rows = await read(["in_hand"], (tx) => tx.objectStore("in_hand").getAll());
  for (const row of rows.filter(due)) {
    const original = await read(["originals"], (tx) => tx.objectStore("originals").get(row.id));
    if (!original || (await sha256Hex(original.data)) !== row.sha256) await changeInHand({ ...row, tries: TRIES, message: message("photo_damaged") });
    else await makeReady(row, original.data).catch(() => undefined); // the reason stands in the row's message
  }
}

/** Puts away a picture in hand that the person no longer wants. A recorded photo is never put away. */
export async function discardPhoto(id: string): Promise<void> {
  await writeStrict(["in_hand", "originals"], (tx) => Promise.all([tx.objectStore("in_hand").delete(id), tx.objectStore("originals").delete(id)]));
  await showInHand();
}

/** A blob: address of a photo (by hash) or of a picture in hand (by id). Re-hashed first: bytes that changed are not shown as good. */
export async function photoUrl(id: string): Promise<string | "damaged" | "missing"> {
  const known = knownAddress(id);
  if (known) return known;
  const row = (await photoRow(id)) ?? (await originalRow(id));
  if (row === null) return "missing";
  if ((await sha256Hex(row.data)) !== row.sha256) return "damaged";
  return newAddress(id, row.data, row.mime);
}

async function photoRow(sha256: string) {
  return (await read(["photos"], (tx) => tx.objectStore("photos").get(sha256))) ?? null;
}

async function originalRow(id: string) {
  const [row, original] = await read(["in_hand", "originals"], (tx) => Promise.all([tx.objectStore("in_hand").get(id), tx.objectStore("originals").get(id)]));
  return row && original ? { sha256: row.sha256, mime: row.mime, data: original.data } : null;
}
