/**
 * The engine's storage on IndexedDB: what waits, what was received, what came in.
 * Every change is one strict transaction; nothing leaves the outbox but together with the receipt that names its hash.
 */
import { announce } from "../store/changes";
import { sha256Hex, type Bytes } from "../store/bytes";
import { read, readMeta, writeStrict } from "../store/database";
import { renewDevice } from "../store/device";
import { rereadOutbox } from "../store/memory";
import { message } from "../store/refusal";
import type { EventRow, OutboxRow, ReceiptRow, SyncRow } from "../store/schema";
import { compare, heal, settle } from "./outbox-compare";
import { AGAIN, keepPulled } from "./outbox-pull";
import type { Answers, PhotoReceipt, Result } from "./engine-types";
import type { SyncStorage } from "./storage-port";

export const BATCH_BYTES = 64_000;
export const NO_SYNC: SyncRow = { cursor: null, epoch: null, lastSent: null };

export const outboxStorage: SyncStorage = {
  batch, keepResults, hold, photo, keepUpload, piece, keepReceipt, keepPulled, compare, settle, heal,
  cursor: async () => (await readMeta("sync"))?.cursor ?? null,
  restartPull: () => changeSync({ cursor: null }),
};

export async function changeSync(changes: Partial<SyncRow>): Promise<void> {
  await writeStrict(["meta"], async (tx) => {
    const store = tx.objectStore("meta");
    const row = ((await store.get("sync")) as SyncRow | undefined) ?? NO_SYNC;
    await store.put({ ...row, ...changes }, "sync");
  });
}

async function batch(max: number): Promise<Answers["batch"]> {
  const [enrolment, sync] = await Promise.all([readMeta("enrolment"), readMeta("sync")]);
  const { rows, inHand } = await read(["outbox", "in_hand"], async (tx) => {
    const [all, count] = await Promise.all([tx.objectStore("outbox").getAll(), tx.objectStore("in_hand").count()]);
    return { rows: all, inHand: count };
  });
  const chosen = firstThatFit(rows.filter((row) => row.kind === "event" && row.attention === null).sort(byNumber), max);
  const found = await read(["events"], (tx) => Promise.all(chosen.map((row) => tx.objectStore("events").get(row.id))));
  const events = found.flatMap((row) => (row ? [row.event] : []));
  const notes = rows.filter((row) => row.kind === "event").length;
  return { enrolled: enrolment !== undefined && !enrolment.revoked, epochKnown: (sync?.epoch ?? null) !== null, events, left: notes - events.length, photos: rows.length - notes + inHand };
}

function byNumber(a: OutboxRow, b: OutboxRow): number {
  if (a.device !== b.device) return a.device < b.device ? -1 : 1;
  return a.order - b.order;
}

/** As many as fit into one request; always one, however large it is. */
function firstThatFit(rows: OutboxRow[], max: number): OutboxRow[] {
  let size = 0;
  const end = rows.findIndex((row, at) => ((size += row.bytes + 1), at > 0 && (size > BATCH_BYTES || at >= max)));
  return end === -1 ? rows.slice(0, max) : rows.slice(0, end);
}

async function keepResults(results: Result[], high: number): Promise<number> {
  const settled = await writeStrict(["events", "outbox", "receipts", "attention"], async (tx) => {
    const rows = await Promise.all(results.map((result) => tx.objectStore("events").get(result.id)));
    const sound = results.flatMap((result, at) => (rows[at]?.sha256 === result.sha256 ? [{ result, row: rows[at] }] : []));
    await Promise.all(sound.flatMap(({ result, row }) => [
      tx.objectStore("receipts").put(receiptOf(result)),
      tx.objectStore("outbox").delete(result.id),
      ...(result.status === "quarantined" ? [tx.objectStore("attention").put(quarantined(result, row))] : []),
    ]));
    return sound.length;
  });
  const [first] = results;
  if (first) await changeSync({ lastSent: first.received_at });
  const head = await readMeta("head");
  // the server has later numbers of this device than the device itself: this is a copy from an older backup
  if (head && high > head.seq) await renewDevice();
  await showChange();
  return settled;
}

