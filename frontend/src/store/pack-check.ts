/** The verdict on a pack: its bytes against its name, its signature, its place in the manifest, its shape. No storage, no network. */
import { sha256Hex } from "./bytes";
import { signedBy } from "./manifest";
import type { ModelPack, ProcedurePack } from "./pack-types";
import { refused } from "./refusal";
import type { ManifestPack } from "./types";

const FORMATS = { procedure: "benchtrail.procedure/1", model: "benchtrail.model/1" } as const;

/**
 * The text of a pack just downloaded, or a refusal: pack_cut_short, pack_hash, pack_signature, pack_encoding, pack_format, pack_foreign,
 * pack_misnamed. All of them leave what is on the phone as it was.
 */
export async function verifiedPack(bytes: ArrayBuffer, entry: ManifestPack, dealer: string, jwk: JsonWebKey): Promise<string> {
  const values = { title: entry.title };
  if (bytes.byteLength !== entry.bytes) throw refused("pack_cut_short", { ...values, got: bytes.byteLength, expected: entry.bytes });
  if ((await sha256Hex(bytes)) !== entry.sha256) throw refused("pack_hash", values);
  if (!(await signedBy(jwk, bytes, entry.signature))) throw refused("pack_signature", values);
  const text = decoded(bytes, entry);
  const pack = parsedPack(text, entry.kind, entry.title);
  if (pack.dealer !== dealer) throw refused("pack_foreign", { ...values, other: String(pack.dealer) });
  const id = pack.format === FORMATS.procedure ? pack.procedure : pack.model;
  if (id !== entry.id || pack.revision !== entry.revision) throw refused("pack_misnamed", values);
  return text;
}

/** The pack out of its stored text, re-hashed: storage can hand back other bytes than it was given (offline.md 2.5). Refused("pack_damaged"). */
export async function soundPack(text: string, sha256: string): Promise<ProcedurePack | ModelPack> {
  if ((await sha256Hex(text)) !== sha256) throw refused("pack_damaged", { sha: sha256.slice(0, 12) });
  return JSON.parse(text) as ProcedurePack | ModelPack;
}

function decoded(bytes: ArrayBuffer, entry: ManifestPack): string {
  try {
    // ignoreBOM keeps a byte-order mark in the text, so that the stored text hashes as the bytes did
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw refused("pack_encoding", { title: entry.title });
  }
}

function parsedPack(text: string, kind: "procedure" | "model", title: string): ProcedurePack | ModelPack {
  let pack: unknown;
  try {
    pack = JSON.parse(text);
  } catch {
    throw refused("pack_format", { title, format: "none" });
  }
  const made = pack as Record<string, unknown> | null;
  if (made?.format !== FORMATS[kind]) throw refused("pack_format", { title, format: String(made?.format ?? "none") });
  const whole = kind === "procedure" ? Array.isArray(made.steps) && PARTS_OF_PROCEDURE.every((key) => isTable(made[key])) : Array.isArray(made.years);
  if (!whole) throw refused("pack_format", { title, format: String(made.format) });
  return pack as ProcedurePack | ModelPack;
}

const PARTS_OF_PROCEDURE = ["parts", "joints", "figures", "fluids", "tools", "supplies", "poses", "cautions", "checks", "pictures"];

function isTable(value: unknown): boolean {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}
