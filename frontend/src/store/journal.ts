/**
 * Writing events: gapless numbers, hash of the one before, one strict transaction each, and what happens when the storage refuses.
 * Knows the envelope (shared/README.md §8); nothing of what kinds mean, nothing of the network.
 */
import { canonicalJson } from "../domain/canonical-json";
import { eventProblems } from "../domain/event-problems";
import { nextHlc } from "../domain/hlc";
import { announce } from "./changes";
import { utf8, sha256Hex } from "./bytes";
import { isLostHandle, isStorageFull, readMeta, writeStrict, type WriteTx } from "./database";
import { journalOf, rereadOutbox, takeEvents, takeWaiting } from "./memory";
import type { JournalEvent } from "./pack-types";
import { BenchError, refused } from "./refusal";
import { rescue, rescueDone, rescued } from "./rescue";
import { makeRoom } from "./reserve";
import type { EventRow, Head, OutboxRow, StoreName } from "./schema";
import { storage } from "./signals";
import { uuidV7, wallText } from "./uuid";
import { wellFormed } from "./well-formed";

/** What is to become an event. `id` and `wall` are fixed at the first try, so that a repeated try writes the same fact. */
export type Fact = { id: string; job: string; kind: string; body: Record<string, unknown>; wall: string; pack: string };
/** Puts that belong in the same transaction (a photo's bytes); called inside it, so it must not await anything else. */
export type Beside = { stores: StoreName[]; put: (tx: WriteTx, event: JournalEvent) => Promise<unknown>[]; outbox: OutboxRow[] };

let queue: Promise<unknown> = Promise.resolve();
let afterSave: () => void = () => undefined;

/** Runs `then` after each saved event (the sync asks for a round). */
export function onSaved(then: () => void): void {
  afterSave = then;
}

export function newFact(job: string, kind: string, body: Record<string, unknown>, pack: string): Fact {
  const nowMs = Date.now();
  return { id: uuidV7(nowMs), job, kind, body: wellFormed(body), wall: wallText(nowMs), pack };
}

/** The pack a job is pinned to. Refused("job_not_here"). */
export function packOf(job: string): string {
  const first = journalOf(job).peek()[0];
  if (!first) throw refused("job_not_here", { job: job.slice(0, 8) });
  return first.pack;
}

/** One event of a job, durable when the promise resolves. One at a time, so that numbers and hashes follow each other. */
export function record(job: string, kind: string, body: Record<string, unknown>): Promise<JournalEvent> {
  return recordFact(newFact(job, kind, body, packOf(job)));
}

export function recordFact(fact: Fact, beside?: Beside): Promise<JournalEvent> {
  const mine = queue.then(() => write(fact, beside));
  queue = mine.catch(() => undefined);
  return mine;
}

async function write(fact: Fact, beside?: Beside): Promise<JournalEvent> {
  try {
    const event = await writeMakingRoom(fact, beside);
    if (rescued().some((item) => item.id !== fact.id)) void recoverRescued(); // the storage takes notes again
    return event;
  } catch (error) {
    if (beside) throw error; // a photo's words are in its row in hand
    throw kept(fact, error);
  }
}

/** What the person is told when the database refused for good: the words are in the rescue slot, or nowhere but on the screen. */
function kept(fact: Fact, error: unknown): Error {
  if (!(error instanceof DOMException) && !isLostHandle(error)) return error as Error; // a fault of the program, not of the storage
  const cause = isStorageFull(error) ? "storage_full_note" : "storage_lost_note";
  const safe = rescue(fact);
  const problem = safe ? refused(cause) : refused("note_not_saved");
  storage.value = { ...storage.peek(), problem: problem.shown };
  return problem;
}

/** Photos never use the reserve: it is there for notes. */
async function writeMakingRoom(fact: Fact, beside?: Beside): Promise<JournalEvent> {
  for (;;) {
    try {
      return await writeFollowing(fact, beside);
    } catch (error) {
      if (beside || !(await makeRoom(error))) throw error;
    }
  }
}

