/**
 * The only door between the screens and the data of this phone.
 * Screens read signals and call functions here; they never touch IndexedDB, fetch, the service worker or any other file of store/, sync/, sw/.
 * A function that refuses throws a BenchError whose `shown` is ready to be read by a person.
 */
import type { ReadonlySignal } from "@preact/signals";
import { syncSoon as wake } from "../sync/sync";
import * as updates from "./app-update";
import { writeStrict } from "./database";
import * as enrolling from "./enrolment";
import * as books from "./library";
import * as memory from "./memory";
import type { JournalEvent, ModelPack, ProcedurePack } from "./pack-types";
import { refused } from "./refusal";
import * as state from "./signals";
import type { Connection, Enrolment, ItemState, Library, Machine, Outbox, PhotoInHand, Prefs, StorageState, UpdateState } from "./types";

export type * from "./types";
export type * from "./pack-types";
export { BenchError } from "./refusal";

export const machines: ReadonlySignal<Machine[]> = state.machines;
export const library: ReadonlySignal<Library> = state.library;
export const outbox: ReadonlySignal<Outbox> = state.outbox;
export const photosInHand: ReadonlySignal<PhotoInHand[]> = state.photosInHand;
export const connection: ReadonlySignal<Connection> = state.connection;
export const storage: ReadonlySignal<StorageState> = state.storage;
export const enrolment: ReadonlySignal<Enrolment> = state.enrolment;
export const update: ReadonlySignal<UpdateState> = state.update;
export const prefs: ReadonlySignal<Prefs> = state.prefs;
/** All jobs on this phone, the one touched last first. */
export { jobs } from "./summary";

/** Opens storage and reads all that screens show, so signals are filled when it resolves; then starts sending and the service worker. */
export { openBench } from "./opening";

export { addMachine, changeMachine, removeMachine } from "./machines";

export { openJobLink } from "./job-link";

/** refreshLibrary never throws: the reason stands in library.problem. keepOnPhone(null) keeps the procedures for anywhere. */
export { chooseDealer, keepOnPhone, pictureUrl, refreshLibrary, stopKeeping } from "./library";

/** The pack, re-hashed when read; fetched and verified when it is not on this phone and the dealer can be reached. */
export async function loadPack(sha256: string): Promise<ProcedurePack> {
  const pack = await books.loadPack(sha256);
  if (pack.format !== "benchtrail.procedure/1") throw refused("job_pack_kind");
  return pack;
}

/** The model pack now in force (years, options, tables): for adding a machine. Refused("model_unknown") and those of loadPack. */
export async function loadModel(model: string): Promise<ModelPack> {
  const entry = state.library.peek().entries.find((candidate) => candidate.kind === "model" && candidate.id === model);
  if (!entry) throw refused("model_unknown", { model });
  const older = state.library.peek().older[entry.sha256];
  return (await books.loadPack(entry.sha256).catch((error: unknown) => (older ? books.loadPack(older.sha256) : Promise.reject(error as Error)))) as ModelPack;
}

/** startJob pins the job to the pack; machine null only for procedures without a model. exportJob needs no network. */
export { eraseAtDealer, exportJob, startJob } from "./jobs";
/** Resolves only after the strict transaction completed: then, and only then, say "saved on this phone". */
export { record } from "./journal";

/** The job's events in the order of the journal; complete as soon as openBench has resolved. */
export function journalOf(job: string): ReadonlySignal<JournalEvent[]> {
  return memory.journalOf(job);
}

/** Where an event (by id), a photo (by SHA-256) or a picture in hand (by id) stands. Reading it in a component or computed follows it. */
export function itemState(id: string): ItemState {
  return memory.itemKnown(id).state;
}

/** When the dealer's server received the item (ISO), null when not yet, or when another phone sent it. Reactive. */
export function itemReceivedAt(id: string): string | null {
  return memory.itemKnown(id).receivedAt;
}

/** photoUrl takes a photo's SHA-256 or the id of a picture in hand. discardPhoto is only for pictures in hand; ask the person first. */
export { addPhoto, discardPhoto, photoUrl } from "./photos";
/** flushDrafts before a file or camera picker opens: opening the camera can end the page on some phones. */
export { clearDraft, flushDrafts, readDraft, writeDraft } from "./drafts";

/** Joins this phone to a dealer with a one-time code, reads from that dealer, and sends what waits. */
export async function enrol(code: string, label: string): Promise<void> {
  const dealer = await enrolling.enrol(code, label);
  if (state.library.peek().dealer?.slug !== dealer) await books.chooseDealer(dealer);
  wake("button");
}

/** Asks for a round of sending soon; "button" goes at once, past the waiting time after failures, and tries held items again. */
export function syncSoon(why: "button" | "saved" | "start" | "online" | "visible"): void {
  wake(why);
}

/** Puts away a message of outbox.attention that the person has read; the item it is about stays. */
export async function acknowledge(id: string): Promise<void> {
  await writeStrict(["attention"], (tx) => tx.objectStore("attention").delete(id));
  await memory.rereadOutbox();
}

/** applyUpdate reloads the page, or sets update to "held_by_job" while a job is open in any tab. */
export { applyUpdate } from "./app-update";

/** Holds back new versions of the app while a job is on screen; call what it returns on leaving. */
export function holdJobOpen(_job: string): () => void {
  return updates.holdJobOpen();
}

export { setPrefs } from "./prefs";
/** The person's torque wrenches and the tools they carry; what they can do for a figure or a procedure is worked out in domain/. */
export { kit, myTools, removeTool, saveTool, setKit } from "./tools";
export type { CarriedTool, TorqueWrench } from "./tools";
/** The browser's answer is also in storage.persisted. */
export { askToPersist } from "./health";
