// More mends that are certain, by the code of the finding: steps that belong before or after another, values that the map knows already,
// entries that nothing needs. Each is null where what is found leaves more than one answer.
import { readAct, ACTS } from "./acts";
import type { Mend } from "./mends";
import { actsOf, HEAD_KEYS, listOf, oneOrList, setStep, withStep, type StepText } from "./steps";
import type { Thing, Things } from "./things";
import type { Finding } from "./types";
import { moveItem, readTree, removeItem, setValue, valueAt, type Tree, type Value } from "./yaml-text";

/** A finding with what it is about: `at` is its step, -1 for none; `object` the id that it names. */
export type Found = { finding: Finding; tree: Tree; things: Things; steps: StepText[]; at: number; object: string };

export const idIn = (value: unknown): string => /\(([a-z0-9_]+)\)$/.exec(String(value))?.[1] ?? String(value);
export const idsIn = (value: unknown): string[] => [...String(value).matchAll(/\(([a-z0-9_]+)\)/g)].map((match) => match[1]!);

const thing = (things: Things, table: string, id: string): Thing | undefined => things[table]?.find((one) => one.id === id);
const ids = (value: unknown): string[] => (Array.isArray(value) ? value.map(String) : []);

/** Steps put in before the one that the finding stands at. */
function before({ tree, things, at }: Found, acts: string[], words: string): Mend | null {
  if (at < 0 || acts.length === 0) return null;
  return { words, make: (text) => acts.reduceRight((made, act) => withStep(made, readTree(made) ?? tree, at, [act], things), text) };
}

function behind({ tree, things }: Found, place: number, acts: string[], words: string): Mend {
  return { words, make: (text) => acts.reduceRight((made, act) => withStep(made, readTree(made) ?? tree, place, [act], things), text) };
}

/** What comes too late is moved up when just one later step does it and nothing else; else, when none does it, a step is put in. */
function sooner(found: Found, acts: string[], words: string): Mend | null {
  const doing = found.steps.slice(found.at + 1).flatMap(actsOf);
  return acts.some((act) => doing.includes(act)) ? movedUp(found, acts) : before(found, acts, words);
}

function movedUp({ steps, at }: Found, acts: string[]): Mend | null {
  const later = steps.flatMap((step, n) => (n > at && actsOf(step).includes(acts[0] ?? "") ? [n] : []));
  const objects = later.flatMap((n) => actsOf(steps[n]!).map((act) => readAct(act, ACTS)?.object));
  if (at < 0 || acts.length !== 1 || later.length !== 1 || new Set(objects).size !== 1) return null;
  const from = later[0]!;
  return { words: "Move its step before this one", make: (text) => moveItem(text, ["steps"], from, at) };
}

/** What is missing, as acts that bring it about at once; null when one of them needs more than an act. */
function actsFor(missing: unknown): string[] | null {
  const acts: (string | null)[] = [...String(missing).matchAll(/(pose )?“[^”]*” \(([a-z0-9_]+)\)(?: (set to \S+|on|undone|drained|off|hung aside|renewed|done))?/g)].map(([, pose, id, how]) => {
    if (pose) return `pose ${id}`;
    if (how?.startsWith("set to ")) return `set ${id} ${how.slice(7)}`;
    const verbs: Record<string, string> = { on: "aid on", undone: "undo", drained: "drain" };
    return how && verbs[how] ? `${verbs[how]} ${id}` : null;
  });
  return acts.length === 0 || acts.includes(null) ? null : (acts as string[]);
}

const bringsAbout = (found: Found): Mend | null => {
  const acts = actsFor(found.finding.values["missing"]);
  const words = acts?.length === 1 ? "Put in the step that does it" : "Put in the steps that do it";
  // a pose or a control may be taken twice; what is undone is undone once
  return acts && (acts.every((act) => /^(pose|set|aid) /.test(act)) ? before : sooner)(found, acts, words);
};

const undoFirst = (found: Found): Mend | null => before(found, [`undo ${idIn(found.finding.values["joint"])}`], "Put in the step that undoes it");
const applyFirst = (found: Found): Mend | null => before(found, [`apply ${idIn(found.finding.values["supply"])} to ${found.object}`], "Put in the step that applies it");

function lastAbout({ steps }: Found, object: string): number {
  return steps.findLastIndex((step) => actsOf(step).some((act) => readAct(act, ACTS)?.object === object));
}

