/** Which dealer this phone reads from, the key pinned at first contact, and the manifest in force. */
import { getJson } from "../sync/http";
import { read, readMeta, writeStrict } from "./database";
import { verifiedManifest } from "./manifest";
import { refused } from "./refusal";
import type { DealerRow, MetaRow } from "./schema";
import type { Dealer } from "./types";

type Announced = Dealer & { key: { kid: string; jwk: JsonWebKey } };
const rowKey = (slug: string) => `dealer:${slug}`;

/** The chosen dealer's row, or null before the first contact. */
export async function dealerRow(): Promise<DealerRow | null> {
  const slug = await readMeta("dealer");
  return slug === undefined ? null : dealerRowOf(slug);
}

async function dealerRowOf(slug: string): Promise<DealerRow | null> {
  return ((await read(["meta"], (tx) => tx.objectStore("meta").get(rowKey(slug)))) as DealerRow | undefined) ?? null;
}

/** Changes a dealer's row inside one transaction, so that a refresh and a keep at the same time do not undo each other. */
export function changeDealer(slug: string, change: (row: DealerRow) => DealerRow): Promise<DealerRow> {
  return writeStrict(["meta"], async (tx) => {
    const store = tx.objectStore("meta");
    const row = (await store.get(rowKey(slug))) as DealerRow | undefined;
    if (!row) throw refused("dealer_unknown", { dealer: slug });
    const next = change(row);
    await store.put(next, rowKey(slug));
    return next;
  });
}

async function writeChosen(row: DealerRow): Promise<void> {
  await writeStrict(["meta"], (tx) => Promise.all([
    tx.objectStore("meta").put(row, rowKey(row.slug)),
    tx.objectStore("meta").put(row.slug satisfies MetaRow["dealer"], "dealer"),
  ]));
}

/** The dealers this server serves. Refused("dealers_unreadable") when the list makes no sense. */
export async function announcedDealers(): Promise<Announced[]> {
  const reply = await getJson("/api/v1/dealers");
  if (reply.status !== 200 || !Array.isArray(reply.body) || !reply.body.every(isAnnounced)) throw refused("dealers_unreadable", { status: reply.status });
  return reply.body;
}

function isAnnounced(item: unknown): item is Announced {
  const made = item as Partial<Announced> | null;
  return typeof made?.slug === "string" && /^[a-z0-9-]+$/.test(made.slug) && typeof made.name === "string" && typeof made.key?.kid === "string"
    && typeof made.key.jwk === "object" && made.key.jwk !== null;
}

/** Chooses a dealer. Its key is pinned the first time and never replaced by what a server says later. */
export async function chooseDealer(chosen: Announced): Promise<DealerRow> {
  const known = await dealerRowOf(chosen.slug);
  const row: DealerRow = known ?? {
    slug: chosen.slug, name: chosen.name, invented: chosen.invented === true, kid: chosen.key.kid, jwk: chosen.key.jwk,
    counter: 0, payloadSha256: null, packs: [], checkedAt: null, keptModels: [],
  };
  await writeChosen(row);
  return row;
}

/** Fetches the manifest; the row with what is now in force. All refusals of verifiedManifest; the row in the database is then untouched. */
export async function fetchManifest(row: DealerRow, serverMs: number, bestMs: number): Promise<DealerRow> {
  const reply = await getJson(`/api/v1/dealers/${row.slug}/manifest`);
  if (reply.status === 404) throw refused("manifest_none", { dealer: row.name });
  if (reply.status !== 200) throw refused("manifest_unreadable");
  const manifest = await verifiedManifest(reply.body, row, bestMs);
  const { counter, packs, bulletins, payloadSha256 } = manifest;
  const checkedAt = new Date(serverMs).toISOString();
  return changeDealer(row.slug, (now) => {
    // another tab may have accepted a newer manifest while this one was being verified
    if (now.counter > counter) return now;
    return { ...now, counter, packs, bulletins, payloadSha256, checkedAt };
  });
}
