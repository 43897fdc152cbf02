/**
 * Whether a condition of access is true in a state of the bench. Knows the bench state and the pack of one variant.
 * The same as domain/checks/conditions.py, of which the phone needs no more than this.
 */
import type { Literal, ProcedurePack } from "../generated/procedure-pack";
import { partsOf, poseFamily, startPose, startSetting, type BenchState } from "./bench-state";

/** True if a condition holds. What is not fitted counts as met; a joint that is not final yet counts as undone; a pose or value that
 * nobody has said is not known and does not count. */
export function isTrue(pack: ProcedurePack, state: BenchState, literal: Literal): boolean {
  const [word, key, value] = literal;
  switch (word) {
    case "out":
      return bearingParts(pack, key).every((part) => state.parts[part] === "out");
    case "aside":
      return bearingParts(pack, key).every((part) => Object.hasOwn(state.parts, part));
    case "undone":
      return !Object.hasOwn(pack.joints, key) || Object.hasOwn(state.joints, key);
    case "drained":
      return !Object.hasOwn(pack.fluids, key) || state.fluids[key] === "drained";
    case "pose":
      return !Object.hasOwn(pack.poses, key) || poseNow(pack, state, poseFamily(pack, key)!) === key;
    case "set":
      return !Object.hasOwn(pack.settings, key) || (state.settings[key] ?? startSetting(pack, key)) === value;
    case "renewed":
      return state.renewed.includes(key);
    case "done":
      return !Object.hasOwn(pack.checks, key) || Object.hasOwn(state.checks, key);
    default:
      return true;
  }
}

/** The parts by which a thing is on the machine: of a unit those that a joint holds to something outside it. */
function bearingParts(pack: ProcedurePack, thing: string): string[] {
  const parts = partsOf(pack, thing);
  const outer = parts.filter((part) => Object.values(pack.joints).some(({ joins }) => joins.includes(part) && !joins.every((other) => parts.includes(other))));
  return parts.length > 1 && outer.length > 0 ? outer : parts;
}

/** The pose of a family; null when neither start nor steps say it. */
export const poseNow = (pack: ProcedurePack, state: BenchState, family: string): string | null => state.poses[family] ?? startPose(pack, family);
