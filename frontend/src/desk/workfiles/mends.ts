// Mends that are certain: one press does what the finding asks for. Knows codes of findings and what answers them; a mend is checked again like any edit.
import { Refused } from "../../domain/refused";
import { parseQuantity } from "../../domain/units";
import { readAct, ACTS } from "./acts";
import { idIn, idsIn, MORE_MENDS } from "./mends-more";
import { actsOf, HEAD_KEYS, listOf, oneOrList, setStep, stepsIn, withStep } from "./steps";
import type { Thing, Things } from "./things";
import type { Finding } from "./types";
import { readTree, setValue, valueAt, type Tree } from "./yaml-text";

export type Mend = { words: string; make: (text: string) => string };

export function mendOf(finding: Finding, tree: Tree, things: Things): Mend | null {
  const steps = stepsIn(tree);
  const at = finding.step === null ? -1 : steps.findIndex((step) => step["id"] === finding.step);
  const { values } = finding;
  const object = idIn(values["object"]);
  const before = (act: string, words: string): Mend | null => (at < 0 ? null : { words, make: (text) => withStep(text, tree, at, [act], things) });
  const behind = (place: number, acts: string[], words: string): Mend => ({ words, make: (text) => acts.reduceRight((made, act) => withStep(made, treeOf(made, tree), place, [act], things), text) });
  switch (finding.code) {
    case "caution_missing":
    case "caution_misplaced": {
      if (at < 0) return null;
      const named = [...listOf(steps[at]!["caution"]), String(values["caution"])];
      return { words: "Add the caution to this step", make: (text) => setStep(text, at, "caution", oneOrList(named)) };
    }
    case "safety_not_named": {
      const named = [...listOf(valueAt(tree.data, ["safety"])).filter((word) => word !== "normal"), String(values["safety"])];
      return { words: `Add “${String(values["safety"])}” to the safety classes`, make: (text) => setValue(text, ["safety"], named, HEAD_KEYS) };
    }
    case "empty_not_none":
      return { words: "Write “none”", make: (text) => setValue(text, ["prepare", String(values["key"])], "none") };
    case "single_use_again":
      return before(`renew ${object}`, "Put in the step that renews it");
    case "not_started":
      return before(`start ${object}`, "Put in the step that starts it by hand");
    case "drain_shut":
      return before(`undo ${idIn(values["joint"])}`, "Put in the step that undoes it");
    case "filler_shut":
      return before(`undo ${idIn(values["joint"])}`, "Put in the step that undoes it");
    case "treatment_missing":
      return before(`apply ${idIn(values["supply"])} to ${object}`, "Put in the step that applies it");
    case "left_joint_not_final":
      return behind(lastAbout(tree, object) + 1, [`tighten ${object}`], "Put in the step that tightens it");
    case "left_aid_left":
      return behind(steps.length, [`aid off ${object}`], "Add the step that takes it away");
    case "left_pose_not_restored":
      return behind(steps.length, [`pose ${object}`], "Add the step that takes the pose");
    case "left_setting_not_restored": {
      const start = things["settings"]?.find(({ id }) => id === object)?.entry["start"];
      return start === undefined ? null : behind(steps.length, [`set ${object} ${String(start)}`], "Add the step that sets it back");
    }
    case "left_level_not_checked": {
      const check = things["checks"]?.find(({ entry }) => entry["kind"] === "level" && entry["fluid"] === object);
      return check ? behind(steps.length, [`level ${check.id}`], "Add the step that reads the level") : null;
    }
    case "follow_on_left_out": {
      const acts = idsIn(values["object"]).map((id) => [id, things["checks"]?.find((check) => check.id === id)?.entry["kind"]] as const);
      if (acts.length === 0 || acts.some(([, kind]) => kind === undefined)) return null;
      return behind(steps.length, acts.map(([id, kind]) => `${String(kind)} ${id}`), acts.length === 1 ? "Add the step that does it" : "Add the steps that do it");
    }
    case "torque_wrench_missing":
    case "torque_wrench_range": {
      const wrench = at < 0 ? null : onlyWrench(String(values["target"]), things);
      const named = at < 0 ? [] : listOf(steps[at]!["tools"]).filter((id) => things["tools"]?.find((tool) => tool.id === id)?.entry["kind"] !== "torque_wrench");
      return wrench && { words: `Name the ${wrench.name}`, make: (text) => setStep(text, at, "tools", [...named, wrench.id]) };
    }
    case "figure_of_other_joint":
      return at < 0 ? null : { words: "Take “figure” out of the step", make: (text) => setStep(text, at, "figure", null) };
    case "signal_too_weak":
    case "signal_for_property": {
      const word = finding.code === "signal_too_weak" ? String(values["word"]).match(/[A-Z]{4,}/)?.[0] : "NOTICE";
      const there = valueAt(tree.data, ["cautions", String(values["caution"]), "signal"]);
      return word && there ? { words: `Write ${word}`, make: (text) => setValue(text, ["cautions", String(values["caution"]), "signal"], word) } : null;
    }
    case "limits_backwards": {
      const limits = at < 0 ? undefined : steps[at]!["limits"];
      if (!limits || typeof limits === "string" || Array.isArray(limits)) return null;
      const { at_least: low, at_most: high } = limits;
      return low && high ? { words: "Exchange the two", make: (text) => setStep(text, at, "limits", { ...limits, at_least: high, at_most: low }) } : null;
    }
    default:
      return MORE_MENDS[finding.code]?.({ finding, tree, things, steps, at, object }) ?? null;
  }
}

/** The torque wrench of the map that reads the figure, when there is just one. */
function onlyWrench(target: string, things: Things): Thing | null {
  let newton: number;
  try {
    newton = parseQuantity(target, "torque").value ?? NaN;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return null;
  }
  const fit = (things["tools"] ?? []).filter(({ entry }) => entry["kind"] === "torque_wrench" && Number(entry["low_nm"]) <= newton && newton <= Number(entry["high_nm"]));
  return fit.length === 1 ? fit[0]! : null;
}

/** The last step that does something to an object; the last of all when none does. */
function lastAbout(tree: Tree, object: string): number {
  const steps = stepsIn(tree);
  for (let at = steps.length - 1; at >= 0; at -= 1) {
    if (actsOf(steps[at]!).some((act) => readAct(act, ACTS)?.object === object)) return at;
  }
  return steps.length - 1;
}

const treeOf = (text: string, otherwise: Tree): Tree => readTree(text) ?? otherwise;
