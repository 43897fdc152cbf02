/** What the runner needs from storage; implemented on IndexedDB (outbox.ts) and, in tests, in memory. Types only. */
import type { Bytes } from "../store/bytes";
import type { Answers, JobDigest, PhotoReceipt, Pulled, Result } from "./engine-types";

export interface SyncStorage {
  /** Events without receipt in the order of device and number: at most `max`, at most 64 kB, at least one. */
  batch(max: number): Promise<Answers["batch"]>;
  /** Writes receipts and takes their events out of the outbox, in one transaction; how many were settled. A receipt naming another hash settles nothing. */
  keepResults(results: Result[], high: number): Promise<number>;
  /** Holds an item that the server will not take: it stays here, is shown, and is not sent again until the person asks. */
  hold(what: "note" | "photo", id: string, code: string): Promise<void>;
  photo(skip: string[]): Promise<Answers["photo"]>;
  keepUpload(sha256: string, upload: string | null): Promise<void>;
  /** Bytes of a stored photo from `offset`, with their hash; null when the stored bytes no longer match the photo's name. */
  piece(sha256: string, offset: number, bytes: number): Promise<{ data: Bytes; sha256: string } | null>;
  keepReceipt(receipt: PhotoReceipt): Promise<boolean>;
  cursor(): Promise<string | null>;
  /** Events and cursor in one transaction: a cursor ahead of its events would skip them for ever. True when the server was restored since. */
  keepPulled(pulled: Pulled): Promise<boolean>;
  restartPull(): Promise<void>;
  /** Jobs of which everything is receipted and whose digest has not been found equal since it last changed. */
  compare(): Promise<JobDigest[]>;
  settle(mine: JobDigest): Promise<void>;
  /** Puts the job's events back into the outbox and the cursor to the beginning; false when this very difference was treated before. */
  heal(mine: JobDigest, theirs: { count: number; sha256: string }): Promise<boolean>;
}
