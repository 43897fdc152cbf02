/** The state the screens look at, as signals. Written only inside store/ and sync/; screens see them through bench.ts. */
import { signal, type Signal } from "@preact/signals";
import type { Connection, Enrolment, ItemState, Library, Machine, Outbox, PhotoInHand, Prefs, StorageState, UpdateState } from "./types";

export const machines: Signal<Machine[]> = signal([]);
export const library: Signal<Library> = signal({
  dealer: null, choices: [], entries: [], older: {}, bulletins: [], kept: {}, keptCount: 0, keptBytes: 0, keptModels: [], checkedAt: null,
  age: "unknown", ageDays: null, problem: null, progress: null,
});
export const outbox: Signal<Outbox> = signal({ notes: 0, photos: 0, bytes: 0, sending: null, lastSent: null, attention: [], problem: null });
export const photosInHand: Signal<PhotoInHand[]> = signal([]);
export const connection: Signal<Connection> = signal("unknown");
export const storage: Signal<StorageState> = signal({ persisted: null, usage: null, quota: null, installed: false, reserve: "unknown", problem: null });
export const enrolment: Signal<Enrolment> = signal(null);
export const update: Signal<UpdateState> = signal("none");
export const prefs: Signal<Prefs> = signal({ paper: "day", units: "metric" });

/** Where each event and photo of this phone stands; read through itemState(). */
export const itemStates: Signal<ReadonlyMap<string, { state: ItemState; receivedAt: string | null }>> = signal(new Map());
