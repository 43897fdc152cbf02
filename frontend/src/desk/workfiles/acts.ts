// The actions of a step: what each is about, how it is written, and plain words for it. Knows the words of the trade only.
import { listed, nameIn, type Thing, type Things } from "./things";

export type ActKind = { word: string; words: string; tables: string[]; extra?: "stage" | "amount" | "value" | "target" | "minutes" | "words" };

export const ACTS: ActKind[] = [
  { word: "undo", words: "Undo a joint", tables: ["joints"] },
  { word: "slacken", words: "Slacken a joint", tables: ["joints"] },
  { word: "remove", words: "Take a part off", tables: ["parts", "units"] },
  { word: "hang", words: "Hang a part aside", tables: ["parts", "units"] },
  { word: "drain", words: "Drain a fluid", tables: ["fluids"] },
  { word: "fit", words: "Put a part on", tables: ["parts", "units"] },
  { word: "start", words: "Turn in all fasteners by hand", tables: ["joints"] },
  { word: "tighten", words: "Tighten a joint", tables: ["joints"], extra: "stage" },
  { word: "renew", words: "Renew", tables: ["parts", "joints"] },
  { word: "inspect", words: "Inspect", tables: ["parts", "joints"] },
  { word: "clean", words: "Clean", tables: ["parts", "joints"] },
  { word: "apply", words: "Apply a supply", tables: ["supplies"], extra: "target" },
  { word: "fill", words: "Fill a fluid", tables: ["fluids"], extra: "amount" },
  { word: "measure", words: "Measure", tables: ["checks"] },
  { word: "test", words: "Test", tables: ["checks"] },
  { word: "adjust", words: "Adjust", tables: ["checks"] },
  { word: "level", words: "Check a level", tables: ["checks"] },
  { word: "bleed", words: "Bleed", tables: ["checks"] },
  { word: "run", words: "Run", tables: ["checks"] },
  { word: "pose", words: "Bring the machine into a pose", tables: ["poses"] },
  { word: "set", words: "Set a control", tables: ["settings"], extra: "value" },
  { word: "aid on", words: "Put an aid on", tables: ["aids"] },
  { word: "aid off", words: "Take an aid away", tables: ["aids"] },
  { word: "wait", words: "Wait", tables: [], extra: "minutes" },
  { word: "photograph", words: "Photograph", tables: [], extra: "words" },
  { word: "note", words: "Read and go on", tables: [] },
];
/** Conditions in words, as start, ends, goal and reach use them. */
export const STATES: ActKind[] = [
  { word: "out", words: "is off", tables: ["parts", "units"] },
  { word: "aside", words: "hangs aside", tables: ["parts", "units"] },
  { word: "undone", words: "is undone", tables: ["joints"] },
  { word: "drained", words: "is drained", tables: ["fluids"] },
  { word: "pose", words: "the machine is", tables: ["poses"] },
  { word: "set", words: "is set", tables: ["settings"], extra: "value" },
  { word: "renewed", words: "is renewed", tables: ["parts", "joints"] },
  { word: "done", words: "is done", tables: ["checks"] },
];
/** Conditions that may also ask for an aid: what must be true before an act whose energy can do harm. */
export const STATES_WITH_AIDS: ActKind[] = [...STATES, { word: "aid", words: "is in place", tables: ["aids"] }];
/** What a service asks for, as goals of a plan are written. */
export const GOAL_STATES: ActKind[] = [
  { word: "renewed", words: "is renewed", tables: ["parts", "joints"] },
  { word: "changed", words: "is changed", tables: ["fluids"] },
  { word: "measure", words: "is measured or done", tables: ["checks"] },
  { word: "out", words: "comes off", tables: ["parts", "units"] },
];

export type Act = { kind: ActKind; object: string; extra: string };

/** The parts of an action or condition; null when its first word is not known. */
export function readAct(text: string, kinds: ActKind[]): Act | null {
  const kind = kinds.find(({ word }) => text === word || text.startsWith(`${word} `));
  if (!kind) return null;
  const rest = text.slice(kind.word.length).trim();
  if (kind.tables.length === 0) return { kind, object: "", extra: kind.extra === "words" ? rest.replace(/^"|"$/g, "") : rest };
  const [object = "", ...more] = rest.split(/\s+/);
  const tail = more.join(" ");
  const extra = kind.extra === "stage" ? tail.replace(/^stage\s*/, "") : kind.extra === "target" ? tail.replace(/^to\s*/, "") : tail;
  return { kind, object, extra };
}

export function writeAct({ kind, object, extra }: Act): string {
  const tail = extra.trim();
  if (kind.extra === "words") return `${kind.word} "${tail.replaceAll('"', "")}"`;
  const written = kind.extra === "stage" && tail ? `stage ${tail}` : kind.extra === "target" && tail ? `to ${tail}` : tail;
  return [kind.word, object, written].filter(Boolean).join(" ");
}

/** Things that the action can be about. Checks are offered by their own kind. */
export function objectsOf(kind: ActKind, things: Things): Thing[] {
  const found = listed(things, kind.tables);
  if (kind.tables[0] !== "checks" || kind.word === "done") return found;
  return found.filter(({ entry }) => entry["kind"] === kind.word || ((kind.word === "adjust" || kind.word === "test") && entry["kind"] === "measure"));
}

/** The action said in the names of the map: “Undo the radiator cap”. */
export function actInWords(text: string, things: Things): string {
  const act = readAct(text, ACTS);
  if (!act) return text;
  const name = act.object ? `the ${nameIn(things, act.object)}` : "";
  const verbs: Record<string, string> = {
    remove: `Take ${name} off`,
    hang: `Hang ${name} aside`,
    fit: `Put ${name} on`,
    start: `Turn in by hand ${name}`,
    tighten: `Tighten ${name}${act.extra ? `, stage ${act.extra}` : ""}`,
    apply: `Apply ${name.replace(/^the /, "")} to the ${nameIn(things, act.extra)}`,
    fill: `Fill ${name}${act.extra ? `, ${act.extra}` : ""}`,
    level: `Read ${name}`,
    test: `Check ${name}`,
    pose: `Bring the machine: ${name.replace(/^the /, "")}`,
    set: `Set ${name} to ${act.extra}`,
    "aid on": `Put ${name} in place`,
    "aid off": `Take ${name} away`,
    wait: `Wait ${act.extra}`,
    photograph: `Photograph ${act.extra}`,
    note: "Read and go on",
  };
  const word = act.kind.word.charAt(0).toUpperCase() + act.kind.word.slice(1);
  return verbs[act.kind.word] ?? `${word} ${name}`;
}

/** A first sentence for a step that does these actions. */
export const firstWords = (acts: string[], things: Things): string => acts.map((act) => `${actInWords(act, things)}.`).join(" ");
