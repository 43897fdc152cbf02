/** The stores of the phone's database and their rows. The schema only ever grows; a database of any earlier version opens. */
import type { DBSchema, IDBPDatabase } from "idb";
import type { JournalEvent } from "./pack-types";
import type { CarriedTool, TorqueWrench } from "./tools";
import type { Bulletin, ItemState, Machine, ManifestPack, Message, Prefs } from "./types";

export const DATABASE = "benchtrail";
export const VERSION = 1;

/** The last event of this device: the next one builds on it. `prev` is the hash of the event with number `seq`. */
export type Head = { device: string; seq: number; prev: string | null; hlc: string | null };
export type EnrolmentRow = { dealer: string; label: string; device: string; enrolledWall: string; revoked: boolean };
/** What is known of one dealer: the key pinned at first contact, the highest manifest seen, the packs in force. */
export type DealerRow = {
  slug: string; name: string; invented: boolean; kid: string; jwk: JsonWebKey; counter: number; payloadSha256: string | null;
  packs: ManifestPack[]; bulletins?: Bulletin[]; checkedAt: string | null; keptModels: (string | null)[];
};
/** What is known of the time: the newest the server ever said, and how far this phone's clock stood from it then (server − phone). */
export type ClockRow = { newestServerMs: number; offsetMs: number };
export type SyncRow = { cursor: string | null; epoch: string | null; lastSent: string | null };

export type MetaRow = {
  head: Head; enrolment: EnrolmentRow; prefs: Prefs; dealer: string; clock: ClockRow; sync: SyncRow; settled: Record<string, string>;
  opened: string; told: string; healed: Record<string, string>; tools: TorqueWrench[]; kit: CarriedTool[];
};

export type EventRow = { id: string; job: string; sha256: string; event: JournalEvent };
/** One item without a receipt. Events go in the order of `device`, `order`; photos after them. */
export type OutboxRow =
  | { id: string; kind: "event"; job: string; device: string; order: number; bytes: number; attention: Message | null }
  | { id: string; kind: "photo"; job: string; device: string; order: number; bytes: number; mime: string; upload: string | null; attention: Message | null };
export type ReceiptRow = { id: string; sha256: string; received_at: string; status: "stored" | "duplicate" | "quarantined"; reason: string | null; photo?: { job: string; bytes: number; mime: string } };
export type PhotoRow = { sha256: string; mime: string; job: string; data: ArrayBuffer };
/** A picture as it came from the camera, before its copy without metadata exists; `sha256` is of its bytes in `originals`. */
export type InHandRow = {
  id: string; job: string; step: string | null; caption: string; wall: string; mime: string; bytes: number; sha256: string; tries: number; message: Message | null;
};
export type OriginalRow = { id: string; data: ArrayBuffer };
export type AttentionRow = { id: string; job: string | null; what: "note" | "photo" | "job" | "phone"; message: Message };

/** `packs` hold the text, `shelf` the manifest entry each came with: small, and there after the manifest moved on. */
export interface BenchSchema extends DBSchema {
  meta: { key: string; value: unknown };
  machines: { key: string; value: Machine };
  packs: { key: string; value: { sha256: string; text: string } };
  shelf: { key: string; value: ManifestPack };
  pictures: { key: string; value: { sha256: string; mime: string; data: ArrayBuffer } };
  events: { key: string; value: EventRow; indexes: { job: string } };
  outbox: { key: string; value: OutboxRow };
  photos: { key: string; value: PhotoRow; indexes: { job: string } };
  in_hand: { key: string; value: InHandRow };
  originals: { key: string; value: OriginalRow };
  receipts: { key: string; value: ReceiptRow };
  attention: { key: string; value: AttentionRow };
  drafts: { key: string; value: { key: string; text: string; atMs: number } };
  ballast: { key: string; value: ArrayBuffer };
}
export type StoreName =
  | "meta" | "machines" | "packs" | "shelf" | "pictures" | "events" | "outbox" | "photos" | "in_hand" | "originals" | "receipts" | "attention" | "drafts" | "ballast";
export type Known = { state: ItemState; receivedAt: string | null };

/** Creates what a database of version `from` lacks. Add a block per version; never change an old block. */
export function upgrade(db: IDBPDatabase<BenchSchema>, from: number): void {
  if (from < 1) {
    for (const name of ["meta", "ballast"] as const) db.createObjectStore(name);
    for (const name of ["machines", "outbox", "in_hand", "originals", "receipts", "attention"] as const) db.createObjectStore(name, { keyPath: "id" });
    for (const name of ["packs", "shelf", "pictures"] as const) db.createObjectStore(name, { keyPath: "sha256" });
    db.createObjectStore("events", { keyPath: "id" }).createIndex("job", "job");
    db.createObjectStore("photos", { keyPath: "sha256" }).createIndex("job", "job");
    db.createObjectStore("drafts", { keyPath: "key" });
  }
}
