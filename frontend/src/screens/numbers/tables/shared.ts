/** What several tables use: fields that recur, choices of the trade, and calculations by name. */
import type { Answer } from "../../../domain/answer";
import type { Kind } from "../../../domain/units";
import type { AmountField, Field, Input } from "../fields";

/** Calculations by name, out of one piece's own half. */
export const byName = (half: Readonly<Record<string, (input: any) => Answer>>) => (name: string): ((input: Input) => Answer) => {
  const calculation = half[name];
  if (!calculation) throw new Error(`no calculation ${name}`);
  return (input) => calculation(input);
};

type More = { hint?: string; start?: Field["start"]; optional?: boolean };
const field = (key: string, label: string, of: Kind, unit: string, more: More): AmountField =>
  ({ kind: "amount", key, label, of, unit, ...(more.hint ? { hint: more.hint } : {}), ...(more.start ? { start: more.start } : {}), ...(more.optional ? { optional: true } : {}) });

export const torque = (key: string, label: string, more: More = {}) => field(key, label, "torque", "N·m", more);
export const length = (key: string, label: string, more: More = {}) => field(key, label, "length", "mm", more);
export const volume = (key: string, label: string, more: More = {}) => field(key, label, "volume", "ml", more);
export const temperature = (key: string, label: string, more: More = {}) => field(key, label, "temperature", "°C", more);
export const pressure = (key: string, label: string, more: More = {}) => field(key, label, "pressure", "kPa", more);
export const percent = (key: string, label: string, more: More = {}) => field(key, label, "percent", "%", more);
export const angle = (key: string, label: string, more: More = {}) => field(key, label, "angle", "deg", more);
export const mass = (key: string, label: string, more: More = {}) => field(key, label, "mass", "kg", more);
export const amountIn = field;

export const THREAD: Field = { kind: "text", key: "thread", label: "Thread", hint: "as M8x1.25, pitch included" };
export const GRADE: Field = {
  kind: "choice", key: "grade", label: "Class on the bolt head", start: "unknown",
  options: [["unknown", "Not marked or not known"], ["8.8", "8.8"], ["10.9", "10.9"], ["12.9", "12.9"], ["5.8", "5.8"], ["4.6", "4.6"]],
};
export const LUBRICATION: Field = {
  kind: "choice", key: "lubrication", label: "Thread and head are",
  options: [
    ["dry", "Dry"], ["oiled", "Oiled"], ["zinc", "Zinc plated"], ["phosphate_oiled", "Phosphated and oiled"], ["cadmium", "Cadmium plated"], ["stainless_dry", "Stainless, dry"],
    ["threadlocker", "With threadlocker"], ["grease", "Greased"], ["anti_seize", "With anti-seize"],
  ],
};
export const GLYCOL: Field = { kind: "choice", key: "glycol", label: "Glycol", options: [["ethylene", "Ethylene glycol"], ["propylene", "Propylene glycol"]] };
export const LEVER = length("lever_mm", "Wrench: drive centre to grip centre", { start: ({ tools }) => (tools.length === 1 && tools[0]?.lever_mm ? String(tools[0].lever_mm) : "") });
export const SHARES: Field = {
  kind: "choice", key: "shares", label: "Stages", start: "100",
  options: [["100", "In one go"], ["50,100", "50, 100 %"], ["30,60,100", "30, 60, 100 %"], ["20,40,80,100", "20, 40, 80, 100 %"]],
};
export const sharesOf = (input: Input): number[] => String(input["shares"] ?? "100").split(",").map(Number);
