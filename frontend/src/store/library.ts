/**
 * The library on this phone: what the dealer has in force, how much of it is here, how old it is.
 * Refreshing and keeping go through here; verification is in manifest.ts and pack-check.ts.
 */
import { newNonce, probe, Unreached } from "../sync/http";
import { announce } from "./changes";
import { ageOfFigures, bestTime, clockAfterContact } from "./clock-trust";
import { readMeta, writeMeta } from "./database";
import { announcedDealers, changeDealer, chooseDealer as choose, dealerRow, fetchManifest } from "./dealer";
import { allJobs, journalOf } from "./memory";
import type { ModelPack, ProcedurePack } from "./pack-types";
import { message, messageOf, refused } from "./refusal";
import type { DealerRow } from "./schema";
import { clearShelf, fetchPack, fetchToShelf, heldHashes, packOnShelf, pictureAddress, shelfEntries, shelfEntry } from "./shelf";
import { connection, library } from "./signals";
import type { ManifestPack } from "./types";

const AT_ONCE = 3;
let stopping: AbortController | null = null;
let refreshing: Promise<void> | null = null;
let keeping: Promise<void> = Promise.resolve();

/** Shows what is on this phone, without any network. */
export async function showLibrary(): Promise<void> {
  const [row, clock, onShelf, [packs, pictures]] = await Promise.all([dealerRow(), readMeta("clock"), shelfEntries(), heldHashes()]);
  const entries = row?.packs ?? [];
  const whole = (entry: ManifestPack) => packs.has(entry.sha256) && entry.pictures.every((picture) => pictures.has(picture.sha256));
  const held = entries.filter(whole);
  library.value = {
    ...library.peek(), entries, bulletins: row?.bulletins ?? [], older: olderRevisions(entries, held, onShelf.filter(whole)),
    dealer: row && { slug: row.slug, name: row.name, invented: row.invented },
    kept: Object.fromEntries(held.map((entry) => [entry.sha256, sizeOf(entry)])),
    keptCount: held.filter((entry) => entry.kind === "procedure").length, keptBytes: held.reduce((sum, entry) => sum + sizeOf(entry), 0),
    keptModels: row?.keptModels ?? [], checkedAt: row?.checkedAt ?? null, ...ageOfFigures(row?.checkedAt ?? null, clock, Date.now()),
  };
}

function sizeOf(entry: ManifestPack): number {
  return entry.pictures.reduce((sum, picture) => sum + picture.bytes, entry.bytes);
}

/** For each entry in force that is not here: the newest other revision of it that is. */
function olderRevisions(entries: ManifestPack[], held: ManifestPack[], onShelf: ManifestPack[]): Record<string, ManifestPack> {
  const found: Record<string, ManifestPack> = {};
  for (const entry of entries.filter((candidate) => !held.includes(candidate))) {
    const same = onShelf.filter((other) => sameThing(other, entry)).sort((a, b) => b.revision - a.revision)[0];
    if (same) found[entry.sha256] = same;
  }
  return found;
}

export function sameThing(a: ManifestPack, b: ManifestPack): boolean {
  return a.kind === b.kind && a.id === b.id && a.model === b.model;
}

/** One refresh at a time; a second call joins the one that runs. Never throws: the reason stands in library.problem. */
export function refreshLibrary(): Promise<void> {
  return refreshOnce(contact);
}

/** The same, when the server has just answered a probe. */
export function refreshAfterContact(serverMs: number): Promise<void> {
  return refreshOnce(async () => serverMs);
}

function refreshOnce(reach: () => Promise<number>): Promise<void> {
  refreshing ??= refresh(reach).finally(() => (refreshing = null));
  return refreshing;
}

async function refresh(reach: () => Promise<number>): Promise<void> {
  try {
    const serverMs = await reach();
    const row = (await dealerRow()) ?? (await firstDealer());
    if (row) {
      const next = await fetchManifest(row, serverMs, bestTime(await readMeta("clock"), Date.now()));
      say(null);
      await showLibrary();
      await keepModels(next.keptModels);
    }
  } catch (error) {
    if (error instanceof Unreached) connection.value = "not_reached";
    const silent = error instanceof Unreached && library.peek().dealer !== null;
    if (!silent) say(error instanceof Unreached ? message("library_not_reached") : messageOf(error, "library_failed"));
  }
  await showLibrary();
  announce({ type: "changed", part: "library" });
}

function say(problem: typeof library.value.problem): void {
  library.value = { ...library.peek(), problem };
}

/** Asks the server's time and keeps it; the ages shown rest on it. */
export async function contact(): Promise<number> {
  const serverMs = await probe(newNonce());
  await noteServerTime(serverMs);
  connection.value = "reached";
  return serverMs;
}

export async function noteServerTime(serverMs: number): Promise<void> {
  await writeMeta("clock", clockAfterContact(await readMeta("clock"), serverMs, Date.now()));
}

/** At first contact: the only dealer is taken, several are offered. */
async function firstDealer(): Promise<DealerRow | null> {
  const announced = await announcedDealers();
  const [only] = announced;
  if (announced.length === 1 && only) return choose(only);
  if (announced.length === 0) throw refused("dealers_none");
  library.value = { ...library.peek(), choices: announced.map(({ slug, name, invented }) => ({ slug, name, invented })) };
  return null;
}

export async function chooseDealer(slug: string): Promise<void> {
  const announced = await announcedDealers().catch((error: unknown) => {
    throw error instanceof Unreached ? refused("library_not_reached") : error;
  });
  const chosen = announced.find((dealer) => dealer.slug === slug);
  if (!chosen) throw refused("dealer_unknown", { dealer: slug });
  await choose(chosen);
  await refreshLibrary();
}

