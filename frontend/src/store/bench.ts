/**
 * The only door between the screens and the data of this phone.
 * Screens read signals and call functions here; they never touch IndexedDB, fetch, the service worker or any other file of store/, sync/, sw/.
 * Functions that fail throw a BenchError whose `shown` is ready to be shown.
 */
import type { ReadonlySignal } from "@preact/signals";
import * as state from "./signals";
import type { ModelPack, ProcedurePack, JournalEvent } from "./pack-types";
import type {
  Connection, Enrolment, ItemState, JobSummary, Library, Machine, MachineFacts, Message, Outbox, PhotoInHand, Prefs, StorageState, UpdateState,
} from "./types";

export type * from "./types";
export type * from "./pack-types";

export const machines: ReadonlySignal<Machine[]> = state.machines;
export const jobs: ReadonlySignal<JobSummary[]> = state.jobs;
export const library: ReadonlySignal<Library> = state.library;
export const outbox: ReadonlySignal<Outbox> = state.outbox;
export const photosInHand: ReadonlySignal<PhotoInHand[]> = state.photosInHand;
export const connection: ReadonlySignal<Connection> = state.connection;
export const storage: ReadonlySignal<StorageState> = state.storage;
export const enrolment: ReadonlySignal<Enrolment> = state.enrolment;
export const update: ReadonlySignal<UpdateState> = state.update;
export const prefs: ReadonlySignal<Prefs> = state.prefs;

/** What every function here throws when it refuses: `shown` holds the three sentences for the person. */
export class BenchError extends Error {
  constructor(readonly shown: Message) {
    super(shown.happened);
    this.name = "BenchError";
  }
}

const notYet = (name: string): never => {
  throw new Error(`${name} comes in the next commits`);
};

/** Opens storage, reads everything the first screen needs, then starts sync and the service worker. Signals are filled when it resolves. */
export async function openBench(): Promise<void> { return notYet("openBench"); }

export async function addMachine(facts: MachineFacts): Promise<Machine> { return notYet(`addMachine ${facts.name}`); }
export async function changeMachine(id: string, changes: Partial<MachineFacts>): Promise<Machine> { return notYet(`changeMachine ${id} ${Object.keys(changes)}`); }
/** Forgets the machine; jobs done on it stay, as each carries the machine's facts itself. */
export async function removeMachine(id: string): Promise<void> { return notYet(`removeMachine ${id}`); }

/** Fetches and verifies the dealer's manifest, then brings kept packs up to date. Never throws for lack of signal: see library.problem. */
export async function refreshLibrary(): Promise<void> { return notYet("refreshLibrary"); }
/** Which dealer this phone reads from, when the server serves several (library.choices). */
export async function chooseDealer(slug: string): Promise<void> { return notYet(`chooseDealer ${slug}`); }
/** Downloads and verifies every pack and picture of a model (null: the procedures for anywhere). Progress in library.progress. */
export async function keepOnPhone(model: string | null): Promise<void> { return notYet(`keepOnPhone ${model}`); }
/** Stops a download that runs; what is complete stays, and keepOnPhone goes on from there. */
export function stopKeeping(): void { notYet("stopKeeping"); }
/** The pack, re-hashed on each read; fetched and verified when it is not on this phone and the dealer can be reached. */
export async function loadPack(sha256: string): Promise<ProcedurePack> { return notYet(`loadPack ${sha256}`); }
/** The model pack now in force (years, options, tables): for adding a machine. */
export async function loadModel(model: string): Promise<ModelPack> { return notYet(`loadModel ${model}`); }
/** A blob: address for a picture of a pack; null when it is not on this phone and cannot be fetched, or is damaged. */
export async function pictureUrl(sha256: string): Promise<string | null> { return notYet(`pictureUrl ${sha256}`); }

