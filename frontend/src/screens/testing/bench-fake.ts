/** An in-memory twin of store/bench for the tests of screens: real events, no storage, no network. `refuseNext` makes the next write fail. */
import { computed, signal, type ReadonlySignal } from "@preact/signals";
import pack from "../../../../shared/vectors/fixtures/bench-pack.json";
import { BenchError } from "../../store/refusal";
import type {
  JobSummary,
  JournalEvent,
  Library,
  Machine,
  Outbox,
  PhotoInHand,
  Prefs,
  ProcedurePack,
  StorageState,
} from "../../store/bench";

export { BenchError };
export const PACK = pack as unknown as ProcedurePack;
export const SHA = "a1".repeat(32);
export const JOB = "0191f000-0000-7000-8000-0000000000aa";
export const MACHINE: Machine = {
  id: "m1",
  name: "Blue one",
  model: PACK.model?.id ?? "",
  modelName: PACK.model?.name ?? "",
  year: 2022,
  options: ["skid_plate"],
  hours: 12,
  serial: null,
  addedWall: "",
};

export const events = signal<JournalEvent[]>([]);
export const machines = signal<Machine[]>([MACHINE]);
export const library = signal<Library>({
  dealer: null,
  choices: [],
  entries: [],
  older: {},
  bulletins: [],
  kept: {},
  keptCount: 0,
  keptBytes: 0,
  keptModels: [],
  checkedAt: null,
  age: "unknown",
  ageDays: null,
  problem: null,
  progress: null,
});
export const outbox = signal<Outbox>({ notes: 0, photos: 0, bytes: 0, sending: null, lastSent: null, attention: [], problem: null });
export const photosInHand = signal<PhotoInHand[]>([]);
export const storage = signal<StorageState>({ persisted: null, usage: null, quota: null, installed: true, reserve: "held", problem: null });
export const connection = signal("unknown");
export const enrolment = signal(null);
export const update = signal("none");
export const prefs = signal<Prefs>({ paper: "day", units: "metric" });
export const jobs: ReadonlySignal<JobSummary[]> = computed(() => (events.value.length === 0 ? [] : [summary()]));

let refusal: BenchError | null = null;
export const drafts = new Map<string, string>();
export const recorded = (): [string, Record<string, unknown>][] =>
  events.value.map(({ kind, body }) => [kind, body as Record<string, unknown>]);

export function refuseNext(happened: string): void {
  refusal = new BenchError({ code: "test", values: {}, happened, means: "It means this.", do: "Do that." });
}

/** A fresh job on the fixture's machine, with these steps done. */
export async function begin(done: string[] = []): Promise<void> {
  events.value = [];
  drafts.clear();
  outbox.value = { ...outbox.value, notes: 0 };
  const { id, name, model, year, options, hours, serial } = MACHINE;
  await record(JOB, "JobStarted", {
    machine: { id, name, model, year, options, hours, serial },
    procedure: PACK.procedure,
    revision: 1,
    title: PACK.title,
  });
  for (const step of done) await record(JOB, "StepDone", { step });
}

function summary(): JobSummary {
  return {
    job: JOB,
    machine: MACHINE,
    pack: SHA,
    procedure: PACK.procedure,
    title: PACK.title,
    revision: 1,
    startedWall: events.value[0]!.wall,
    lastWall: events.value.at(-1)!.wall,
    done: 0,
    total: 0,
    place: null,
    closed: null,
    waiting: 0,
    superseded: null,
    changed: null,
    unread: events.value.filter(({ kind }) => kind === "ReplyWritten").length,
  } as JobSummary;
}

export async function record(job: string, kind: string, body: Record<string, unknown>): Promise<JournalEvent> {
  if (refusal) {
    const thrown = refusal;
    refusal = null;
    throw thrown;
  }
  const seq = events.value.length + 1;
  const event = {
    id: `0191f000-0000-7000-8000-${String(seq).padStart(12, "0")}`,
    device: "0191f000-0000-7000-8000-000000000001",
    seq,
    job,
    kind,
    body,
    hlc: `001764057600000-${seq.toString(16).padStart(4, "0")}-0191f000`,
    wall: "2026-11-25T08:00:00+00:00",
    pack: SHA,
    prev: seq === 1 ? null : SHA,
    schema: 1,
  } as unknown as JournalEvent;
  events.value = [...events.value, event];
  return event;
}

export const journalOf = (_job: string): ReadonlySignal<JournalEvent[]> => events;
export const loadPack = async (_sha: string): Promise<ProcedurePack> => PACK;
export const loadModel = async (): Promise<never> =>
  Promise.reject(new BenchError({ code: "test", values: {}, happened: "No model.", means: "", do: "" }));
export const startJob = async (): Promise<string> => (await begin(), JOB);
export const pictureUrl = async (): Promise<string | null> => null;
export const photoUrl = async (): Promise<string> => "missing";
export const itemState = (): string => "saved";
export const itemReceivedAt = (): string | null => null;
export const readDraft = async (key: string): Promise<string> => drafts.get(key) ?? "";
export const writeDraft = (key: string, text: string): void => void drafts.set(key, text);
export const clearDraft = async (key: string): Promise<void> => void drafts.delete(key);
export const flushDrafts = async (): Promise<void> => undefined;
export const holdJobOpen = (_job: string) => (): void => undefined;
const nothing = async (): Promise<void> => undefined;
export {
  nothing as acknowledge,
  nothing as addPhoto,
  nothing as applyUpdate,
  nothing as askToPersist,
  nothing as discardPhoto,
  nothing as eraseAtDealer,
  nothing as exportJob,
  nothing as refreshLibrary,
  nothing as setPrefs,
  nothing as syncSoon,
};
