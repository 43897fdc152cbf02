/** Shapes of the compiled pack and of an event (shared/README.md §6 and §8). */
import type { Guard } from "./types";

export type Safety = string;
export type Literal = [string, string] | ["set", string, string];
export type Figure = {
  id: string; kind: string; value: number | null; low: number | null; high: number | null; unit: string; as_published: string;
  tolerance: string | null; condition: string; source: string; revision: string | null; safety: Safety; when: Guard;
};
export type Caution = {
  id: string; signal: "DANGER" | "WARNING" | "CAUTION" | "NOTICE"; hazard: string; consequence: string; avoidance: string; triggers: [string, string][];
};
export type Action = { verb: string; object: string; stage?: number; to?: string; amount_ml?: number; minutes?: number; value?: string };
export type Limits = {
  check: string; kind: string; unit: string; low: string | null; high: string | null; pass: string; fail: string;
  fail_needs: "renew" | "ask" | "adjust" | "stop";
};
export type Step = {
  id: string; section: string; do: Action[]; say: string; detail: string | null; when: Guard; figure: string | null; cautions: string[];
  limits: Limits | null; look_for: string | null; picture: string | null; minutes: number | null; tools: string[];
};
export type Part = {
  name: string; side: string | null; number: string | null; count: number; when: Guard; renew: string; hold: boolean; mass_kg: number | null;
  look_for: string | null; exit: Literal[][]; safety: Safety; inside: boolean;
};
export type Joint = {
  name: string; joins: string[]; kind: string; thread: string | null; tools: string[];
  positions: { at: [number, number]; length_mm: number | null; label: string | null }[]; reach: Literal[][]; holds: string[]; dry_in: string[];
  figure: string | null; hand: string | null; treatment: { kind: string; supply: string | null }; pattern: string; order: number[] | null;
  stages: { share?: number; figure?: string; angle_deg?: number; pose: string | null }[]; renew: string; number: string | null; safety: Safety; when: Guard;
};
type Table = Record<string, Record<string, unknown> & { name: string }>;
export type Option = { id: string; name: string; group: string | null; when: Guard };
export type ProcedurePack = {
  format: "benchtrail.procedure/1"; dealer: string; procedure: string; title: string; summary: string; invented: boolean; revision: number;
  issued: string; author: string; change_note: string; model: null | { id: string; name: string; years: [number, number]; options: Option[] };
  applies: Guard; goal: Literal[]; safety: Safety[]; people: number; skill: string; start: Literal[]; ends: Literal[];
  prepare: { tools: string[]; supplies: string[] }; stop_and_ask: string; disposal: string | null;
  parts: Record<string, Part>; units: Record<string, { name: string; parts: string[]; when: Guard }>; joints: Record<string, Joint>;
  figures: Record<string, Figure>; fluids: Table; tools: Table; supplies: Table; poses: Table; settings: Table; aids: Table;
  cautions: Record<string, Caution>; checks: Table; follow_ons: Record<string, Record<string, unknown>>;
  steps: Step[]; pictures: Record<string, { sha256: string; mime: string; bytes: number; alt: string }>;
};
export type ModelPack = {
  format: "benchtrail.model/1"; dealer: string; model: string; name: string; invented: boolean; years: [number, number]; options: Option[];
  revision: number; issued: string; [table: string]: unknown;
};

export type JournalEvent = {
  id: string; device: string; seq: number; job: string; kind: string; body: Record<string, unknown>; hlc: string; wall: string;
  pack: string; prev: string | null; schema: 1;
};
