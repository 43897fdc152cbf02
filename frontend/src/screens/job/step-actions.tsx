/** What a step does, on which joint, with which tool: short lines taken from the map, beside the author's sentence. */
import type { Action, ProcedurePack, Step } from "../../store/bench";
import { actionInWords, fastenersInWords, figureWords, treatmentInWords } from "../../text/job-words";
import { listed } from "../../text/say";
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
  const joint = jointOf(pack, action);
  const treatment = joint && action.verb === "tighten" ? treatmentInWords(joint.treatment, joint.treatment.supply && nameIn(pack, joint.treatment.supply)) : null;
  const object = action.verb === "photograph" ? action.object : nameIn(pack, action.object);
  return (
    <>
      <strong>{actionInWords(action, { object, to: action.to ? nameIn(pack, action.to) : null })}</strong>
      {[joint ? fastenersInWords(joint) : "", treatment ?? "", action.verb === "tighten" && joint?.hand ? figureWords.byHand(joint.hand) : ""].filter(Boolean).map((part) => `, ${part}`)}
    </>
  );
}
