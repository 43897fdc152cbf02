// What stands above the steps: title, for which machines, goal, what must be true before and after.
import { STATES } from "./acts";
import type { Editing } from "./editing";
import { ActList, IdList, TextField } from "./fields";
import { HEAD_KEYS, listOf } from "./steps";
import type { Things } from "./things";
import { setValue, valueAt } from "./yaml-text";
import { tryEdit } from "./use-editing";

const SAFETY = ["normal", "brakes", "steering", "fuel", "wheels", "throttle", "lifting"];
const GOALS = STATES.filter(({ word }) => ["renewed", "out", "done", "drained", "undone"].includes(word));
const STARTS = STATES.filter(({ word }) => ["pose", "set"].includes(word));

export function HeadForm({ editing, things }: { editing: Editing; things: Things }) {
  const here = (key: string) => ({ editing, place: [key], order: HEAD_KEYS });
  return (
    <div class="head-form">
      <TextField {...here("title")} label="Title" must />
      <TextField {...here("summary")} label="In one sentence" rows={3} must />
      <TextField {...here("applies")} label="For which machines (all, or year >= 2024 and …)" must />
      <ActList {...here("goal")} label="What is true when it is done" kinds={GOALS} things={things} most={30} empty={[]} />
      <ActList {...here("start")} label="What must be true before step 1" kinds={STARTS} things={things} most={12} empty="none" />
      <ActList {...here("ends")} label="How the machine stands at the end, when that differs" kinds={STARTS} things={things} most={12} />
      <Safety editing={editing} />
      <TextField {...here("people")} label="People" must />
      <TextField {...here("skill")} label="What one must be able to do" rows={2} must />
      <TextField {...here("stop_and_ask")} label="When to stop and ask the dealer" rows={3} must />
      <TextField {...here("disposal")} label="Where old fluids and parts go" rows={2} />
      <IdList {...here("prepare")} place={["prepare", "tools"]} label="Tools to prepare that no step names" tables={["tools"]} things={things} empty="none" />
      <IdList {...here("prepare")} place={["prepare", "supplies"]} label="Supplies to prepare that no step names" tables={["supplies"]} things={things} empty="none" />
      <TextField {...here("author")} label="Author" must />
      <TextField {...here("revision")} label="Revision" must />
      <TextField {...here("issued")} label="Issued (2026-11-02)" must />
      <TextField {...here("change_note")} label="What changed, in a sentence" rows={2} must />
    </div>
  );
}

function Safety({ editing }: { editing: Editing }) {
  const named = listOf(valueAt(editing.readable.value.data, ["safety"]));
  const toggle = (word: string, on: boolean) => {
    const next = SAFETY.filter((one) => (one === word ? on : named.includes(one)));
    tryEdit(editing, (text) => setValue(text, ["safety"], next.length > 0 ? next : ["normal"], HEAD_KEYS));
  };
  return (
    <fieldset>
      <legend>What it touches that people’s safety hangs on</legend>
      <div class="ticks">
        {SAFETY.map((word) => (
          <label class="tick-line" key={word}>
            <input type="checkbox" checked={named.includes(word)} onChange={(e) => toggle(word, e.currentTarget.checked)} />
            {word}
          </label>
        ))}
      </div>
    </fieldset>
  );
}

