/** Starting a job, pinned to its pack, and taking a whole job out as one file. */
import { deleteJson, Unreached } from "../sync/http";
import { toBase64 } from "./bytes";
import { jobDigest } from "../domain/event-hash";
import { read } from "./database";
import { newFact, recordFact } from "./journal";
import { holdPack, loadPack } from "./library";
import { changeMachine, checkHours } from "./machines";
import { journalOf } from "./memory";
import type { ProcedurePack } from "./pack-types";
import { refused } from "./refusal";
import { packOnShelf } from "./shelf";
import { machines } from "./signals";
import { readPinnedPacks } from "./summary";
import type { Machine } from "./types";
import { uuidV7 } from "./uuid";

export const JOB_FORMAT = "benchtrail.job/1";

/** Refused("job_pack_kind"), ("job_needs_machine"), ("job_other_model"), ("machine_unknown"), ("hours_range"), and those of loadPack. */
export async function startJob(machineId: string | null, packSha256: string, hours: number | null): Promise<string> {
  checkHours(hours);
  const pack = await loadPack(packSha256);
  if (pack.format !== "benchtrail.procedure/1") throw refused("job_pack_kind");
  const machine = machineFor(pack, machineId);
  const body = { machine: machine && factsOf(machine, hours), procedure: pack.procedure, revision: pack.revision, title: pack.title };
  const job = uuidV7(Date.now());
  await recordFact(newFact(job, "JobStarted", body, packSha256));
  await readPinnedPacks();
  void holdPack(packSha256);
  if (machine && hours !== null) await changeMachine(machine.id, { hours });
  return job;
}

function machineFor(pack: ProcedurePack, machineId: string | null): Machine | null {
  const machine = machines.peek().find((candidate) => candidate.id === machineId) ?? null;
  if (machineId !== null && machine === null) throw refused("machine_unknown");
  if (pack.model !== null && machine === null) throw refused("job_needs_machine", { title: pack.title });
  if (pack.model !== null && machine !== null && machine.model !== pack.model.id) {
    throw refused("job_other_model", { title: pack.title, model: pack.model.name, machine: machine.name });
  }
  return machine;
}

/** A copy of the machine's facts: what is changed on the bench later does not change what this job was done on. */
function factsOf({ id, name, model, year, options, hours, serial }: Machine, hoursNow: number | null) {
  return { id, name, model, year, options: [...options].sort(), hours: hoursNow ?? hours, serial };
}

/**
 * Has the dealer's server delete what this phone sent of a job: words, readings and photos; their numbers and hashes stay there, so that
 * nothing is sent again. This phone keeps its own copy. Refused("erase_not_reached"), ("erase_not_done").
 */
export async function eraseAtDealer(job: string): Promise<{ events: number; photos: number }> {
  const { status, body } = await deleteJson(`/api/v1/jobs/${job}`).catch((error: unknown) => {
    throw error instanceof Unreached ? refused("erase_not_reached") : error;
  });
  const made = body as { events?: number; photos?: number } | null;
  if (status !== 200 || typeof made?.events !== "number" || typeof made.photos !== "number") throw refused("erase_not_done", { status });
  return { events: made.events, photos: made.photos };
}

/**
 * The job as one JSON file, made without any network: all events, all photos (also those not sent yet), the pack, and the digest by which
 * the desk can tell that nothing is missing. Refused("job_not_here").
 */
export async function exportJob(job: string): Promise<Blob> {
  const events = journalOf(job).peek();
  const [first] = events;
  if (!first) throw refused("job_not_here", { job: job.slice(0, 8) });
  const photos = await read(["photos"], (tx) => tx.objectStore("photos").index("job").getAll(job));
  const whole = {
    format: JOB_FORMAT, job, events,
    photos: photos.map(({ sha256, mime, data }) => ({ sha256, mime, base64: toBase64(data) })),
    pack: await packOnShelf(first.pack).catch(() => null),
    digest: await jobDigest(events.map((event) => event.id)),
  };
  return new Blob([JSON.stringify(whole)], { type: "application/json" });
}
