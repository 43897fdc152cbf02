/**
 * The fields of a calculation as data, and how what people type into them becomes its input.
 * Knows kinds of fields and units; no calculation and no look. Every text is kept as typed.
 */
import { readQuantityText } from "../../domain/quantity-text";
import { Refused } from "../../domain/refused";
import { convert, parseQuantity, type Kind } from "../../domain/units";
import type { Machine, TorqueWrench } from "../../store/bench";

/** What a field may take its first text from. */
export type Around = { place: string; machines: Machine[]; tools: TorqueWrench[]; imperial: boolean; today: string };
type Start = string | ((around: Around) => string);
type Common = { key: string; label: string; hint?: string; start?: Start; optional?: boolean };
export type AmountField = Common & { kind: "amount"; of: Kind; unit: string };
export type Field =
  | AmountField
  | (Common & { kind: "number"; unit?: string })
  | (Common & { kind: "list"; of: Kind | null; unit: string })
  | (Common & { kind: "choice"; options: readonly (readonly [value: string, words: string])[] })
  | (Common & { kind: "yes" })
  | (Common & { kind: "text" })
  | (Common & { kind: "day" })
  | (Common & { kind: "rows"; columns: readonly Field[]; least: number; most: number; row: string });
export type Form = Readonly<Record<string, string>>;
// the input of any calculation: each checks its own arguments
export type Input = Record<string, any>;
export type Failures = Record<string, Refused>;

/** The units one can choose between for a bare number; what is typed with its own unit needs none. */
export const UNITS_OF: Readonly<Partial<Record<Kind, readonly [metric: readonly string[], imperial: readonly string[]]>>> = {
  torque: [["N·m", "kgf·m", "kgf·cm", "N·cm"], ["lbf·ft", "lbf·in"]],
  length: [["mm", "cm", "m"], ["in", "thou", "ft"]],
  volume: [["ml", "l"], ["US fl oz", "US qt", "US gal", "imp fl oz", "imp pt", "imp gal"]],
  pressure: [["kPa", "bar", "kgf/cm²", "MPa"], ["psi"]],
  temperature: [["°C"], ["°F"]],
  mass: [["kg", "g"], ["lb", "oz", "stone"]],
  time: [["min", "h"], []],
};

/** The units to choose from, the person's own system first; one unit alone is no choice. */
export function unitsFor(kind: Kind, unit: string, imperial: boolean): string[] {
  const [metric, other] = UNITS_OF[kind] ?? [[unit], []];
  const [own, foreign] = imperial && other.length > 0 ? [other, metric] : [[unit, ...metric.filter((each) => each !== unit)], other];
  return [...own, ...foreign];
}

/** Whether two forms say the same: an empty field is one that is not there. */
export function sameForm(a: Form, b: Form): boolean {
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].every((key) => (a[key] ?? "") === (b[key] ?? ""));
}

export const unitKey = (key: string): string => `${key}.unit`;
export const countKey = (key: string): string => `${key}.count`;
export const rowKey = (key: string, row: number, column: string): string => `${key}.${row}.${column}`;

export function rowCount(field: Extract<Field, { kind: "rows" }>, form: Form): number {
  const count = Number(form[countKey(field.key)] ?? field.least);
  return Number.isInteger(count) ? Math.min(Math.max(count, field.least), field.most) : field.least;
}

/** The form before anything is typed: what each field starts with. */
export function firstForm(fields: readonly Field[], around: Around): Record<string, string> {
  const form: Record<string, string> = {};
  const begin = (field: Field, at: string): void => {
    const start = typeof field.start === "function" ? field.start(around) : field.start;
    if (start !== undefined && start !== "") form[at] = start;
    if (field.kind !== "rows") return;
    for (const column of field.columns) for (let n = 0; n < field.least; n += 1) begin(column, rowKey(field.key, n, column.key));
  };
  for (const field of fields) begin(field, field.key);
  return form;
}