/** Both outcomes of a measurement, with the limits that the map names for it. */
function mapLimits({ things }: Found, check: string): { [key: string]: Value } | null {
  const entry = thing(things, "checks", check)?.entry ?? {};
  const bounds = Object.fromEntries(["at_least", "at_most"].filter((key) => typeof entry[key] === "string").map((key) => [key, String(entry[key])]));
  return Object.keys(bounds).length > 0 ? bounds : null;
}

function nameTools(found: Found, check: string): Mend | null {
  const known = ids(thing(found.things, "checks", check)?.entry["tools"]);
  const tool = known.length === 1 ? thing(found.things, "tools", known[0]!) : undefined;
  return found.at >= 0 && tool ? { words: `Name the ${tool.name}`, make: (text) => setStep(text, found.at, "tools", [...listOf(found.steps[found.at]!["tools"]), tool.id]) } : null;
}

function withoutAct({ steps, at, finding, object }: Found): Mend | null {
  const acts = at < 0 ? [] : actsOf(steps[at]!);
  const verb = String(finding.values["verb"] ?? "");
  const idle = acts.filter((act) => act.startsWith(`${verb} ${object}`));
  if (idle.length !== 1) return null;
  // the first step of a section carries its heading: what then heads the section is not certain
  if (acts.length === 1 && "section" in steps[at]!) return null;
  if (acts.length === 1) return { words: "Take the step out", make: (text) => removeItem(text, ["steps"], at) };
  return { words: "Take this act out of the step", make: (text) => setStep(text, at, "do", oneOrList(acts.filter((act) => act !== idle[0]))) };
}

function withoutEntry(tree: Tree, id: string): Mend | null {
  const tables = Object.entries((tree.data ?? {}) as { [key: string]: Value }).filter(([table, value]) => table !== "options" && typeof value === "object" && !Array.isArray(value) && id in value);
  if (tables.length !== 1) return null;
  const [table, value] = tables[0]!;
  const only = Object.keys(value).length === 1;
  return { words: "Take it out", make: (text) => (only ? setValue(text, [table], {}, HEAD_KEYS) : setValue(text, [table, id], null)) };
}

function withoutPrepared(tree: Tree, id: string): Mend | null {
  const list = ["tools", "supplies"].find((key) => ids(valueAt(tree.data, ["prepare", key])).includes(id));
  if (!list) return null;
  const rest = ids(valueAt(tree.data, ["prepare", list])).filter((one) => one !== id);
  return { words: "Take it out of “prepare”", make: (text) => setValue(text, ["prepare", list], rest.length > 0 ? rest : "none") };
}

function withoutReason(tree: Tree, line: number): Mend | null {
  const accepted = valueAt(tree.data, ["accepted"]);
  const lines = tree.text.split("\n");
  const first = lines.findIndex((row) => row.startsWith("accepted:"));
  const at = lines.slice(first + 1, line).filter((row) => /^\s*-/.test(row)).length - 1;
  return Array.isArray(accepted) && first >= 0 && at >= 0 && at < accepted.length ? { words: "Take the reason out", make: (text) => removeItem(text, ["accepted"], at) } : null;
}

function withArticle({ finding, steps, at }: Found): Mend | null {
  const [verb, name] = [String(finding.values["verb"]), String(finding.values["name"])];
  const says = at < 0 ? "" : String(steps[at]!["say"] ?? "");
  const place = says.toLowerCase().indexOf(`${verb} ${name}`.toLowerCase());
  if (place < 0) return null;
  const made = `${says.slice(0, place + verb.length)} the${says.slice(place + verb.length)}`;
  return { words: `Write “the ${name}”`, make: (text) => setStep(text, at, "say", made) };
}

