/** What the sync engine is told, what it asks for, and what it remembers between the two. Types only. */
import type { JournalEvent } from "../store/pack-types";

export type Why = "start" | "visible" | "online" | "saved" | "timer" | "button" | "again";

/** `sent`: it had a receipt once, and only a restored server is asked whether it still has the photo. */
export type PhotoToSend = { sha256: string; bytes: number; mime: string; job: string; upload: string | null; sent: boolean };
export type Result = { id: string; status: "stored" | "duplicate" | "quarantined"; sha256: string; received_at: string; reason: string | null };
export type PhotoReceipt = { sha256: string; bytes: number; received_at: string };
export type Pulled = { events: JournalEvent[]; cursor: string; epoch: string; more: boolean };
export type JobDigest = { job: string; count: number; sha256: string };

/** Asked of storage or network; each is answered once, with the same `op`. Only one is open at a time. */
export type Ask =
  | { do: "probe" }
  | { do: "batch"; max: number }
  | { do: "push"; events: JournalEvent[]; waiting: number }
  | { do: "keep-results"; results: Result[]; high: number }
  | { do: "hold"; what: "note" | "photo"; id: string; code: string }
  | { do: "photo"; skip: string[] }
  | { do: "receipt"; sha256: string }
  | { do: "create"; photo: PhotoToSend; bytes: number }
  | { do: "keep-upload"; sha256: string; upload: string | null }
  | { do: "offset"; upload: string }
  | { do: "piece"; sha256: string; upload: string; offset: number; bytes: number }
  | { do: "keep-receipt"; receipt: PhotoReceipt }
  | { do: "pull" }
  | { do: "keep-pulled"; pulled: Pulled }
  | { do: "restart-pull" }
  | { do: "compare" }
  | { do: "digest"; job: string }
  | { do: "settle"; mine: JobDigest }
  | { do: "heal"; mine: JobDigest; theirs: { count: number; sha256: string } };
export type AskName = Ask["do"];

/** Said to the outside; nothing is awaited. */
export type Tell =
  | { tell: "sending"; what: "notes" | "photos" | null; done: number; total: number; ids: string[] }
  | { tell: "wake-in"; delayMs: number }
  | { tell: "reached"; reached: boolean }
  | { tell: "library"; serverMs: number; why: Why }
  | { tell: "revoked" }
  | { tell: "problem"; code: string | null }
  | { tell: "finished"; sentAny: boolean };

export type Effect = (Ask & { op: number }) | Tell;

export type Answers = {
  probe: { serverMs: number };
  batch: { enrolled: boolean; epochKnown: boolean; events: JournalEvent[]; left: number; photos: number };
  push: Http & { results?: Result[]; high?: number };
  "keep-results": { settled: number };
  hold: object;
  photo: { photo: PhotoToSend | null; left: number };
  receipt: Http & { receipt?: PhotoReceipt };
  create: Http & { upload?: string; offset?: number; receipt?: PhotoReceipt; damaged?: boolean };
  "keep-upload": object;
  offset: Http & { offset?: number };
  piece: Http & { offset?: number; receipt?: PhotoReceipt; damaged?: boolean };
  "keep-receipt": { settled: boolean };
  pull: Http & { pulled?: Pulled };
  "keep-pulled": { restored: boolean };
  "restart-pull": object;
  compare: { jobs: JobDigest[] };
  digest: Http & { count?: number; sha256?: string };
  settle: object;
  heal: { again: boolean };
};
export type Http = { status: number; retryAfterMs?: number | null };

export type Answer = { [N in AskName]: { op: number; of: N } & Answers[N] }[AskName];
/** `wake`: something happened that makes sending worth trying. `lost`: no usable answer. `broke`: this phone's storage refused. */
export type Input =
  | { type: "wake"; why: Why }
  | { type: "answer"; answer: Answer }
  | { type: "lost"; op: number }
  | { type: "broke"; op: number };

/** The time and a number in [0, 1), given from outside so that the engine itself stays a plain function. */
export type At = { nowMs: number; chance: number };

export type PhotoState = { photo: PhotoToSend; offset: number; tries: number };
export type EngineState = {
  op: number;
  open: Ask | null;
  why: Why;
  again: Why | null;
  failures: number;
  notBeforeMs: number;
  serverAsked: boolean;
  contactMs: number;
  pulledMs: number;
  pushLimit: number;
  notesSent: number;
  photosSent: number;
  photo: PhotoState | null;
  photosLeft: number;
  skip: string[];
  pullRestarted: boolean;
  pullFirst: boolean;
  toCompare: JobDigest[];
};
export type Step = [EngineState, Effect[]];
