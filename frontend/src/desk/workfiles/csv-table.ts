// A parts or torque table as dealers have it, read row by row: what each row would add to the map, or what is wrong with it.
// Knows columns and rows; the bytes may be UTF-8 with or without a mark, or Latin-1; fields may be parted by comma, semicolon or tab.
import Papa from "papaparse";
import { parseQuantity } from "../../domain/units";
import { Refused } from "../../domain/refused";
import type { Message } from "../api";
import { freeId } from "./things";
import type { Value } from "./yaml-text";

export type Kind = "parts" | "torques";
export type Sheet = { encoding: "UTF-8" | "UTF-16" | "Latin-1"; delimiter: string; head: string[]; rows: string[][] };
export type Row = { line: number; cells: string[]; id: string; value: { [key: string]: Value } | null; errors: string[]; known: boolean; joint: string | null; thread?: string };
/** A joint as a torque row finds it: by its name, while it has no figure yet. */
export type JointThere = { id: string; name: string; figure: string; thread: string };

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

const MOST_BYTES = 10 * 1024 * 1024;
// how files begin that are no text, whatever their name says
const NO_TABLES: [number[], string][] = [
  [[0x50, 0x4b, 0x03, 0x04], "a packed file, as spreadsheet programs save their own"],
  [[0xd0, 0xcf, 0x11, 0xe0], "an old spreadsheet or text document"],
  [[0x25, 0x50, 0x44, 0x46], "a PDF"],
  [[0x89, 0x50, 0x4e, 0x47], "a picture"],
  [[0xff, 0xd8, 0xff], "a picture"],
  [[0x47, 0x49, 0x46, 0x38], "a picture"],
  [[0x1f, 0x8b], "a packed file"],
];

/** Why a file is no table, in three parts; null when it can be read as one. */
export function notATable(bytes: Uint8Array): Message | null {
  if (bytes.length > MOST_BYTES)
    return { happened: `The file has ${Math.ceil(bytes.length / 1024 / 1024)} MB.`, means: "A table of 20,000 rows has about 2 MB. Nothing was read.", do: "Take out of it what is no part and no torque, or divide it." };
  const known = NO_TABLES.find(([start]) => start.every((byte, at) => bytes[at] === byte))?.[1];
  const binary = !known && !isUtf16(bytes) && bytes.subarray(0, 65_536).includes(0);
  if (!known && !binary) return null;
  return { happened: `The file is ${known ?? "no text"}, whatever its name says.`, means: "Rows and columns can only be read from text. Nothing was read, and the map is as it was.", do: "Open it where it was made, save the sheet as CSV, and choose that file." };
}

const isUtf16 = (bytes: Uint8Array): boolean => (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);

/** The table of a file's bytes. An empty file has no head and no rows. */
export function readSheet(bytes: Uint8Array): Sheet {
  const { text, encoding } = decoded(bytes);
  const parsed = Papa.parse<string[]>(text, { skipEmptyLines: "greedy", delimitersToGuess: [",", ";", "\t", "|"] });
  const [head = [], ...rows] = parsed.data.map((row) => row.map((cell) => cell.replace(/\s+/g, " ").trim()));
  return { encoding, delimiter: parsed.meta.delimiter, head, rows };
}

function decoded(bytes: Uint8Array): { text: string; encoding: Sheet["encoding"] } {
  if (isUtf16(bytes)) return { text: new TextDecoder(bytes[0] === 0xff ? "utf-16le" : "utf-16be").decode(bytes), encoding: "UTF-16" };
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
    return { line, cells, id, value, errors, known, joint: null, ...(said["thread"] ? { thread: said["thread"] } : {}) };
  });
}

/** The rows with the joint that each figure goes to: the one of its name, or the one chosen for its line ("" for none). A joint
    that has a figure keeps it; two rows for one joint, and a thread that is not the joint's, are errors of their rows. */
export function withJoints(rows: Row[], names: string[], joints: readonly JointThere[], chosen: ReadonlyMap<number, string>): Row[] {
  const byName = new Map(joints.map((joint) => [plainName(joint.name), joint]));
  const byId = new Map(joints.map((joint) => [joint.id, joint]));
  const taken = new Map<string, number>();
  return rows.map((row, at) => {
    const picked = chosen.get(row.line);
    const joint = picked === undefined ? byName.get(plainName(names[at] ?? "")) : byId.get(picked);
    if (!joint || row.errors.length > 0) return row;
    const errors = [
      ...(joint.figure ? [`“${joint.name}” has a figure already, ${joint.figure}; change it there`] : []),
      ...(taken.has(joint.id) ? [`line ${taken.get(joint.id)} is for the same joint`] : []),
      ...(row.thread && joint.thread && !sameThread(row.thread, joint.thread) ? [`says the thread ${row.thread}; on the map it is ${joint.thread}`] : []),
    ];
    if (errors.length > 0) return { ...row, errors, value: null };
    taken.set(joint.id, row.line);
    return { ...row, joint: joint.id };
  });
}

/** The words of the column that names a row. */
export const namesOf = (sheet: Sheet, columns: string[]): string[] => sheet.rows.map((cells) => cells[columns.indexOf("name")] ?? "");

const plainName = (words: string): string => words.toLowerCase().replace(/\btorque\b/g, "").replace(/[^\p{L}\p{N}]+/gu, " ").trim();
const threadParts = (words: string): string[] => words.toLowerCase().replace(/\s+/g, "").split(/[x×*]/).map((part) => part.replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, ""));

/** M5 alone says no pitch, so it is no other thread than M5x0.8. */
function sameThread(one: string, other: string): boolean {
  const [a, b] = [threadParts(one), threadParts(other)];
  return a[0] === b[0] && (a[1] === undefined || b[1] === undefined || a[1] === b[1]);
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
