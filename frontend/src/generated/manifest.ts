// Made from shared/schemas/manifest.schema.json by generate-types.mjs. Change the schema, not this file.
import type { Figure, Guard, Safety } from "./procedure-pack";

export type Signature = string;
export type Sha256 = string;
export type Kebab = string;

/**
 * A dealer's manifest as it is served: the payload is text, signed as it stands.
 */
export interface SignedManifest {
  payload: string;
  signature: Signature;
  kid: string;
}
export interface ManifestPack {
  sha256: Sha256;
  bytes: number;
  kind: "procedure" | "model";
  id: Kebab;
  title: string;
  summary: string;
  revision: number;
  issued: string;
  model: Kebab | null;
  applies: Guard;
  safety: Safety[];
  signature: Signature;
  pictures: ManifestPicture[];
}
export interface ManifestPicture {
  sha256: Sha256;
  bytes: number;
  mime: string;
}
export interface RevisionNamed {
  sha256: Sha256;
  revision: number;
}
export interface BulletinChange {
  id: string;
  code: string;
  severity: "safety" | "work" | "words";
  object: string;
  name: string;
  old: string | null;
  new: string | null;
  steps: string[];
  redo: boolean;
  when: Guard;
  figures?: BulletinFigures;
  before?: string | null;
}
export interface BulletinFigures {
  old: Figure | null;
  new: Figure | null;
}
export interface Bulletin {
  kind: "procedure" | "model";
  id: Kebab;
  title: string;
  from: RevisionNamed;
  to: RevisionNamed;
  issued_at: string;
  text: string;
  changes: BulletinChange[];
}
/**
 * What the payload text holds once it is parsed (shared/README.md §10).
 */
export interface ManifestPayload {
  format: "benchtrail.manifest/1";
  dealer: Kebab;
  counter: number;
  issued_at: string;
  packs: ManifestPack[];
  bulletins?: Bulletin[];
}
