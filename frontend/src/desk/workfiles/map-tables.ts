// The tables of a map as forms: which fields each thing has, in which order, and in which words of the trade they are asked for.
import type { Value } from "./yaml-text";

export type Field =
  | { key: string; label: string; as: "text" | "number" | "tick" | "ways" | "acts" | "any_acts" | "states" | "goals" | "guard" | "words" | "treatment" | "part_treatment" | "stages" | "every"; hint?: string; rows?: number }
  | { key: string; label: string; as: "choice"; choices: [string, string][]; none?: string }
  | { key: string; label: string; as: "ids"; tables: string[] }
  | { key: string; label: string; as: "id"; tables: string[]; none: string };
export type MapTable = { table: string; words: string; one: string; order: string[]; fields: Field[]; fresh: (name: string) => { [key: string]: Value } };

export const MAP_KEYS = ["model", "name", "invented", "years", "revision", "issued", "options", "parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids", "cautions", "checks", "follow_ons", "isolations", "services", "accepted"];

const SAFETY: [string, string][] = [["normal", "normal"], ["brakes", "brakes"], ["steering", "steering"], ["fuel", "fuel"], ["wheels", "wheels"], ["throttle", "throttle"], ["lifting", "lifting"]];
const RENEW: [string, string][] = [["never", "use again"], ["inspect", "look, then decide"], ["always", "always new"]];
const KINDS: [string, string][] = [["threaded", "screws or nuts"], ["clip", "clip"], ["clamp", "clamp"], ["hose", "hose"], ["plug", "plug or connector"], ["press", "press fit"], ["pin", "pin"], ["cable", "cable"], ["spring", "spring"]];
const ENERGIES: [string, string][] = [["weight", "weight: it falls or tips"], ["spring", "a spring under load"], ["pressure", "pressure"], ["heat", "heat"], ["electric", "electricity"], ["motion", "motion: it turns or rolls"], ["fuel", "fuel and its vapour"]];
const WHEN: Field = { key: "when", label: "Only on these machines", as: "guard" };
const name = (label = "Name"): Field => ({ key: "name", label, as: "text" });
const named = (words: string) => ({ name: words });