/** Keeps a model's packs on this phone from now on, new revisions included. */
export async function keepOnPhone(model: string | null): Promise<void> {
  const row = await dealerRow();
  if (!row) throw refused("library_not_reached");
  await changeDealer(row.slug, (now) => ({ ...now, keptModels: [...now.keptModels.filter((kept) => kept !== model), model] }));
  await keepModels([model]);
  await showLibrary();
  announce({ type: "changed", part: "library" });
  const problem = library.peek().problem;
  if (problem && KEEPING_FAILED.has(problem.code)) throw refused(problem.code, problem.values);
}

const KEEPING_FAILED = new Set(["storage_full_library", "library_not_reached", "pack_not_served"]);

export function stopKeeping(): void {
  stopping?.abort();
}

function keepModels(models: (string | null)[]): Promise<void> {
  keeping = keeping.then(() => keepNow(models));
  return keeping;
}

/** Brings what is missing of some models. One bad pack is said and does not hold up the others. */
async function keepNow(models: (string | null)[]): Promise<void> {
  const row = await dealerRow();
  if (!row) return;
  const wanted = row.packs.filter((entry) => models.includes(entry.kind === "model" ? entry.id : entry.model));
  const kept = library.peek().kept;
  const missing = wanted.filter((entry) => !(entry.sha256 in kept));
  if (missing.length > 0) await download(missing, row);
  await clearUnused(row);
}

async function download(missing: ManifestPack[], row: DealerRow): Promise<void> {
  const stop = (stopping = new AbortController());
  const progress = { done: 0, total: missing.length, bytes: 0, totalBytes: missing.reduce((sum, entry) => sum + sizeOf(entry), 0) };
  const show = () => (library.value = { ...library.peek(), progress: { ...progress } });
  const onBytes = (count: number) => void ((progress.bytes += count), show());
  const queue = [...missing];
  show();
  const worker = async () => {
    for (let entry = queue.shift(); entry && !stop.signal.aborted; entry = queue.shift()) {
      await fetchToShelf(entry, row, { stop: stop.signal, onBytes });
      progress.done += 1;
      show();
    }
  };
  const results = await Promise.allSettled(Array.from({ length: AT_ONCE }, () => carefully(worker, queue, stop)));
  library.value = { ...library.peek(), progress: null };
  const failed = results.find((result) => result.status === "rejected");
  if (failed && !stop.signal.aborted) say(problemOf(failed.reason));
  await showLibrary();
}

/** A pack that is refused must not stop the rest; no connection or no room stops all. */
async function carefully(worker: () => Promise<void>, queue: ManifestPack[], stop: AbortController): Promise<void> {
  let first: unknown = null;
  while (queue.length > 0 && !stop.signal.aborted) {
    try {
      await worker();
    } catch (error) {
      first ??= error;
      const problem = problemOf(error);
      if (problem.code === "library_not_reached" || problem.code === "storage_full_library") queue.length = 0;
    }
  }
  if (first !== null) throw first;
}

function problemOf(error: unknown) {
  return error instanceof Unreached ? message("library_not_reached") : messageOf(error, "library_failed");
}

/** Frees what is neither in force, nor the newest earlier revision of something not yet here, nor pinned by a job. */
async function clearUnused(row: DealerRow): Promise<void> {
  if ((await dealerRow())?.slug !== row.slug) return;
  await showLibrary();
  const shelf = await shelfEntries();
  const pinned = allJobs().map((job) => journalOf(job).peek()[0]?.pack);
  const current = [...row.packs, ...Object.values(library.peek().older)];
  const inUse = new Set([...current.map((entry) => entry.sha256), ...pinned.filter((sha256) => sha256 !== undefined)]);
  const pictures = [...current, ...shelf.filter((entry) => inUse.has(entry.sha256))].flatMap((entry) => entry.pictures.map((picture) => picture.sha256));
  await clearShelf(inUse, new Set(pictures));
}

/** What the manifest or the shelf says of a pack; null when neither knows it. */
async function listed(sha256: string): Promise<{ row: DealerRow; entry: ManifestPack } | null> {
  const row = await dealerRow();
  const entry = row?.packs.find((candidate) => candidate.sha256 === sha256) ?? (await shelfEntry(sha256));
  return row && entry ? { row, entry } : null;
}

/** A pack by its hash, from this phone or, failing that, from the dealer. */
export async function loadPack(sha256: string): Promise<ProcedurePack | ModelPack> {
  const here = await packOnShelf(sha256).catch((error: unknown) => (library.peek().entries.some((e) => e.sha256 === sha256) ? null : Promise.reject(error as Error)));
  if (here) return here;
  // a link opened at the very first visit comes before the manifest does
  const { row, entry } = (await listed(sha256)) ?? (await refreshLibrary().then(() => listed(sha256))) ?? {};
  if (!row || !entry) throw refused("pack_unknown", { sha: sha256.slice(0, 12) });
  try {
    await fetchPack(entry, row);
  } catch (error) {
    throw error instanceof Unreached ? refused("pack_not_on_phone", { title: entry.title }) : error;
  }
  await showLibrary();
  const fetched = await packOnShelf(sha256);
  if (!fetched) throw refused("pack_not_on_phone", { title: entry.title });
  return fetched;
}

/** Brings what a pack needs onto this phone, as far as the dealer can be reached: a job that was started must go on without signal. */
export async function holdPack(sha256: string): Promise<void> {
  const found = await listed(sha256);
  if (found) await fetchToShelf(found.entry, found.row).catch((error: unknown) => say(problemOf(error)));
  await showLibrary();
}

export async function pictureUrl(sha256: string): Promise<string | null> {
  return pictureAddress(sha256, [...library.peek().entries, ...(await shelfEntries())]);
}
