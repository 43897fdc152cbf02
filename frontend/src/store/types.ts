/** The records that pass between the screens and the data. Knows their shape only; no storage, no network. */
import type { Outcome } from "../generated/event";
import type { Bulletin, ManifestPack } from "../generated/manifest";

export type { Bulletin, BulletinChange, ManifestPack, ManifestPicture } from "../generated/manifest";

export type Values = Record<string, string | number>;

/** A message ready to be read: its code, its values, and its three sentences. */
export type Message = { code: string; values: Values; happened: string; means: string; do: string };

export type Machine = {
  id: string; name: string; model: string; modelName: string; year: number; options: string[];
  hours: number | null; serial: string | null; addedWall: string;
};
export type MachineFacts = Omit<Machine, "id" | "addedWall">;

/** What a dealer's link opens: a procedure, and a machine as the dealer's register knows it. */
export type LinkedMachine = Omit<Machine, "model" | "modelName" | "year" | "serial" | "addedWall"> & { model: string | null; model_name: string | null; year: number | null };
export type OpenedLink = { dealer: string; dealer_name: string; procedure: string; title: string; machine: LinkedMachine };

export type Dealer = { slug: string; name: string; invented: boolean };

/** What the dealer publishes, and how much of it is on this phone. `age` is never "fresh" when the clock cannot be trusted. */
export type Library = {
  dealer: Dealer | null; choices: Dealer[]; entries: ManifestPack[];
  /** By the hash of an entry that is not on this phone: the earlier revision that is. Say that a newer one exists. */
  older: Record<string, ManifestPack>;
  /** What changed from an earlier revision to the one in force, as signed in the manifest. */
  bulletins: Bulletin[];
  kept: Record<string, number>; keptCount: number; keptBytes: number;
  keptModels: (string | null)[]; checkedAt: string | null; age: "fresh" | "old" | "unknown"; ageDays: number | null; problem: Message | null;
  progress: null | { done: number; total: number; bytes: number; totalBytes: number };
};

export type JobSummary = {
  job: string; machine: Machine | null; pack: string; procedure: string; title: string; revision: number; startedWall: string; lastWall: string;
  done: number; total: number; place: string | null; closed: null | { outcome: Outcome }; waiting: number;
  superseded: null | { sha256: string; revision: number };
  /** What the bulletin means for this job: figures that were used and have changed since, finished steps that nobody has answered for. */
  changed: null | { used: number; left: number };
  /** The dealer's answers that nobody on a phone has called read. */
  unread: number;
};

export type ItemState = "draft" | "saved" | "sending" | "received" | "attention";
/** `save` is the picture's hash when the person can still keep the bytes as a file; `dismiss` says that it can be put away. */
export type Attention = { id: string; job: string | null; what: "note" | "photo" | "job" | "phone"; message: Message };
export type Outbox = {
  notes: number; photos: number; bytes: number; sending: null | { what: "notes" | "photos"; done: number; total: number };
  lastSent: string | null; attention: Attention[]; problem: Message | null;
};

/** A picture that is safe on this phone but not yet made ready (shrunk and freed of metadata). */
export type PhotoInHand = { id: string; job: string; step: string | null; caption: string; wall: string; mime: string; bytes: number; message: Message | null };

export type Connection = "unknown" | "reached" | "not_reached";
export type StorageState = {
  persisted: boolean | null; usage: number | null; quota: number | null; installed: boolean; reserve: "held" | "spent" | "unknown"; problem: Message | null;
};
export type Enrolment = null | { dealer: string; label: string; device: string; enrolledWall: string; revoked: boolean };
export type UpdateState = "none" | "ready" | "held_by_job" | "failed";
export type Prefs = { paper: "day" | "night" | "sun"; units: "metric" | "imperial"; [more: string]: string | number | boolean };
