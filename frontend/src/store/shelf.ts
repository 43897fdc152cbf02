/**
 * Packs and pictures on this phone: fetched, verified, stored, re-hashed on each read.
 * Knows the shelf's stores; nothing of which packs are in force.
 */
import { getBytes, Unreached } from "../sync/http";
import { knownAddress, newAddress } from "./addresses";
import { sha256Hex } from "./bytes";
import { isStorageFull, read, writeRelaxed } from "./database";
import { soundPack, verifiedPack } from "./pack-check";
import type { ModelPack, ProcedurePack } from "./pack-types";
import { BenchError, refused } from "./refusal";
import type { DealerRow } from "./schema";
import type { ManifestPack, ManifestPicture } from "./types";

export type Fetching = { stop?: AbortSignal; onBytes?: (count: number) => void };

const opened = new Map<string, ProcedurePack | ModelPack>();

/** The pack out of the store, or null when it is not on this phone. Refused("pack_damaged") when its bytes changed. */
export async function packOnShelf(sha256: string): Promise<ProcedurePack | ModelPack | null> {
  const known = opened.get(sha256);
  if (known) return known;
  const row = await read(["packs"], (tx) => tx.objectStore("packs").get(sha256));
  if (!row) return null;
  const pack = await soundPack(row.text, sha256);
  opened.set(sha256, pack);
  return pack;
}

/** Fetches a pack and its pictures as far as they are missing; each is stored only after its own verification. */
export async function fetchToShelf(entry: ManifestPack, dealer: DealerRow, how: Fetching = {}): Promise<void> {
  const [packs, pictures] = await heldHashes();
  if (!packs.has(entry.sha256)) await fetchPack(entry, dealer, how);
  for (const picture of entry.pictures) if (!pictures.has(picture.sha256)) await fetchPicture(picture, entry.title, how);
}

export async function fetchPack(entry: ManifestPack, dealer: DealerRow, how: Fetching = {}): Promise<void> {
  const bytes = await getBytes(`/packs/${entry.sha256}.json`, entry.bytes, how.onBytes ?? ignore, how.stop);
  if (bytes === null) throw refused("pack_not_served", { title: entry.title });
  const text = await verifiedPack(bytes, entry, dealer.slug, dealer.jwk);
  await storeOrSay(entry.title, () => writeRelaxed(["packs", "shelf"], (tx) =>
    Promise.all([tx.objectStore("packs").put({ sha256: entry.sha256, text }), tx.objectStore("shelf").put(entry)])));
  opened.delete(entry.sha256);
}

async function fetchPicture(picture: ManifestPicture, title: string, how: Fetching): Promise<void> {
  const data = await getBytes(`/pictures/${picture.sha256}`, picture.bytes, how.onBytes ?? ignore, how.stop);
  if (data === null) throw refused("pack_not_served", { title });
  if (data.byteLength !== picture.bytes || (await sha256Hex(data)) !== picture.sha256) throw refused("picture_hash", { title });
  const row = { sha256: picture.sha256, mime: picture.mime, data };
  await storeOrSay(title, () => writeRelaxed(["pictures"], (tx) => tx.objectStore("pictures").put(row)));
}

async function storeOrSay(title: string, store: () => Promise<unknown>): Promise<void> {
  try {
    await store();
  } catch (error) {
    throw isStorageFull(error) ? refused("storage_full_library", { title }) : error;
  }
}

function ignore(): void {
  // nobody watches this download's progress
}

/** Hashes of the packs and pictures on this phone. */
export async function heldHashes(): Promise<[Set<string>, Set<string>]> {
  const [packs, pictures] = await read(["packs", "pictures"], (tx) =>
    Promise.all([tx.objectStore("packs").getAllKeys(), tx.objectStore("pictures").getAllKeys()]));
  return [new Set(packs), new Set(pictures)];
}

export function shelfEntries(): Promise<ManifestPack[]> {
  return read(["shelf"], (tx) => tx.objectStore("shelf").getAll());
}

export async function shelfEntry(sha256: string): Promise<ManifestPack | null> {
  return (await read(["shelf"], (tx) => tx.objectStore("shelf").get(sha256))) ?? null;
}

/** A blob: address of a picture, made once per page; null when missing and not to be had, or when its bytes changed. */
export async function pictureAddress(sha256: string, entries: ManifestPack[]): Promise<string | null> {
  const known = knownAddress(sha256);
  if (known) return known;
  const row = (await soundPicture(sha256)) ?? (await fetchedPicture(sha256, entries));
  return row && newAddress(sha256, row.data, row.mime);
}

async function soundPicture(sha256: string) {
  const row = await read(["pictures"], (tx) => tx.objectStore("pictures").get(sha256));
  return row && (await sha256Hex(row.data)) === sha256 ? row : null;
}

async function fetchedPicture(sha256: string, entries: ManifestPack[]) {
  const entry = entries.find((candidate) => candidate.pictures.some((picture) => picture.sha256 === sha256));
  const picture = entry?.pictures.find((candidate) => candidate.sha256 === sha256);
  if (!entry || !picture) return null;
  try {
    await fetchPicture(picture, entry.title, {});
  } catch (error) {
    if (error instanceof Unreached || error instanceof BenchError) return null;
    throw error;
  }
  return soundPicture(sha256);
}

/** Takes off the shelf what is neither in force nor pinned by a job. */
export async function clearShelf(inUse: Set<string>, pictures: Set<string>): Promise<void> {
  const [packKeys, pictureKeys] = await heldHashes();
  const oldPacks = [...packKeys].filter((sha256) => !inUse.has(sha256));
  const oldPictures = [...pictureKeys].filter((sha256) => !pictures.has(sha256));
  if (oldPacks.length + oldPictures.length === 0) return;
  await writeRelaxed(["packs", "shelf", "pictures"], (tx) => Promise.all([
    ...oldPacks.flatMap((sha256) => [tx.objectStore("packs").delete(sha256), tx.objectStore("shelf").delete(sha256)]),
    ...oldPictures.map((sha256) => tx.objectStore("pictures").delete(sha256)),
  ]));
}
