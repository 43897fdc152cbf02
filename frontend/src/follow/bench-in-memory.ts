/**
 * What store/bench is for the screens of a job when a text is walked through at the desk: the same events and the same fold,
 * nothing stored, nothing sent. The build puts this file in place of store/bench for the page follow.html alone.
 */
import { computed, signal, type ReadonlySignal } from "@preact/signals";
import { forVariant } from "../domain/bench-state";
import { BenchError } from "../store/refusal";
import type { JobSummary, JournalEvent, Library, Machine, Outbox, PhotoInHand, Prefs, ProcedurePack, StorageState } from "../store/bench";

export { BenchError };
// in the form that the journal asks of every job
export const JOB = "0191f000-0000-7000-8000-0000000000aa";
const SHA = "0".repeat(64);
let texts = 0;
export type Variant = { year: number; options: string[] };

export const shown = signal<{ pack: ProcedurePack; variant: Variant; pictures: string } | null>(null);
export const events = signal<JournalEvent[]>([]);

export const machines = signal<Machine[]>([]);
export const library = signal<Library>({
  dealer: null, choices: [], entries: [], older: {}, bulletins: [], kept: {}, keptCount: 0, keptBytes: 0, keptModels: [], checkedAt: null, age: "unknown", ageDays: null, problem: null, progress: null,
});
export const outbox = signal<Outbox>({ notes: 0, photos: 0, bytes: 0, sending: null, lastSent: null, attention: [], problem: null });
export const photosInHand = signal<PhotoInHand[]>([]);
export const storage = signal<StorageState>({ persisted: null, usage: null, quota: null, installed: true, reserve: "held", problem: null });
export const connection = signal("unknown");
export const enrolment = signal(null);
export const update = signal("none");
export const prefs = signal<Prefs>({ paper: "day", units: "metric" } as Prefs);
export const kit = signal([]);
export const myTools = signal([]);

/** Another text or variant: what was walked through stays done where the step is still there. */
export function show(pack: ProcedurePack, variant: Variant, pictures: string): void {
  const before = shown.peek();
  texts += 1; // every text is another pack, so that the screens read it anew
  shown.value = { pack, variant, pictures };
  const other = !before || before.pack.procedure !== pack.procedure || JSON.stringify(before.variant) !== JSON.stringify(variant);
  if (other) begin();
  else events.value = events.peek().filter(({ body }) => !("step" in body) || body.step === null || pack.steps.some(({ id }) => id === body.step));
}

export function begin(): void {
  const { pack, variant } = shown.peek()!;
  events.value = [];
  const model = pack.model;
  const machine = model && { id: "walk", name: model.name, model: model.id, year: variant.year, options: variant.options, hours: null, serial: null };
  write("JobStarted", { machine, procedure: pack.procedure, revision: pack.revision, title: pack.title });
}

/** The job as it stands when one comes to a step: all before it are done. */
export function comeTo(step: string): void {
  const { pack, variant } = shown.peek()!;
  begin();
  for (const { id } of forVariant(pack, variant).steps) {
    if (id === step) return;
    write("StepDone", { step: id });
  }
}

export const jobs: ReadonlySignal<JobSummary[]> = computed(() => {
  const now = shown.value;
  const first = events.value[0];
  if (!now || !first) return [];
  const { procedure, title, revision } = now.pack;
  const summary = {
    job: JOB, machine: (first.body as { machine?: Machine | null }).machine ?? null, pack: String(texts).padStart(64, "0"), procedure, title, revision, startedWall: first.wall, lastWall: events.value.at(-1)!.wall,
    done: 0, total: now.pack.steps.length, place: null, closed: null, waiting: 0, superseded: null, changed: null, unread: 0,
  };
  return [summary as unknown as JobSummary];
});

function write(kind: string, body: Record<string, unknown>): JournalEvent {
  const seq = events.peek().length + 1;
  const wall = new Date().toISOString().replace("Z", "+00:00");
  const event = {
    id: `0191f000-0000-7000-8000-${String(seq).padStart(12, "0")}`, device: "0191f000-0000-7000-8000-000000000001", seq, job: JOB, kind, body,
    hlc: `001764057600000-${seq.toString(16).padStart(4, "0")}-0191f000`, wall, pack: SHA, prev: seq === 1 ? null : SHA, schema: 1,
  } as unknown as JournalEvent;
  events.value = [...events.peek(), event];
  return event;
}

export const record = async (_job: string, kind: string, body: Record<string, unknown>): Promise<JournalEvent> => write(kind, body);
export const journalOf = (_job: string): ReadonlySignal<JournalEvent[]> => events;
export const loadPack = async (_sha: string): Promise<ProcedurePack> => shown.peek()!.pack;
const notHere = (): Promise<never> =>
  Promise.reject(new BenchError({ code: "walk", values: {}, happened: "This is a walk through at the desk.", means: "Nothing leaves this page.", do: "Try it on an enrolled phone." }));
export const loadModel = notHere;

export async function pictureUrl(sha256: string): Promise<string | null> {
  const now = shown.peek();
  const name = Object.entries(now?.pack.pictures ?? {}).find(([, picture]) => picture.sha256 === sha256)?.[0];
  return name ? now!.pictures + encodeURIComponent(name.split("#")[0]!.split("/").at(-1)!) : null;
}

const drafts = new Map<string, string>();
export const readDraft = async (key: string): Promise<string> => drafts.get(key) ?? "";
export const writeDraft = (key: string, text: string): void => void drafts.set(key, text);
export const clearDraft = async (key: string): Promise<void> => void drafts.delete(key);
export const flushDrafts = async (): Promise<void> => undefined;
export const photoUrl = async (): Promise<string> => "missing";
export const itemState = (): string => "saved";
export const itemReceivedAt = (): string | null => null;
export const holdJobOpen = (_job: string) => (): void => undefined;
const nothing = async (): Promise<void> => undefined;
export const syncSoon = (): void => undefined;
export { notHere as addPhoto, notHere as startJob, notHere as exportJob, notHere as eraseAtDealer, notHere as enrol, notHere as addMachine, notHere as changeMachine, notHere as openJobLink };
export {
  nothing as acknowledge, nothing as applyUpdate, nothing as askToPersist, nothing as chooseDealer, nothing as discardPhoto, nothing as keepOnPhone,
  nothing as openBench, nothing as refreshLibrary, nothing as removeMachine, nothing as removeTool, nothing as saveTool, nothing as setKit, nothing as setPrefs,
  nothing as stopKeeping,
};