export const MORE_MENDS: Record<string, (found: Found) => Mend | null> = {
  under_load: bringsAbout,
  done_live: bringsAbout,
  not_reachable: bringsAbout,
  pose_too_early: bringsAbout,
  held_by_joint: undoFirst,
  held_by_slack_joint: undoFirst,
  part_untreated: applyFirst,
  part_untreated_at_end: (found) => behind(found, lastAbout(found, found.object) + 1, [`apply ${idIn(found.finding.values["supply"])} to ${found.object}`], "Add the step that applies it"),
  stage_left_out: (found) => before(found, [`tighten ${found.object} stage ${String(found.finding.values["next"])}`], "Put in the stage before"),
  stage_in_other_pose: (found) => before(found, [`pose ${idIn(found.finding.values["pose"])}`], "Put in the step that takes the pose"),
  member_missing: (found) => sooner(found, idsIn(found.finding.values["part"]).map((id) => `fit ${id}`), "Put in the step that fits it"),
  closed_over: (found) => sooner(found, [`fit ${idIn(found.finding.values["part"])}`], "Put in the step that fits it"),
  filled_open: (found) => movedUp(found, idsIn(found.finding.values["joint"]).map((id) => `tighten ${id}`)),
  cure_time_short: (found) => {
    const rest = Number(found.finding.values["limit"]) - Number(found.finding.values["minutes"]);
    return rest > 0 ? before(found, [`wait ${rest} min`], `Wait ${rest} minutes before it`) : null;
  },
  left_joint_not_made: (found) => {
    const entry = thing(found.things, "joints", found.object)?.entry;
    const once = entry?.["kind"] === "threaded" && ids(entry["stages"]).length <= 1;
    return once ? behind(found, lastAbout(found, found.object) + 1, [`start ${found.object}`, `tighten ${found.object}`], "Put in the steps that make it again") : null;
  },
  left_open: (found) => {
    const cover = idsIn(found.finding.values["cover"])[0];
    return cover && found.at >= 0 ? behind(found, found.at + 1, [`aid on ${cover}`], "Put in the step that covers it") : null;
  },
  places_not_kept: (found) => {
    const name = thing(found.things, "parts", found.object)?.name;
    return name && found.at >= 0 ? behind(found, found.at + 1, [`photograph "the ${name} in their places"`], "Put in a photograph of their places") : null;
  },
  look_for_missing: ({ finding, at }) => {
    const sits = String(finding.values["look_for"] ?? "");
    return sits && at >= 0 ? { words: "Say it as the map does", make: (text) => setStep(text, at, "look_for", sits) } : null;
  },
  check_of_other_kind: ({ finding, steps, at, object }) => {
    const { kind, verb } = finding.values;
    const acts = at < 0 ? [] : actsOf(steps[at]!);
    const wrong = `${String(verb)} ${object}`;
    return acts.includes(wrong) ? { words: `Write “${String(kind)}”`, make: (text) => setStep(text, at, "do", oneOrList(acts.map((act) => (act === wrong ? `${String(kind)} ${object}` : act)))) } : null;
  },
  limits_of_other_check: ({ steps, at }) => {
    const measured = (at < 0 ? [] : actsOf(steps[at]!)).filter((act) => act.startsWith("measure "));
    const limits = at < 0 ? undefined : steps[at]!["limits"];
    if (measured.length !== 1 || !limits || typeof limits === "string" || Array.isArray(limits)) return null;
    return { words: "Make the limits those of what is measured", make: (text) => setValue(text, ["steps", at, "limits", "check"], measured[0]!.slice("measure ".length)) };
  },
  measure_without_limits: (found) => {
    const bounds = mapLimits(found, found.object);
    const limits = bounds && { check: found.object, ...bounds, pass: "Go on.", fail: "Ask the dealer before you go on.", fail_needs: "ask" };
    return limits && found.at >= 0 ? { words: "Add the limits of the map", make: (text) => setStep(text, found.at, "limits", limits) } : null;
  },
  limit_of_other_figure: (found) => {
    const bounds = mapLimits(found, found.object);
    const limits = found.at < 0 ? undefined : found.steps[found.at]!["limits"];
    if (!bounds || !limits || typeof limits === "string" || Array.isArray(limits)) return null;
    const { at_least: _low, at_most: _high, check, ...rest } = limits;
    return { words: "Take the limits of the map", make: (text) => setStep(text, found.at, "limits", { ...(check === undefined ? {} : { check }), ...bounds, ...rest }) };
  },
  measuring_tool_missing: (found) => nameTools(found, found.object),
  instrument_of_other_check: (found) => nameTools(found, found.object),
  article_missing: withArticle,
  changes_nothing: withoutAct,
  listed_already: ({ tree, object }) => withoutPrepared(tree, object),
  declared_unused: ({ tree, finding }) => withoutEntry(tree, String(finding.values["id"])),
  accepted_unused: ({ tree, finding }) => withoutReason(tree, finding.line),
  tool_range_empty: ({ tree, object }) => {
    const [low, high] = ["low_nm", "high_nm"].map((key) => valueAt(tree.data, ["tools", object, key]));
    return typeof low === "string" && typeof high === "string" && Number(low) > Number(high)
      ? { words: "Exchange the two", make: (text) => setValue(setValue(text, ["tools", object, "low_nm"], high), ["tools", object, "high_nm"], low) }
      : null;
  },
};