/** Starts a job pinned to a pack. `machine` null only for procedures without a model. Resolves to the job's id. */
export async function startJob(machine: string | null, packSha256: string, hours: number | null): Promise<string> { return notYet(`startJob ${machine} ${packSha256} ${hours}`); }
/** Writes one event. Resolves only after its strict transaction completed: then, and only then, say "saved on this phone". */
export async function record(job: string, kind: string, body: Record<string, unknown>): Promise<JournalEvent> { return notYet(`record ${job} ${kind} ${Object.keys(body)}`); }
/** The job's events in the order of the journal; complete as soon as openBench has resolved. */
export function journalOf(job: string): ReadonlySignal<JournalEvent[]> { return notYet(`journalOf ${job}`); }
/** Where an event (by id) or photo (by SHA-256) stands. Reactive: reading it in a component or computed follows it. */
export function itemState(id: string): ItemState { return notYet(`itemState ${id}`); }
/** When the dealer's server received the item (ISO), or null. Reactive. */
export function itemReceivedAt(id: string): string | null { return notYet(`itemReceivedAt ${id}`); }

/**
 * Takes a picture into the job. It is safe on this phone as soon as it stands in photosInHand (or `onSafe` is called); the promise resolves
 * with the PhotoTaken event once the copy without metadata is made. A picture that cannot be made ready stays in photosInHand with its message.
 */
export async function addPhoto(job: string, step: string | null, file: Blob, caption: string, onSafe?: () => void): Promise<JournalEvent> { return notYet(`addPhoto ${job} ${step} ${file.size} ${caption} ${onSafe}`); }
/** A blob: address for a photo of a job, or of one in hand (by its id); "damaged" when its bytes no longer match their hash. */
export async function photoUrl(sha256: string): Promise<string | "damaged" | "missing"> { return notYet(`photoUrl ${sha256}`); }
/** Puts away a picture in hand that cannot be made ready. Ask the person first. */
export async function discardPhoto(id: string): Promise<void> { return notYet(`discardPhoto ${id}`); }

/** The text last typed under this key, "" when none. */
export async function readDraft(key: string): Promise<string> { return notYet(`readDraft ${key}`); }
/** Call on every input event; it is written within 300 ms, and at once when the page is hidden. */
export function writeDraft(key: string, text: string): void { notYet(`writeDraft ${key} ${text}`); }
export async function clearDraft(key: string): Promise<void> { return notYet(`clearDraft ${key}`); }
/** Call before a file or camera picker opens: opening the camera can end the page on some phones. */
export async function flushDrafts(): Promise<void> { return notYet("flushDrafts"); }

/** Joins this phone to a dealer with a one-time code. */
export async function enrol(code: string, label: string): Promise<void> { return notYet(`enrol ${code} ${label}`); }
/** Asks for a round of sending soon; "button" also sets aside the waiting time after failures. */
export function syncSoon(why: "button" | "saved" | "start" | "online" | "visible"): void { notYet(`syncSoon ${why}`); }
/** Puts away a message of outbox.attention that the person has read; the item itself stays. */
export async function acknowledge(id: string): Promise<void> { return notYet(`acknowledge ${id}`); }
/** The whole job as one file, made without any network. */
export async function exportJob(job: string): Promise<Blob> { return notYet(`exportJob ${job}`); }

/** Puts the waiting version in force and reloads; does nothing but set update to "held_by_job" while a job is open in any tab. */
export async function applyUpdate(): Promise<void> { return notYet("applyUpdate"); }
/** Holds back updates of the app while a job is on screen; call the returned function on leaving. */
export function holdJobOpen(job: string): () => void { return notYet(`holdJobOpen ${job}`); }

export async function setPrefs(changes: Partial<Prefs>): Promise<void> { return notYet(`setPrefs ${Object.keys(changes)}`); }
/** Asks the browser to protect this phone's notes from clearing; the answer is in storage.persisted. */
export async function askToPersist(): Promise<boolean> { return notYet("askToPersist"); }
