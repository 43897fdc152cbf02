/** What the bench says of each job: how far it is, where it stands, what waits, whether its figures were superseded. */
import { computed, signal, type ReadonlySignal } from "@preact/signals";
import { foldJournal } from "../domain/journal";
import { onJob } from "../domain/on-job";
import { sameThing } from "./library";
import { jobIds, journalOf, waitingOf } from "./memory";
import type { JobStartedBody, JournalEvent, ProcedurePack } from "./pack-types";
import { progress } from "./progress";
import { packOnShelf, shelfEntry } from "./shelf";
import { library } from "./signals";
import type { JobSummary, Machine, ManifestPack } from "./types";

type Seen = { pack: ProcedurePack | null; entry: ManifestPack | null };
const seen = signal<ReadonlyMap<string, Seen>>(new Map());
const bases = new Map<string, ReadonlySignal<Base>>();
type Base = Omit<JobSummary, "waiting" | "superseded" | "changed">;

/** All jobs, the one touched last first. */
export const jobs: ReadonlySignal<JobSummary[]> = computed(() =>
  jobIds.value.map((job) => whole(baseOf(job).value)).sort((a, b) => (a.lastWall < b.lastWall ? 1 : -1)));

/** Reads the packs that jobs are pinned to, as far as they are not read yet; a damaged one counts as missing here and is said when the job is opened. */
export async function readPinnedPacks(): Promise<void> {
  const wanted = new Set(jobIds.peek().flatMap((job) => journalOf(job).peek()[0]?.pack ?? []));
  const missing = [...wanted].filter((sha256) => !seen.peek().get(sha256)?.pack);
  const found = await Promise.all(missing.map(async (sha256): Promise<[string, Seen]> => {
    const [pack, entry] = await Promise.all([packOnShelf(sha256).catch(() => null), shelfEntry(sha256)]);
    return [sha256, { pack: pack?.format === "benchtrail.procedure/1" ? pack : null, entry }];
  }));
  if (found.length > 0) seen.value = new Map([...seen.peek(), ...found]);
}

function baseOf(job: string): ReadonlySignal<Base> {
  let found = bases.get(job);
  if (!found) bases.set(job, (found = computed(() => summed(job, journalOf(job).value, seen.value))));
  return found;
}

function whole(base: Base): JobSummary {
  return { ...base, waiting: waitingOf(base.job), superseded: supersededBy(base), changed: changedSince(base) };
}

function summed(job: string, events: JournalEvent[], packs: ReadonlyMap<string, Seen>): Base {
  const first = events.find((event) => event.kind === "JobStarted") ?? events[0]!;
  const body = first.body as Partial<JobStartedBody>;
  const pack = packs.get(first.pack)?.pack ?? null;
  return {
    job, pack: first.pack, procedure: body.procedure ?? "", title: body.title ?? "", revision: body.revision ?? 0,
    machine: machineOf(body.machine ?? null, pack, first.wall), startedWall: first.wall, lastWall: events[events.length - 1]!.wall,
    ...progress(events, pack),
  };
}

function machineOf(facts: JobStartedBody["machine"], pack: ProcedurePack | null, wall: string): Machine | null {
  return facts && { ...facts, modelName: pack?.model?.name ?? facts.model, addedWall: wall };
}

/** What the bulletin from the job's pack means for it; null without one, or when this version cannot tell. */
function changedSince({ job, pack: sha256 }: Base): JobSummary["changed"] {
  const bulletin = library.value.bulletins.find(({ from }) => from.sha256 === sha256);
  const pack = bulletin && seen.value.get(sha256)?.pack;
  if (!bulletin || !pack) return null;
  try {
    const { used, left } = onJob(bulletin.changes, pack.steps, foldJournal(pack, journalOf(job).value));
    return { used: used.length, left };
  } catch {
    return null; // a guard of a form that this version does not know: the job's own screen says so
  }
}

/** The newest revision in force of the job's procedure, when it is newer than the one the job is pinned to. */
function supersededBy(base: Base): JobSummary["superseded"] {
  const pinned = seen.peek().get(base.pack)?.entry;
  const now = library.value.entries.find((entry) => entry.kind === "procedure" && entry.id === base.procedure && (!pinned || sameThing(entry, pinned)));
  return now && now.sha256 !== base.pack && now.revision > base.revision ? { sha256: now.sha256, revision: now.revision } : null;
}
