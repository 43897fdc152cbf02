/** The names of what a pack's actions speak of. Knows the tables of a pack; nothing of the page. */
import type { Action, Figure, Joint, ProcedurePack, Step } from "../../store/bench";

const TABLES = ["parts", "units", "joints", "fluids", "checks", "poses", "settings", "aids", "supplies", "tools"] as const;
const OF_JOINTS = new Set(["undo", "slacken", "start", "tighten", "renew", "inspect", "clean"]);

/** The name the map gives to an id; the id in plain words where it gives none. */
export function nameIn(pack: ProcedurePack, id: string): string {
  for (const table of TABLES) {
    const found = pack[table][id];
    if (found) return found.name;
  }
  return id.replaceAll("_", " ");
}

export function jointOf(pack: ProcedurePack, action: Action): Joint | null {
  return OF_JOINTS.has(action.verb) ? (pack.joints[action.object] ?? null) : null;
}

/** The tools of a step: those it names, and for each joint any one that can do it. */
export function toolNames(pack: ProcedurePack, step: Step): string[] {
  const named = step.tools.map((id) => nameIn(pack, id));
  const ofJoints = step.do.flatMap((action) => {
    const tools = jointOf(pack, action)?.tools ?? [];
    return tools.length === 0 || tools.some((id) => step.tools.includes(id)) ? [] : [tools.map((id) => nameIn(pack, id)).join(" or ")];
  });
  return [...new Set([...ofJoints, ...named])];
}

const WITH_PLACES = new Set(["undo", "slacken", "start", "tighten"]);

/** The joints of a step whose fasteners can be ticked one by one. */
export function placesOf(pack: ProcedurePack, step: Step): { id: string; joint: Joint; verb: string }[] {
  return step.do.flatMap((action) => {
    const joint = WITH_PLACES.has(action.verb) ? pack.joints[action.object] : undefined;
    return joint && joint.positions.length > 1 ? [{ id: action.object, joint, verb: action.verb }] : [];
  });
}

export type TightenedTo = { name: string; figure: Figure | null; known: boolean; stage: { n: number; of: number; share: number | null; angleDeg: number | null } | null };

/**
 * The figure a step asks for: its own, else that of the joint it tightens, at the stage it names. `known` is false where a threaded joint
 * is tightened and neither a figure nor "by hand" is given: that must be said. Null when the step asks for none.
 */
export function tightenedTo(pack: ProcedurePack, step: Step): TightenedTo | null {
  const action = step.do.find(({ verb, object }) => verb === "tighten" && pack.joints[object]);
  const joint = action && pack.joints[action.object];
  const stage = joint && action.stage ? joint.stages[action.stage - 1] : undefined;
  const id = stage?.figure ?? step.figure ?? joint?.figure ?? null;
  const figure = id === null ? null : (pack.figures[id] ?? null);
  const name = joint ? joint.name : step.figure ? step.figure.replaceAll("_", " ") : "";
  const staged = joint && action.stage && stage ? { n: action.stage, of: joint.stages.length, share: stage.share ?? null, angleDeg: stage.angle_deg ?? null } : null;
  if (figure) return { name, figure, known: true, stage: staged };
  const silent = id === null && (!joint || joint.hand !== null || joint.kind !== "threaded");
  return silent ? null : { name, figure: null, known: false, stage: staged };
}
