// A parts or torque table as dealers have it, read row by row: what each row would add to the map, or what is wrong with it.
// Knows columns and rows; the bytes may be UTF-8 with or without a mark, or Latin-1; fields may be parted by comma, semicolon or tab.
import Papa from "papaparse";
import { parseQuantity } from "../../domain/units";
import { Refused } from "../../domain/refused";
import { freeId } from "./things";
import type { Value } from "./yaml-text";

export type Kind = "parts" | "torques";
export type Sheet = { encoding: "UTF-8" | "Latin-1"; delimiter: string; head: string[]; rows: string[][] };
export type Row = { line: number; cells: string[]; id: string; value: { [key: string]: Value } | null; errors: string[]; known: boolean };

export const MOST_ROWS = 20_000;
const LONGEST_NAME = 300;

/** Columns that each kind of table can have, with the words that heads use for them. */
export const COLUMNS: Record<Kind, [string, string, RegExp][]> = {
  parts: [
    ["name", "Name", /^(part ?)?(name|description|designation|benennung|bezeichnung|désignation|part)$/i],
    ["number", "Part number", /(part|item|article|stock).{0,3}(no|num|number|nr)|^(no|number|nr|teilenummer|artikelnummer|référence)\.?$/i],
    ["side", "Side", /^(side|seite|côté)$/i],
    ["count", "How many", /^(qty|quantity|count|pcs|pieces|menge|anzahl|quantité)\.?$/i],
    ["renew", "When it comes off (never, inspect, always)", /^(renew|replace|erneuern)$/i],
    ["mass_kg", "Mass in kg", /^(mass|weight|kg|gewicht|masse)/i],
    ["when", "Only on these machines", /^(when|years?|applies|baujahr)$/i],
  ],
  torques: [
    ["name", "Which joint or what for", /^(joint|name|fastener|bolt|screw|designation|description|benennung|bezeichnung|position)$/i],
    ["as_published", "Torque with its unit", /^(torque|figure|value|drehmoment|anzugs|couple)/i],
    ["tolerance", "Tolerance", /^(tol|toleranz)/i],
    ["condition", "Condition", /^(cond|note|remark|zustand|bemerkung)/i],
    ["source", "Source", /^(source|page|document|quelle)/i],
    ["thread", "Thread", /^(thread|size|gewinde|filetage)/i],
  ],
};

/** The table of a file's bytes. An empty file has no head and no rows. */
export function readSheet(bytes: Uint8Array): Sheet {
  const { text, encoding } = decoded(bytes);
  const parsed = Papa.parse<string[]>(text, { skipEmptyLines: "greedy", delimitersToGuess: [",", ";", "\t", "|"] });
  const [head = [], ...rows] = parsed.data.map((row) => row.map((cell) => cell.replace(/\s+/g, " ").trim()));
  return { encoding, delimiter: parsed.meta.delimiter, head, rows };
}

function decoded(bytes: Uint8Array): { text: string; encoding: Sheet["encoding"] } {
  try {
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(bytes), encoding: "UTF-8" };
  } catch {
    return { text: new TextDecoder("windows-1252").decode(bytes), encoding: "Latin-1" };
  }
}

/** For each column of the file the field that its head seems to mean, "" for none. No field twice. */
export function guessColumns(kind: Kind, head: string[]): string[] {
  const free = new Set(COLUMNS[kind].map(([key]) => key));
  return head.map((words) => {
    const found = COLUMNS[kind].find(([key, , pattern]) => free.has(key) && pattern.test(words));
    if (found) free.delete(found[0]);
    return found?.[0] ?? "";
  });
}

/** Each row as it would come in. `there`: ids on the map; `names`: names on the map, in lower case. `source`: for figures without one. */
export function readRows(kind: Kind, sheet: Sheet, columns: string[], there: ReadonlySet<string>, names: ReadonlySet<string>, source = "", condition = ""): Row[] {
  const taken = new Set(there);
  const seen = new Map<string, number>();
  return sheet.rows.slice(0, MOST_ROWS).map((cells, at) => {
    const line = at + 2;
    const said: Record<string, string> = {};
    for (const [n, key] of columns.entries()) if (key && cells[n]) said[key] = cells[n];
    const errors = kind === "parts" ? partErrors(said) : torqueErrors(said, source, condition);
    if (cells.length > sheet.head.length && cells.slice(sheet.head.length).some(Boolean)) errors.push(`has ${cells.length} fields, the head has ${sheet.head.length}`);
    const name = (said["name"] ?? "").toLowerCase();
    const first = seen.get(name);
    if (name && first !== undefined) errors.push(`has the same name as line ${first}`);
    else if (name) seen.set(name, line);
    const known = name !== "" && names.has(name);
    const id = freeId(kind === "torques" ? `${said["name"] ?? ""} torque` : (said["name"] ?? ""), taken);
    const value = errors.length > 0 || known ? null : kind === "parts" ? partOf(said) : figureOf(said, source, condition);
    if (value) taken.add(id);
    return { line, cells, id, value, errors, known };
  });
}

function partErrors(said: Record<string, string>): string[] {
  const errors = nameErrors(said);
  if (said["count"] && !/^[1-9]\d{0,2}$/.test(said["count"])) errors.push(`“${said["count"].slice(0, 20)}” is no number of pieces from 1 to 999`);
  if (said["mass_kg"] && !(Number(said["mass_kg"].replace(",", ".")) >= 0 && Number(said["mass_kg"].replace(",", ".")) <= 2000)) errors.push(`“${said["mass_kg"].slice(0, 20)}” is no mass in kg`);
  if (said["renew"] && !["never", "inspect", "always"].includes(said["renew"].toLowerCase())) errors.push(`“${said["renew"].slice(0, 20)}” is none of never, inspect, always`);
  return errors;
}

function nameErrors(said: Record<string, string>): string[] {
  if (!said["name"]) return ["has no name"];
  return said["name"].length > LONGEST_NAME ? [`has a name of ${said["name"].length} characters; at most ${LONGEST_NAME} fit on a phone`] : [];
}

function torqueErrors(said: Record<string, string>, source: string, condition: string): string[] {
  const errors = nameErrors(said);
  if (!said["as_published"]) errors.push("has no torque; a missing figure is never guessed");
  else {
    const problem = torqueProblem(said["as_published"]);
    if (problem) errors.push(problem);
  }
  if (!said["source"] && !source) errors.push("has no source");
  if (!said["condition"] && !condition) errors.push("has no condition (dry, oiled, …)");
  return errors;
}

function torqueProblem(words: string): string | null {
  try {
    parseQuantity(words, "torque");
    return null;
  } catch (error) {
    if (error instanceof Refused) return `“${words.slice(0, 30)}” is no torque with its unit`;
    throw error;
  }
}

const partOf = (said: Record<string, string>): { [key: string]: Value } =>
  ordered(["name", "side", "number", "count", "when", "renew", "mass_kg"], { ...said, ...(said["mass_kg"] ? { mass_kg: said["mass_kg"].replace(",", ".") } : {}), ...(said["renew"] ? { renew: said["renew"].toLowerCase() } : {}) });

const figureOf = (said: Record<string, string>, source: string, condition: string): { [key: string]: Value } =>
  ordered(["as_published", "tolerance", "condition", "source"], { source, condition, ...said });

const ordered = (keys: string[], said: Record<string, string>): { [key: string]: Value } => Object.fromEntries(keys.filter((key) => said[key]).map((key) => [key, said[key]!]));