/** The input that the form gives, and for each field that cannot be read why. */
export function readForm(fields: readonly Field[], form: Form, imperial: boolean): { input: Input; failures: Failures } {
  const failures: Failures = {};
  const read = (field: Field, at: string): unknown => {
    try {
      return field.kind === "rows" ? readRows(field) : valueOf(field, form, at, imperial);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      failures[at] = error;
      return undefined;
    }
  };
  const readRows = (field: Extract<Field, { kind: "rows" }>) =>
    Array.from({ length: rowCount(field, form) }, (_, n) => said(field.columns, (column) => read(column, rowKey(field.key, n, column.key))));
  return { input: said(fields, (field) => read(field, field.key)), failures };
}

/** A record of the fields that say something: what is left empty is left out, and the calculation's own default holds. */
function said(fields: readonly Field[], value: (field: Field) => unknown): Input {
  return Object.fromEntries(fields.map((field) => [field.key, value(field)] as const).filter(([, found]) => found !== undefined));
}

function valueOf(field: Exclude<Field, { kind: "rows" }>, form: Form, at: string, imperial: boolean): unknown {
  const text = (form[at] ?? "").trim();
  if (field.kind === "choice") return text || field.options[0]?.[0];
  if (field.kind === "yes") return text === "yes";
  if (text === "") {
    if (field.optional) return undefined;
    throw new Refused("number_needed", { what: field.label.toLowerCase() });
  }
  if (field.kind === "text" || field.kind === "day") return text;
  if (field.kind === "number") return plainNumber(text, field.label, field.unit ?? "");
  const unit = form[unitKey(at)] ?? (field.of === null ? field.unit : (unitsFor(field.of, field.unit, imperial)[0] ?? field.unit));
  if (field.kind === "amount") return amountOf(text, field.of, unit, field.unit, field.label);
  return parts(text).map((part) => (field.of === null ? plainNumber(part, field.label, field.unit) : amountOf(part, field.of, unit, field.unit, field.label)));
}

/** The entries of a list: parted by semicolons, new lines, or a comma with a space after it. */
export function parts(text: string): string[] {
  return text.split(/[;\n]|,\s+/).map((part) => part.trim()).filter((part) => part !== "");
}

/**
 * One amount in the unit of the calculation; a bare number takes the chosen unit. Heights above the sea go past what a length of a
 * machine may be, so only their unit is read as a length: the calculation has limits of its own.
 */
export function amountOf(text: string, of: Kind, chosen: string, wanted: string, label: string): number {
  const reading = readQuantityText(text);
  const bare = reading.unit_text === "";
  if (wanted === "m" && reading.value !== null) return convert(reading.value, bare ? chosen : parseQuantity(`1 ${reading.unit_text}`, of).written_unit, wanted);
  const quantity = parseQuantity(bare ? `${text} ${chosen}` : text, of);
  if (quantity.written_value === null) throw new Refused("calc_single_number", { what: label.toLowerCase(), written: text });
  return convert(quantity.written_value, quantity.written_unit, wanted);
}

function plainNumber(text: string, label: string, unit: string): number {
  const reading = readQuantityText(text);
  const own = reading.unit_text.replaceAll(" ", "").toLowerCase();
  const allowed = own === "" || own === ":1" || own === unit.replaceAll(" ", "").toLowerCase();
  if (reading.value === null || !allowed) throw new Refused("calc_single_number", { what: label.toLowerCase(), written: text });
  return reading.value;
}

/** What is written in the note of a step: every field with what was typed. */
export function typedInWords(fields: readonly Field[], form: Form, imperial: boolean): string {
  const words = fields.flatMap((field) => {
    const text = (form[field.key] ?? "").trim();
    if (text === "" || field.kind === "rows" || field.kind === "yes") return [];
    if (field.kind === "choice") return [`${field.label}: ${field.options.find(([value]) => value === text)?.[1] ?? text}`];
    const unit = field.kind === "amount" && readable(text) ? (form[unitKey(field.key)] ?? unitsFor(field.of, field.unit, imperial)[0] ?? "") : "";
    return [`${field.label}: ${text}${unit === "" ? "" : ` ${unit}`}`];
  });
  return words.join("; ");
}

/** Whether the text is a bare number, so that the chosen unit belongs to it. */
function readable(text: string): boolean {
  try {
    return readQuantityText(text).unit_text === "";
  } catch {
    return false;
  }
}
