/**
 * The verdict on a manifest: signature, dealer, counter, date, shape. Pure but for Web Cryptography; no storage, no network.
 * What it refuses has no effect: the manifest in force stays, and the reason is shown.
 */
import { fromBase64Url, isSha256, sha256Hex, subtle, utf8 } from "./bytes";
import { refused } from "./refusal";
import type { Bulletin, BulletinChange, ManifestPack, ManifestPicture } from "./types";

export type SignedManifest = { payload: string; signature: string; kid: string };
export type Manifest = { dealer: string; counter: number; issued_at: string; packs: ManifestPack[]; bulletins: Bulletin[]; payloadSha256: string };
/** What this phone holds a manifest against: the pinned key and the highest counter it has accepted. */
export type Pinned = { slug: string; kid: string; jwk: JsonWebKey; counter: number; payloadSha256: string | null };

export const MANIFEST_FORMAT = "benchtrail.manifest/1";
const AHEAD_MS = 24 * 3600 * 1000;
const ECDSA = { name: "ECDSA", namedCurve: "P-256" } as const;

/** True when `signature` (base64url, r‖s, 64 bytes) over `bytes` was made with the key. ECDSA P-256 with SHA-256; RFC 7518, section 3.4. */
export async function signedBy(jwk: JsonWebKey, bytes: ArrayBuffer | Uint8Array<ArrayBuffer>, signature: string): Promise<boolean> {
  const raw = fromBase64Url(signature);
  if (raw?.length !== 64) return false;
  const plain = { kty: jwk.kty ?? "", crv: jwk.crv ?? "", x: jwk.x ?? "", y: jwk.y ?? "" };
  const key = await subtle().importKey("jwk", plain, ECDSA, false, ["verify"]).catch(() => null);
  return key !== null && (await subtle().verify({ name: "ECDSA", hash: "SHA-256" }, key, raw, bytes));
}

/**
 * The manifest, or a refusal: manifest_unreadable, manifest_key_changed, manifest_signature, manifest_format, manifest_foreign,
 * manifest_rolled_back, manifest_counter_reused, manifest_from_the_future. `nowMs` is the best time known (server's, else the phone's).
 */
export async function verifiedManifest(received: unknown, pinned: Pinned, nowMs: number): Promise<Manifest> {
  const signed = signedManifest(received);
  if (signed.kid !== pinned.kid) throw refused("manifest_key_changed", { dealer: pinned.slug, kid: signed.kid, known: pinned.kid });
  if (!(await signedBy(pinned.jwk, utf8(signed.payload), signed.signature))) throw refused("manifest_signature", { dealer: pinned.slug });
  const payload = parsed(signed.payload);
  const manifest = { ...manifestOf(payload), payloadSha256: await sha256Hex(signed.payload) };
  checkDealer(manifest, pinned);
  checkCounter(manifest, pinned);
  checkDate(manifest, nowMs);
  return manifest;
}

function signedManifest(received: unknown): SignedManifest {
  const made = received as Partial<SignedManifest> | null;
  if (typeof made?.payload !== "string" || typeof made.signature !== "string" || typeof made.kid !== "string") throw refused("manifest_unreadable");
  return made as SignedManifest;
}

function parsed(payload: string): unknown {
  try {
    return JSON.parse(payload);
  } catch {
    throw refused("manifest_unreadable");
  }
}

function checkDealer(manifest: Manifest, pinned: Pinned): void {
  if (manifest.dealer !== pinned.slug) throw refused("manifest_foreign", { dealer: pinned.slug, other: manifest.dealer });
}

function checkCounter(manifest: Manifest, pinned: Pinned): void {
  if (manifest.counter < pinned.counter) throw refused("manifest_rolled_back", { counter: manifest.counter, seen: pinned.counter });
  const reused = manifest.counter === pinned.counter && pinned.payloadSha256 !== null && manifest.payloadSha256 !== pinned.payloadSha256;
  if (reused) throw refused("manifest_counter_reused", { counter: manifest.counter });
}

function checkDate(manifest: Manifest, nowMs: number): void {
  if (Date.parse(manifest.issued_at) > nowMs + AHEAD_MS) throw refused("manifest_from_the_future", { issued: manifest.issued_at.slice(0, 10) });
}

function manifestOf(payload: unknown): Omit<Manifest, "payloadSha256"> {
  const made = payload as Record<string, unknown> | null;
  if (made?.format !== MANIFEST_FORMAT) throw refused("manifest_format", { format: String(made?.format ?? "none") });
  const { dealer, counter, issued_at, packs, bulletins = [] } = made;
  const sound = typeof dealer === "string" && isCount(counter) && typeof issued_at === "string" && !Number.isNaN(Date.parse(issued_at));
  if (!sound || !Array.isArray(packs) || !Array.isArray(bulletins)) throw refused("manifest_unreadable");
  return { dealer, counter, issued_at, packs: packs.map(packEntry), bulletins: bulletins.map(bulletinEntry) };
}

/** A malformed entry refuses the whole manifest: a list with holes would show an older figure as the one in force. */
function packEntry(item: unknown): ManifestPack {
  const made = item as ManifestPack | null;
  const words = [made?.id, made?.title, made?.summary, made?.issued, made?.signature];
  const sound = isSha256(made?.sha256) && isCount(made.bytes) && isCount(made.revision) && words.every((word) => typeof word === "string")
    && (made.kind === "procedure" || made.kind === "model") && (made.model === null || typeof made.model === "string")
    && Array.isArray(made.pictures) && made.pictures.every(isPicture) && Array.isArray(made.safety);
  if (!sound) throw refused("manifest_unreadable");
  return made;
}

/** Malformed as a pack's entry is: a change that is left out would show a figure as if it still held. */
function bulletinEntry(item: unknown): Bulletin {
  const made = item as Bulletin | null;
  const sound = isSha256(made?.from?.sha256) && isSha256(made.to?.sha256) && isCount(made.from.revision) && isCount(made.to.revision)
    && typeof made.id === "string" && typeof made.text === "string" && Array.isArray(made.changes) && made.changes.every(isChange);
  if (!sound) throw refused("manifest_unreadable");
  return made;
}

function isChange(item: unknown): boolean {
  const made = item as Partial<BulletinChange> | null;
  const words = [made?.id, made?.code, made?.severity, made?.object, made?.name];
  const texts = [made?.old, made?.new, made?.before ?? null];
  return words.every((word) => typeof word === "string") && texts.every((text) => text === null || typeof text === "string")
    && Array.isArray(made?.steps) && made.steps.every((step) => typeof step === "string") && typeof made.redo === "boolean";
}

function isPicture(item: unknown): item is ManifestPicture {
  const made = item as Partial<ManifestPicture> | null;
  return isSha256(made?.sha256) && isCount(made?.bytes) && typeof made?.mime === "string" && PICTURE_KINDS.has(made.mime);
}

export const PICTURE_KINDS = new Set(["image/svg+xml", "image/png", "image/jpeg", "image/webp"]);

function isCount(value: unknown): value is number {
  return Number.isSafeInteger(value) && (value as number) >= 0;
}
