// One step opened: its words, its actions and what stands with it.
import { useSignal } from "@preact/signals";
import { ACTS } from "./acts";
import type { Editing } from "./editing";
import { ActList, ChoiceField, IdList, TextField } from "./fields";
import { GuardField } from "./guard-field";
import { StepPicture } from "./step-picture";
import { STEP_KEYS, type StepText } from "./steps";
import { listed, type Things } from "./things";
import { setValue } from "./yaml-text";
import { tryEdit } from "./use-editing";

export function StepForm({ editing, at, step, things }: { editing: Editing; at: number; step: StepText; things: Things }) {
  const here = (key: string) => ({ editing, place: ["steps", at, key], order: STEP_KEYS });
  const more = useSignal(["figure", "caution", "limits", "picture", "when", "tools", "minutes", "section"].some((key) => key in step));
  return (
    <div class="step-form">
      <ActList {...here("do")} label="What is done" kinds={ACTS} things={things} most={2} one empty="note" />
      <TextField {...here("say")} label="What to say, verb first" rows={2} must />
      <TextField {...here("detail")} label="The trick, and the reason" rows={2} />
      <TextField {...here("look_for")} label="What the eye must see" />
      <details open={more.value} onToggle={(e) => (more.value = e.currentTarget.open)}>
        <summary>Cautions, limits, tools, picture, for which machines</summary>
        <div class="step-more">
          <IdList {...here("caution")} label="Cautions, said before the act" tables={["cautions"]} things={things} one />
          <IdList {...here("tools")} label="Tools beyond those of the joint" tables={["tools"]} things={things} />
          <Limits editing={editing} at={at} step={step} things={things} />
          <ChoiceField {...here("figure")} label="Figure, when not the joint’s own" none="The joint’s own" choices={listed(things, ["figures"]).map(({ id, name }) => [id, `${id.replaceAll("_", " ")}: ${name}`])} />
          <GuardField {...here("when")} things={things} />
          <TextField {...here("minutes")} label="Minutes" />
          <TextField {...here("section")} label="A heading begins here" />
          <StepPicture editing={editing} at={at} step={step} />
        </div>
      </details>
      <p class="quiet breakable">Step {String(step["id"] ?? "")}</p>
    </div>
  );
}

const FAIL: [string, string][] = [
  ["renew", "renew it"],
  ["adjust", "adjust it"],
  ["ask", "ask the dealer"],
  ["stop", "stop here"],
];
const LIMIT_KEYS = ["check", "at_least", "at_most", "pass", "fail", "fail_needs"];

function Limits({ editing, at, step, things }: { editing: Editing; at: number; step: StepText; things: Things }) {
  const place = ["steps", at, "limits"];
  const checks = listed(things, ["checks"]).filter(({ entry }) => entry["kind"] === "measure");
  const put = (value: Parameters<typeof setValue>[2]) => tryEdit(editing, (text) => setValue(text, place, value, STEP_KEYS));
  if (!step["limits"]) {
    const acts = (Array.isArray(step["do"]) ? step["do"] : [step["do"] ?? ""]).map(String);
    const check = acts.find((act) => act.startsWith("measure "))?.slice(8) ?? checks[0]?.id;
    if (!check) return null;
    const figure = things["checks"]?.find(({ id }) => id === check)?.entry["figure"];
    const bound = typeof figure === "string" ? { at_least: figure } : {};
    return (
      <button onClick={() => put({ check, ...bound, pass: "Go on.", fail: "Ask the dealer before you go on.", fail_needs: "ask" })}>Add limits with both outcomes</button>
    );
  }
  const here = (key: string) => ({ editing, place: [...place, key], order: LIMIT_KEYS });
  const figures: [string, string][] = listed(things, ["figures"]).map(({ id, name }) => [id, `${id.replaceAll("_", " ")}: ${name}`]);
  return (
    <fieldset>
      <legend>Limits</legend>
      <ChoiceField {...here("check")} label="Of which measurement" choices={checks.map(({ id, name }) => [id, name])} />
      <ChoiceField {...here("at_least")} label="At least" none="no lower limit" choices={figures} />
      <ChoiceField {...here("at_most")} label="At most" none="no upper limit" choices={figures} />
      <TextField {...here("pass")} label="Within the limits, say" must />
      <TextField {...here("fail")} label="Outside, say" must />
      <ChoiceField {...here("fail_needs")} label="Outside, what it asks for" choices={FAIL} />
      <button onClick={() => put(null)}>Take the limits out</button>
    </fieldset>
  );
}
