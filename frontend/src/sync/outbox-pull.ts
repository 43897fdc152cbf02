/** Taking in events that other devices wrote: kept beside our own, never instead of them. */
import { announce } from "../store/changes";
import { eventHash } from "../domain/event-hash";
import { mergeHlc } from "../domain/hlc";
import { writeStrict } from "../store/database";
import { renewDevice } from "../store/device";
import { rereadOutbox, setItem, takeEvents } from "../store/memory";
import type { JournalEvent } from "../store/pack-types";
import { message } from "../store/refusal";
import type { AttentionRow, EventRow, Head, OutboxRow, ReceiptRow, SyncRow } from "../store/schema";
import type { Pulled } from "./engine-types";

/** The order of a photo that had its receipt already: before all others, which are ordered by their time. */
export const AGAIN = 0;

/** Events and cursor in one transaction: if it fails, the same events are asked for again. */
export async function keepPulled(pulled: Pulled): Promise<boolean> {
  const rows = await Promise.all(pulled.events.map(rowOf));
  const sound = rows.filter((row) => row !== null);
  const { added, newEpoch, copied } = await writeStrict(["events", "meta", "attention", "receipts", "outbox"], async (tx) => {
    const meta = tx.objectStore("meta");
    const [known, head, sync] = await Promise.all([
      Promise.all(sound.map((row) => tx.objectStore("events").get(row.id))), meta.get("head") as Promise<Head | undefined>, meta.get("sync") as Promise<SyncRow | undefined>,
    ]);
    const added = sound.filter((_, at) => known[at] === undefined);
    const troubles = [...sound.flatMap((row, at) => differing(row, known[at])), ...unreadable(rows.length - sound.length, pulled.cursor)];
    const newEpoch = sync !== undefined && sync.epoch !== null && sync.epoch !== pulled.epoch;
    const photos = newEpoch ? (await tx.objectStore("receipts").getAll()).flatMap(photoAgain) : [];
    await Promise.all([
      ...added.map((row) => tx.objectStore("events").add(row)),
      ...troubles.map((row) => tx.objectStore("attention").put(row)),
      meta.put({ lastSent: null, ...sync, cursor: pulled.cursor, epoch: pulled.epoch }, "sync"),
      ...(head ? [meta.put(headAfter(head, added, Date.now()), "head")] : []),
      // another epoch means that the server was restored: compare every job again, ask again for every photo's receipt, delete nothing
      ...(newEpoch ? [meta.put({}, "settled"), meta.put({}, "healed")] : []),
      ...photos.map((row) => tx.objectStore("outbox").put(row)),
    ]);
    return { added, newEpoch, copied: added.some((row) => row.event.device === head?.device && row.event.seq > head.seq) };
  });
  // our own events, later than any we know: this phone's data are an older copy
  if (copied) await renewDevice();
  show(added);
  await rereadOutbox();
  return newEpoch;
}

function photoAgain({ id, photo }: ReceiptRow): OutboxRow[] {
  return photo ? [{ id, kind: "photo", ...photo, device: "", order: AGAIN, upload: null, attention: null }] : [];
}

async function rowOf(event: unknown): Promise<EventRow | null> {
  const made = event as Partial<JournalEvent> | null;
  const sound = typeof made?.id === "string" && typeof made.job === "string" && typeof made.device === "string" && typeof made.hlc === "string"
    && Number.isSafeInteger(made.seq) && typeof made.kind === "string" && typeof made.body === "object" && made.body !== null && typeof made.pack === "string";
  if (!sound) return null;
  const whole = made as JournalEvent;
  return { id: whole.id, job: whole.job, sha256: await eventHash(whole), event: whole };
}

function differing(row: EventRow, known: EventRow | undefined): AttentionRow[] {
  // erased at the dealer’s: the envelope came back without its body, and what this phone holds stays its own
  if (known === undefined || known.sha256 === row.sha256 || (row.event.body as { erased?: unknown }).erased === true) return [];
  return [{ id: `differs:${row.id}`, job: row.job, what: "note", message: message("note_differs_at_dealer") }];
}

function unreadable(count: number, cursor: string): AttentionRow[] {
  return count === 0 ? [] : [{ id: `unreadable:${cursor}`, job: null, what: "phone", message: message("notes_unreadable", { count }) }];
}

function headAfter(head: Head, added: EventRow[], nowMs: number): Head {
  return { ...head, hlc: added.reduce((last, row) => mergeHlc(last, row.event.hlc, nowMs), head.hlc) };
}

function show(rows: EventRow[]): void {
  takeEvents(rows.map((row) => row.event));
  for (const row of rows) setItem(row.id, { state: "received", receivedAt: null });
  for (const job of new Set(rows.map((row) => row.job))) announce({ type: "changed", part: "journal", job });
}
