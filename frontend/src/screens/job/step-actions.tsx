/** What a step does, on which joint, with which tool: short lines taken from the map, beside the author's sentence. */
import type { Action, ProcedurePack, Step } from "../../store/bench";
import { actionInWords, fastenersInWords, figureWords, treatmentInWords } from "../../text/job-words";
import { listed } from "../../text/say";
import { volumeInWords } from "../start/preparation";
import { jointOf, nameIn, toolNames } from "./names";

export function StepActions({ pack, step }: { pack: ProcedurePack; step: Step }) {
  const tools = toolNames(pack, step);
  return (
    <ul class="step-actions">
      {step.do.map((action, n) => (
        <li key={n}>
          <ActionLine pack={pack} action={action} />
        </li>
      ))}
      {tools.length > 0 && <li class="soft">{listed(tools)}</li>}
    </ul>
  );
}

function ActionLine({ pack, action }: { pack: ProcedurePack; action: Action }) {
  const object = action.verb === "photograph" ? action.object : nameIn(pack, action.object);
  return (
    <>
      <strong>{actionInWords(action, { object, to: action.to ? nameIn(pack, action.to) : null })}</strong>
      {[...aboutJoint(pack, action), ...aboutFluid(pack, action)].filter(Boolean).map((part) => `, ${part}`)}
    </>
  );
}

function aboutJoint(pack: ProcedurePack, action: Action): string[] {
  const joint = jointOf(pack, action);
  if (!joint) return [];
  if (action.verb !== "tighten") return [fastenersInWords(joint)];
  const treatment = treatmentInWords(joint.treatment, joint.treatment.supply && nameIn(pack, joint.treatment.supply));
  return [fastenersInWords(joint), treatment ?? "", joint.hand ? figureWords.byHand(joint.hand) : ""];
}

/** For filling what and how much, for checking the level where it must stand. */
function aboutFluid(pack: ProcedurePack, { verb, object, amount_ml }: Action): string[] {
  if (verb === "fill") return [pack.fluids[object]?.specification ?? "", amount_ml === undefined ? "" : volumeInWords(amount_ml)];
  const fluid = verb === "level" ? pack.checks[object]?.fluid : null;
  return [(fluid && pack.fluids[fluid]?.level) || ""];
}
