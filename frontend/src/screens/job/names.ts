/** The names of what a pack's actions speak of. Knows the tables of a pack; nothing of the page. */
import type { StageShown } from "../../components/figure-shown";
import { figuresOfSteps, type SheetRow } from "../../domain/job-lists";
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

export type TightenedTo = { name: string; joint: string | null; figure: Figure | null; known: boolean; stage: StageShown | null };

/**
 * The figure a step asks for, at the stage it names. `known` is false where a threaded joint is tightened and neither a figure nor
 * "by hand" is given: that must be said. Null when the step asks for none.
 */
export function tightenedTo(pack: ProcedurePack, step: Step): TightenedTo | null {
  const row = figuresOfSteps(pack).find((each) => each.step === step.id);
  const joint = row && pack.joints[row.joint];
  // an angle has no figure of its own: it stands on the source of the figure that it goes on from
  const id = row ? (row.angle_deg === null ? row.figure : joint!.figure) : step.figure;
  const figure = id === null ? null : (pack.figures[id] ?? null);
  const at = { name: joint?.name ?? "", joint: row?.joint ?? null, stage: row && joint ? stageOf(row, joint) : null };
  if (figure) return { ...at, figure, known: true };
  const silent = id === null && (!joint || joint.hand !== null || joint.kind !== "threaded");
  return silent ? null : { ...at, figure: null, known: false };
}

function stageOf({ stage, share, angle_deg }: SheetRow, joint: Joint): StageShown | null {
  return stage === null ? null : { n: stage, of: joint.stages.length, share, angleDeg: angle_deg };
}

export type Wrench = { name: string; lowNm: number; highNm: number; targetNm: number };

/** The torque wrench a step names, and what it must read; null without a wrench of known range or a single figure in N·m. */
export function wrenchOf(pack: ProcedurePack, step: Step, asked: TightenedTo | null): Wrench | null {
  const value = asked?.figure?.kind === "torque" && asked.stage?.angleDeg == null ? asked.figure.value : null;
  const tool = step.tools.map((id) => pack.tools[id]).find((each) => each?.low_nm != null && each.high_nm != null);
  if (value === null || !tool) return null;
  return { name: tool.name, lowNm: tool.low_nm!, highNm: tool.high_nm!, targetNm: (value * (asked?.stage?.share ?? 100)) / 100 };
}