export const MAP_TABLES: MapTable[] = [
  {
    table: "parts", words: "Parts", one: "part", fresh: named,
    order: ["name", "side", "number", "count", "when", "renew", "hold", "mass_kg", "safety", "inside", "minutes", "look_for", "own_place", "treatment", "exit", "aside", "leaves_open"],
    fields: [
      name(), { key: "number", label: "Part number", as: "text" }, { key: "side", label: "On which side", as: "text" }, { key: "count", label: "How many", as: "number" },
      { key: "renew", label: "When it comes off", as: "choice", choices: RENEW, none: "use again" }, { key: "safety", label: "Safety hangs on it", as: "choice", choices: SAFETY, none: "normal" },
      { key: "hold", label: "Must be held when nothing joins it any more", as: "tick" }, { key: "inside", label: "What is lost here falls into the machine", as: "tick" }, { key: "mass_kg", label: "Mass in kg", as: "number" },
      { key: "look_for", label: "How it sits: what the eye must see", as: "text", rows: 2 }, { key: "exit", label: "What must be off before it comes out", as: "ways" },
      { key: "aside", label: "When it can hang aside, still connected", as: "ways" },
      { key: "own_place", label: "Alike to look at, and each has its own place", as: "tick" }, { key: "leaves_open", label: "What stands open when it is off, in words", as: "text", hint: "such as the intake; a cover is then asked for" },
      { key: "treatment", label: "Grease, oil or sealant on it", as: "part_treatment" }, { key: "minutes", label: "Minutes, off and on together", as: "number" }, WHEN,
    ],
  },
  {
    table: "joints", words: "Joints", one: "joint", fresh: (words) => ({ name: words, joins: ["frame"], kind: "threaded", positions: [{ at: ["0", "0"] }] }),
    order: ["name", "joins", "kind", "thread", "tools", "positions", "reach", "holds", "dry_in", "figure", "hand", "treatment", "pattern", "order", "stages", "renew", "number", "safety", "when", "minutes"],
    fields: [
      name(), { key: "joins", label: "Which parts it joins", as: "ids", tables: ["parts"] }, { key: "kind", label: "Kind", as: "choice", choices: KINDS }, { key: "thread", label: "Thread, such as M6x1", as: "text" },
      { key: "tools", label: "Tools that can undo it", as: "ids", tables: ["tools"] }, { key: "figure", label: "Figure", as: "id", tables: ["figures"], none: "no figure" },
      { key: "hand", label: "In words, where the maker gives no figure and nobody can be hurt", as: "text" }, { key: "reach", label: "What must be off before you can undo it", as: "ways" },
      { key: "holds", label: "Fluid behind it: wet when opened full", as: "ids", tables: ["fluids"] }, { key: "dry_in", label: "Poses in which it stays dry", as: "ids", tables: ["poses"] },
      { key: "treatment", label: "Treatment of the thread", as: "treatment" },
      { key: "pattern", label: "Order of tightening", as: "choice", choices: [["row", "in a row"], ["cross", "crosswise"], ["circle", "round"], ["listed", "as listed below"]], none: "any" },
      { key: "order", label: "The order, when it is listed: numbers of the fasteners", as: "words", hint: "such as 2, 1, 3" }, { key: "stages", label: "Stages of tightening", as: "stages" },
      { key: "renew", label: "Its fasteners", as: "choice", choices: RENEW, none: "use again" }, { key: "number", label: "Part number of the fasteners", as: "text" },
      { key: "safety", label: "Safety hangs on it", as: "choice", choices: SAFETY, none: "normal" }, WHEN,
    ],
  },
  {
    table: "figures", words: "Figures", one: "figure", fresh: () => ({ as_published: "" }),
    order: ["kind", "as_published", "tolerance", "condition", "source", "revision", "safety", "when"],
    fields: [
      { key: "kind", label: "Of what", as: "choice", none: "torque", choices: ["length", "volume", "pressure", "temperature", "mass", "angle", "time", "voltage", "ratio", "percent", "speed", "count"].map((word) => [word, word]) },
      { key: "as_published", label: "As the source prints it, with its unit", as: "text", hint: "10 N·m, 7.4 lb-ft, 1.0 mm" }, { key: "tolerance", label: "Tolerance, with its unit", as: "text" },
      { key: "condition", label: "For which condition", as: "text", hint: "dry, oiled, with thread locker, new gasket" }, { key: "source", label: "Source: document and page", as: "text" },
      { key: "revision", label: "Issue of the source", as: "text" }, { key: "safety", label: "Safety hangs on it", as: "choice", choices: SAFETY, none: "normal" }, WHEN,
    ],
  },
  {
    table: "fluids", words: "Fluids", one: "fluid", fresh: named,
    order: ["name", "capacity_ml", "refill_ml", "specification", "fill", "drain", "level", "hazards", "disposal", "when", "minutes"],
    fields: [
      name(), { key: "capacity_ml", label: "Holds in all, ml", as: "number" }, { key: "refill_ml", label: "To fill after draining, ml", as: "number" }, { key: "specification", label: "Which kind, from the maker’s documents", as: "text" },
      { key: "drain", label: "Drains through", as: "id", tables: ["joints"], none: "not said" }, { key: "fill", label: "Filled through", as: "id", tables: ["joints"], none: "not said" },
      { key: "level", label: "Where the level is read", as: "text" }, { key: "hazards", label: "What is dangerous about it", as: "words", hint: "such as hot, pressure, corrosive" }, { key: "disposal", label: "Where the old one goes", as: "text" }, WHEN,
    ],
  },
  {
    table: "tools", words: "Tools", one: "tool", fresh: named, order: ["name", "kind", "low_nm", "high_nm", "when"],
    fields: [name(), { key: "kind", label: "Kind (socket, key, torque_wrench, …)", as: "text" }, { key: "low_nm", label: "Torque wrench: from, N·m", as: "number" }, { key: "high_nm", label: "Torque wrench: to, N·m", as: "number" }, WHEN],
  },
  { table: "supplies", words: "Supplies", one: "supply", fresh: named, order: ["name", "kind", "when"], fields: [name(), { key: "kind", label: "Kind (grease, oil, locker, …)", as: "text" }, WHEN] },
  {
    table: "poses", words: "Poses", one: "pose", fresh: (words) => ({ name: words, family: "stance" }), order: ["name", "family", "steady", "when", "minutes", "needs"],
    fields: [
      name("How the machine stands or is"), { key: "family", label: "Family: of one family one holds at a time", as: "text", hint: "stance, heat" },
      { key: "steady", label: "May it be left alone like this", as: "choice", choices: [["true", "yes, it stays so"], ["false", "no, someone must stay with it"]], none: "not known: counts as no" },
      { key: "needs", label: "What must be true before it is brought there", as: "ways" }, WHEN,
    ],
  },
  {
    table: "cautions", words: "Cautions", one: "caution", fresh: (words) => ({ signal: "WARNING", hazard: words }), order: ["signal", "hazard", "consequence", "avoidance", "triggers", "when"],
    fields: [
      { key: "signal", label: "Signal word", as: "choice", choices: [["DANGER", "DANGER: kills"], ["WARNING", "WARNING: can kill or injure badly"], ["CAUTION", "CAUTION: can injure"], ["NOTICE", "NOTICE: things only"]] },
      { key: "hazard", label: "The hazard", as: "text" }, { key: "consequence", label: "What happens", as: "text" }, { key: "avoidance", label: "How to avoid it", as: "text", rows: 2 }, { key: "triggers", label: "Actions that call for it", as: "acts" }, WHEN,
    ],
  },
  {
    table: "checks", words: "Checks", one: "check", fresh: (words) => ({ name: words, kind: "test" }), order: ["name", "kind", "figure", "fluid", "when", "minutes", "reach", "tools", "at_least", "at_most"],
    fields: [
      name("What is measured, read or tried"), { key: "kind", label: "Kind", as: "choice", choices: ["measure", "adjust", "test", "run", "level", "bleed"].map((word) => [word, word]) },
      { key: "figure", label: "Figure", as: "id", tables: ["figures"], none: "none" }, { key: "fluid", label: "Of which fluid", as: "id", tables: ["fluids"], none: "none" },
      { key: "at_least", label: "The reading must be at least", as: "id", tables: ["figures"], none: "no lower limit" }, { key: "at_most", label: "The reading must be at most", as: "id", tables: ["figures"], none: "no upper limit" },
      { key: "tools", label: "Tools to do it with", as: "ids", tables: ["tools"] }, { key: "reach", label: "What must be true to do it", as: "ways" }, WHEN,
    ],
  },
  {
    table: "follow_ons", words: "What follows", one: "rule", fresh: (words) => ({ after: [], needs: [], reason: words }), order: ["after", "needs", "reason", "safety", "when"],
    fields: [{ key: "after", label: "After any of these", as: "states" }, { key: "needs", label: "These must be done", as: "ids", tables: ["checks"] }, { key: "reason", label: "Because", as: "text", rows: 2 }, { key: "safety", label: "Safety hangs on it", as: "choice", choices: SAFETY, none: "normal" }, WHEN],
  },
  {
    table: "isolations", words: "What must be shut off", one: "rule", fresh: (words) => ({ energy: "motion", during: [], needs: [], reason: words }), order: ["energy", "during", "needs", "reason", "when"],
    fields: [
      { key: "energy", label: "What can do harm", as: "choice", choices: ENERGIES }, { key: "during", label: "During these acts", as: "any_acts" },
      { key: "needs", label: "What must be true first", as: "ways" }, { key: "reason", label: "Because", as: "text", rows: 2 }, WHEN,
    ],
  },
  { table: "options", words: "Options", one: "option", fresh: named, order: ["name", "group", "when"], fields: [name(), { key: "group", label: "Group: of one group exactly one is fitted", as: "text" }, WHEN] },
  {
    table: "settings", words: "Controls", one: "control", fresh: (words) => ({ name: words, values: ["on", "off"], start: "on" }), order: ["name", "values", "start", "when", "minutes"],
    fields: [name(), { key: "values", label: "What it can be set to", as: "words", hint: "such as on, off" }, { key: "start", label: "How it is at the start", as: "text" }, WHEN],
  },
  { table: "aids", words: "Aids", one: "aid", fresh: named, order: ["name", "control", "catches", "covers", "carries", "when"],
    fields: [
      name("A temporary thing: chock, tray, plug"), { key: "catches", label: "Fluids that it takes up", as: "ids", tables: ["fluids"] }, { key: "covers", label: "Parts whose opening it closes while they are off", as: "ids", tables: ["parts"] },
      { key: "carries", label: "What it carries when it comes free", as: "ids", tables: ["parts", "units"] }, { key: "control", label: "It locks a control or covers an intake", as: "tick" }, WHEN,
    ],
  },
  { table: "units", words: "Units", one: "unit", fresh: (words) => ({ name: words, parts: [] }), order: ["name", "parts", "when", "exit", "minutes"], fields: [name(), { key: "parts", label: "Parts that leave as one", as: "ids", tables: ["parts"] }, { key: "exit", label: "What must be off before it comes out", as: "ways" }, WHEN] },
  {
    table: "services", words: "Services due", one: "service", fresh: (words) => ({ name: words, goals: [], every: {}, source: "" }), order: ["name", "goals", "every", "procedure", "source", "when"],
    fields: [
      name("What falls due"), { key: "goals", label: "What is done then", as: "goals" }, { key: "every", label: "How often, whichever comes first", as: "every" },
      { key: "source", label: "Source: document and page", as: "text" }, { key: "procedure", label: "Procedure that does it (its id)", as: "text" }, WHEN,
    ],
  },
];
