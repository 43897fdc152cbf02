// What the server says of workfiles. Knows shapes only.
import type { ModelPack } from "../../generated/model-pack";
import type { ProcedurePack } from "../../generated/procedure-pack";
import type { Message } from "../api";

export type Workfile = {
  id: string;
  path: string;
  kind: "map" | "procedure";
  title: string;
  model: string | null;
  version: number;
  started_at: string;
  started_by: string;
  saved_at: string;
  saved_by: string;
  put_away: boolean;
};
export type WorkfileText = Workfile & { text: string; newest: number };
export type Finding = {
  line: number;
  severity: "note" | "warning" | "error" | "block";
  check: string;
  code: string;
  step: string | null;
  variants: string | null;
  reason?: string | null;
  values: Record<string, string | number | boolean | null>;
  message: Message;
};
export type MapUsed = { from: "workfile" | "published" | "none"; id: string | null; version: number | null };
export type Pack = ProcedurePack | ModelPack;
export type Checked = { findings: Finding[]; pack: Pack | null; map_used: MapUsed };
export type Part = { name: string; text: string } | { name: string; base: string | null; mine: string | null; theirs: string | null };
export type MovedOn = { version: number; saved_by: string; saved_at: string; mine: string; theirs: string; merged: string | null; parts: Part[] | null };