class HeadMoved extends Error {}

/** Builds on the last event; when another tab wrote one in between, builds anew on that. */
async function writeFollowing(fact: Fact, beside?: Beside): Promise<JournalEvent> {
  for (;;) {
    const head = await readMeta("head");
    if (!head) throw refused("storage_unavailable", { detail: "no device id" });
    const { row, next, outbox } = await rowAfter(head, fact);
    try {
      const rows = [outbox, ...(beside?.outbox ?? [])];
      const { event, fresh } = await writeStrict(storesOf(beside), (tx) => putAll(tx, head, next, row, rows, beside));
      takeEvents([event]);
      if (fresh) takeWaiting(rows);
      else await rereadOutbox();
      announce({ type: "changed", part: "journal", job: event.job });
      afterSave();
      return event;
    } catch (error) {
      if (!(error instanceof HeadMoved)) throw error;
    }
  }
}

function storesOf(beside?: Beside): StoreName[] {
  return ["meta", "events", "outbox", ...(beside?.stores ?? [])];
}

/** Everything hashed and built before the transaction: awaiting a digest inside it would close it (offline.md 2.4). */
async function rowAfter(head: Head, fact: Fact): Promise<{ row: EventRow; next: Head; outbox: OutboxRow }> {
  const hlc = nextHlc(head.hlc, Date.now(), head.device);
  const seq = head.seq + 1;
  const event: JournalEvent = { ...fact, device: head.device, seq, hlc, prev: head.prev, schema: 1 };
  const [problem] = eventProblems(event);
  if (problem) throw refused(NOT_SOUND, { field: problem.at || problem.code }); // the words stay in their field and draft
  const text = canonicalJson(event);
  const sha256 = await sha256Hex(text);
  const outbox: OutboxRow = { id: event.id, kind: "event", job: event.job, device: head.device, order: seq, bytes: utf8(text).length, attention: null };
  return { row: { id: event.id, job: event.job, sha256, event }, next: { ...head, seq, prev: sha256, hlc }, outbox };
}

async function putAll(tx: WriteTx, head: Head, next: Head, row: EventRow, outbox: OutboxRow[], beside?: Beside): Promise<{ event: JournalEvent; fresh: boolean }> {
  const [already, now] = await Promise.all([tx.objectStore("events").get(row.id), tx.objectStore("meta").get("head") as Promise<Head | undefined>]);
  if (already) return { event: already.event, fresh: false }; // an earlier try did complete, though its handle was lost before it could say so
  if (now?.seq !== head.seq || now.device !== head.device) throw new HeadMoved();
  await Promise.all([
    tx.objectStore("events").add(row),
    ...outbox.map((item) => tx.objectStore("outbox").put(item)),
    tx.objectStore("meta").put(next, "head"),
    ...(beside?.put(tx, row.event) ?? []),
  ]);
  return { event: row.event, fresh: true };
}

let recovering = false;

/** Records what an earlier failure left in the rescue slot; each is taken out only once it is durable. Gives how many are left. */
export async function recoverRescued(): Promise<number> {
  if (recovering) return rescued().length;
  recovering = true;
  for (const item of rescued()) {
    try {
      await recordFact(item);
    } catch (error) {
      if (error instanceof BenchError && error.code === NOT_SOUND) continue; // it stays in the slot and holds up none of the others
      break; // write() has put it back into the slot and told the person
    }
    rescueDone(item.id);
  }
  recovering = false;
  const left = rescued().length;
  if (left === 0 && RESCUE_PROBLEMS.has(storage.peek().problem?.code ?? "")) storage.value = { ...storage.peek(), problem: null };
  return left;
}

const NOT_SOUND = "entry_not_sound";
const RESCUE_PROBLEMS = new Set(["storage_full_note", "storage_lost_note"]);