function receiptOf(result: Result): ReceiptRow {
  return { id: result.id, sha256: result.sha256, received_at: result.received_at, status: result.status, reason: result.reason };
}

/** The dealer has it and a person there must look at it: said here too, so that neither side believes all is well. */
function quarantined(result: Result, row: EventRow) {
  return { id: result.id, job: row.job, what: "note" as const, message: message(ASIDE[result.reason ?? ""] ?? "note_set_aside", { reason: result.reason ?? "" }) };
}

/** The server's reasons (messages/server.en.json) in the phone's words; others are shown by their code. */
const ASIDE: Record<string, string> = {
  event_number_reused: "note_aside_twice", event_id_reused: "note_aside_twice", event_of_another_device: "note_aside_device",
};

async function hold(what: "note" | "photo", id: string, code: string): Promise<void> {
  await writeStrict(["outbox"], async (tx) => {
    const row = await tx.objectStore("outbox").get(id);
    if (row) await tx.objectStore("outbox").put({ ...row, attention: message(code, { what }) });
  });
  await showChange();
}

/** Held items may try again: the person asked for it. */
export async function releaseHeld(): Promise<void> {
  await writeStrict(["outbox"], async (tx) => {
    const held = (await tx.objectStore("outbox").getAll()).filter((row) => row.attention !== null);
    await Promise.all(held.map((row) => tx.objectStore("outbox").put({ ...row, attention: null })));
  });
  await rereadOutbox();
}

async function photo(skip: string[]): Promise<Answers["photo"]> {
  const rows = await read(["outbox"], (tx) => tx.objectStore("outbox").getAll());
  const ready = rows.flatMap((row) => (row.kind === "photo" && row.attention === null && !skip.includes(row.id) ? [row] : [])).sort((a, b) => a.order - b.order);
  const [first] = ready;
  if (!first) return { photo: null, left: 0 };
  return { photo: { sha256: first.id, bytes: first.bytes, mime: first.mime, job: first.job, upload: first.upload, sent: first.order === AGAIN }, left: ready.length - 1 };
}

async function keepUpload(sha256: string, upload: string | null): Promise<void> {
  await writeStrict(["outbox"], async (tx) => {
    const row = await tx.objectStore("outbox").get(sha256);
    if (row?.kind === "photo") await tx.objectStore("outbox").put({ ...row, upload });
  });
}

async function piece(sha256: string, offset: number, bytes: number): Promise<{ data: Bytes; sha256: string } | null> {
  const row = await read(["photos"], (tx) => tx.objectStore("photos").get(sha256));
  if (!row || (await sha256Hex(row.data)) !== sha256) return null;
  const data = new Uint8Array(row.data.slice(offset, offset + bytes));
  return { data, sha256: await sha256Hex(data) };
}

async function keepReceipt(receipt: PhotoReceipt): Promise<boolean> {
  const settled = await writeStrict(["outbox", "receipts"], async (tx) => {
    const row = await tx.objectStore("outbox").get(receipt.sha256);
    if (row?.kind !== "photo" || row.bytes !== receipt.bytes) return false;
    const kept: ReceiptRow = { id: receipt.sha256, sha256: receipt.sha256, received_at: receipt.received_at, status: "stored", reason: null, photo: { job: row.job, bytes: row.bytes, mime: row.mime } };
    await Promise.all([tx.objectStore("receipts").put(kept), tx.objectStore("outbox").delete(receipt.sha256)]);
    return true;
  });
  if (settled) await changeSync({ lastSent: receipt.received_at });
  await showChange();
  return settled;
}

async function showChange(): Promise<void> {
  await rereadOutbox();
  announce({ type: "changed", part: "outbox" });
}
