/**
 * The journal, the outbox and the receipts as the screens see them: mirrors of the database in memory.
 * Filled once at start, then brought up to date after each completed write, here or in another tab.
 */
import { signal, type ReadonlySignal, type Signal } from "@preact/signals";
import { inJournalOrder } from "../domain/hlc";
import { read } from "./database";
import type { JournalEvent } from "./pack-types";
import type { AttentionRow, EventRow, InHandRow, Known, OutboxRow, ReceiptRow } from "./schema";
import * as state from "./signals";
import type { Attention } from "./types";

const journals = new Map<string, Signal<JournalEvent[]>>();
const items = new Map<string, Signal<Known>>();
let waiting = new Map<string, OutboxRow>();
let attention: AttentionRow[] = [];
const DRAFT: Known = { state: "draft", receivedAt: null };

/** Jobs with at least one event, in the order they became known here. */
export const jobIds: Signal<string[]> = signal([]);

function journalSignal(job: string): Signal<JournalEvent[]> {
  let found = journals.get(job);
  if (!found) journals.set(job, (found = signal<JournalEvent[]>([])));
  return found;
}

function itemSignal(id: string): Signal<Known> {
  let found = items.get(id);
  if (!found) items.set(id, (found = signal(DRAFT)));
  return found;
}

export function journalOf(job: string): ReadonlySignal<JournalEvent[]> {
  return journalSignal(job);
}

export function allJobs(): string[] {
  return jobIds.peek();
}

export function itemKnown(id: string): Known {
  return itemSignal(id).value;
}

export function setItem(id: string, known: Known): void {
  const item = itemSignal(id);
  const now = item.peek();
  if (now.state !== known.state || now.receivedAt !== known.receivedAt) item.value = known;
}

/** How many items of a job wait. Reactive through the outbox signal, which changes with every change of what waits. */
export function waitingOf(job: string): number {
  void state.outbox.value;
  return [...waiting.values()].filter((row) => row.job === job).length;
}

/** Puts new events into their jobs' journals; an event already there stays as it is. */
/** Events that have no receipt, oldest first, as far as they fit into so many bytes. At once, without the database. */
export function waitingEvents(mostBytes: number): JournalEvent[] {
  const rows = [...waiting.values()].filter(({ kind, attention }) => kind === "event" && attention === null).sort((a, b) => a.order - b.order);
  let bytes = 0;
  return rows.flatMap(({ id, job, bytes: size }) => {
    const event = journalOf(job).peek().find((one) => one.id === id);
    bytes += size;
    return event && bytes <= mostBytes ? [event] : [];
  });
}

export function takeEvents(events: JournalEvent[]): void {
  for (const [job, found] of grouped(events)) {
    const journal = journalSignal(job);
    const ids = new Set(journal.peek().map((event) => event.id));
    const fresh = found.filter((event) => !ids.has(event.id));
    if (fresh.length > 0) journal.value = [...journal.peek(), ...fresh].sort(inJournalOrder);
  }
  const more = [...new Set(events.map((event) => event.job))].filter((job) => !jobIds.peek().includes(job));
  if (more.length > 0) jobIds.value = [...jobIds.peek(), ...more];
}

function grouped(events: JournalEvent[]): Map<string, JournalEvent[]> {
  const jobs = new Map<string, JournalEvent[]>();
  for (const event of events) {
    const found = jobs.get(event.job);
    if (found) found.push(event);
    else jobs.set(event.job, [event]);
  }
  return jobs;
}

type Rows = { events: EventRow[]; outbox: OutboxRow[]; receipts: ReceiptRow[]; inHand: InHandRow[]; attention: AttentionRow[] };

/** Reads everything the screens need to know of jobs and sending. */
export async function loadMemory(): Promise<void> {
  const rows = await read(["events", "outbox", "receipts", "in_hand", "attention"], async (tx): Promise<Rows> => {
    const [events, outbox, receipts, inHand, troubles] = await Promise.all([
      tx.objectStore("events").getAll(), tx.objectStore("outbox").getAll(), tx.objectStore("receipts").getAll(),
      tx.objectStore("in_hand").getAll(), tx.objectStore("attention").getAll(),
    ]);
    return { events, outbox, receipts, inHand, attention: troubles };
  });
  for (const journal of journals.values()) journal.value = [];
  jobIds.value = [];
  takeEvents(rows.events.map((row) => row.event));
  for (const row of rows.events) setItem(row.id, { state: "received", receivedAt: null });
  rows.receipts.forEach(takeReceipt);
  takeOutbox(rows.outbox, rows.attention, rows.inHand);
}

/** Reads what waits again, after a round of sending or a write in another tab. */
export async function rereadOutbox(): Promise<void> {
  const [rows, troubles, inHand] = await read(["outbox", "attention", "in_hand"], (tx) =>
    Promise.all([tx.objectStore("outbox").getAll(), tx.objectStore("attention").getAll(), tx.objectStore("in_hand").getAll()]));
  const gone = [...waiting.keys()].filter((id) => !rows.some((row) => row.id === id));
  const receipts = await read(["receipts"], (tx) => Promise.all(gone.map((id) => tx.objectStore("receipts").get(id))));
  receipts.filter((row) => row !== undefined).forEach(takeReceipt);
  takeOutbox(rows, troubles, inHand);
}

export async function rereadJournal(job: string): Promise<void> {
  const rows = await read(["events"], (tx) => tx.objectStore("events").index("job").getAll(job));
  takeEvents(rows.map((row) => row.event));
  for (const row of rows) if (itemSignal(row.id).peek().state === "draft") setItem(row.id, { state: "received", receivedAt: null });
  await rereadOutbox();
}

function takeReceipt(row: ReceiptRow): void {
  setItem(row.id, { state: row.status === "quarantined" ? "attention" : "received", receivedAt: row.received_at });
}

function takeOutbox(rows: OutboxRow[], troubles: AttentionRow[], inHand: InHandRow[]): void {
  waiting = new Map(rows.map((row) => [row.id, row]));
  attention = troubles;
  for (const row of rows) setItem(row.id, { state: row.attention ? "attention" : "saved", receivedAt: null });
  for (const row of inHand) setItem(row.id, { state: row.message ? "attention" : "saved", receivedAt: null });
  state.photosInHand.value = inHand.map(({ sha256: _, tries: __, ...shown }) => shown);
  showOutbox();
}

/** Adds rows just written, without reading the database again. */
export function takeWaiting(rows: OutboxRow[]): void {
  for (const row of rows) {
    waiting.set(row.id, row);
    setItem(row.id, { state: "saved", receivedAt: null });
  }
  showOutbox();
}

export function showOutbox(changes: Partial<typeof state.outbox.value> = {}): void {
  const rows = [...waiting.values()];
  const inHand = state.photosInHand.peek();
  const photos = rows.filter((row) => row.kind === "photo").length + inHand.length;
  const bytes = [...rows, ...inHand].reduce((sum, row) => sum + row.bytes, 0);
  const notes = rows.filter((row) => row.kind === "event").length;
  state.outbox.value = { ...state.outbox.peek(), notes, photos, bytes, attention: troublesOf(rows), ...changes };
}

function troublesOf(rows: OutboxRow[]): Attention[] {
  const refusedRows = rows.flatMap((row) => (row.attention ? [{ id: row.id, job: row.job, what: row.kind === "photo" ? "photo" as const : "note" as const, message: row.attention }] : []));
  const inHand = state.photosInHand.peek().flatMap((photo) => (photo.message ? [{ id: photo.id, job: photo.job, what: "photo" as const, message: photo.message }] : []));
  return [...attention, ...refusedRows, ...inHand];
}
