/** Which step would settle what close-out lists. Knows the steps of a pack; nothing of the page. */
import type { ProcedurePack, Step } from "../../store/bench";

const VERBS: Record<string, string[]> = {
  joint_not_made: ["tighten"],
  joint_not_final: ["tighten"],
  part_not_on: ["fit"],
  fluid_not_filled: ["fill"],
  level_not_checked: ["level"],
  aid_left: ["aid_off"],
  pose_not_restored: ["pose"],
  setting_not_restored: ["set"],
  single_use_reused: ["renew"],
  follow_on_missing: ["measure", "adjust", "test", "run", "bleed", "level"],
};

/** The step to go to for an end item: the first that would settle it and is not done, else the last that would. */
export function mendingStep(pack: ProcedurePack, steps: Step[], done: Record<string, unknown>, code: string, object: string): Step | null {
  const objects = new Set([object, ...relatedTo(pack, object)]);
  const settles = (step: Step) => step.do.some(({ verb, object: on }) => VERBS[code]?.includes(verb) && objects.has(on));
  const found = steps.filter(settles);
  return found.find(({ id }) => !done[id]) ?? found.at(-1) ?? null;
}

/** The units a part leaves with, the checks of a fluid, the checks a follow-on needs. */
function relatedTo(pack: ProcedurePack, object: string): string[] {
  const units = Object.entries(pack.units)
    .filter(([, unit]) => unit.parts.includes(object))
    .map(([id]) => id);
  const checks = Object.entries(pack.checks)
    .filter(([, check]) => check["fluid"] === object)
    .map(([id]) => id);
  const needs = pack.follow_ons[object]?.["needs"];
  return [...units, ...checks, ...(Array.isArray(needs) ? needs.map(String) : [])];
}
