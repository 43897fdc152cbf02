// Steps of a procedure's text as the form sees them, and edits of the whole list. Knows keys of a step; places are yaml-text's.
import { firstWords } from "./acts";
import { freeId, type Things } from "./things";
import { insertItem, setValue, valueAt, type Tree, type Value } from "./yaml-text";
import { onOneLine } from "./yaml-words";

export type StepText = { [key: string]: Value };
export const STEP_KEYS = ["id", "section", "do", "say", "detail", "look_for", "when", "tools", "figure", "caution", "limits", "picture", "minutes"];
export const HEAD_KEYS = [
  "procedure", "title", "summary", "model", "revision", "issued", "author", "change_note", "applies", "goal", "safety", "people", "skill",
  "start", "ends", "prepare", "stop_and_ask", "disposal", "invented", "parts", "units", "joints", "figures", "fluids", "tools", "supplies",
  "poses", "settings", "aids", "cautions", "checks", "follow_ons", "isolations", "steps", "drafted", "accepted",
];

export function stepsIn(tree: Tree): StepText[] {
  const steps = valueAt(tree.data, ["steps"]);
  return Array.isArray(steps) ? steps.map((step) => (typeof step === "object" && !Array.isArray(step) ? step : {})) : [];
}

/** A value that may be one or a list, as a list of texts. */
export function listOf(value: Value | undefined): string[] {
  if (value === undefined || value === "" || value === "none") return [];
  const items = Array.isArray(value) ? value : [value];
  return items.map((item) => (typeof item === "string" ? item : onOneLine(item)));
}

/** One alone or a list, as the library writes it. */
export const oneOrList = (items: string[]): Value | null => (items.length === 0 ? null : items.length === 1 ? items[0]! : items);

export const actsOf = (step: StepText): string[] => listOf(step["do"]);

const allIds = (tree: Tree): Set<string> => new Set(stepsIn(tree).map((step) => String(step["id"] ?? "")));

/** A new step that does these actions, put in at a place, with an id and first words of its own and the cautions that the map has for them. */
export function withStep(text: string, tree: Tree, at: number, acts: string[], things: Things): string {
  const words = firstWords(acts, things);
  const cautions = oneOrList(acts.flatMap((act) => cautionsFor(act, things)));
  const value: StepText = { id: freeId(words || "step", allIds(tree), "-"), do: oneOrList(acts) ?? "note", say: words || "Read this.", ...(cautions ? { caution: cautions } : {}) };
  return insertItem(text, ["steps"], at, value, asLines(value));
}

/** The cautions of the map that this act calls for. Their triggers are words in a text, pairs in a pack. */
function cautionsFor(act: string, things: Things): string[] {
  const calls = (trigger: unknown) => {
    const words = Array.isArray(trigger) ? trigger.join(" ") : String(trigger);
    return act === words || act.startsWith(`${words} `);
  };
  return (things["cautions"] ?? []).filter(({ entry }) => Array.isArray(entry["triggers"]) && entry["triggers"].some(calls)).map(({ id }) => id);
}

/** The same step again below, under an id of its own. */
export function withCopy(text: string, tree: Tree, at: number): string {
  const step = stepsIn(tree)[at]!;
  const value = { ...step, id: freeId(`${String(step["id"])}-again`, allIds(tree), "-") };
  return insertItem(text, ["steps"], at + 1, value, asLines(value));
}

const asLines = (step: StepText): string[] => Object.entries(step).map(([key, value]) => `${key}: ${onOneLine(value)}`);

export const setStep = (text: string, at: number, key: string, value: Value | null): string => setValue(text, ["steps", at, key], value, STEP_KEYS);
