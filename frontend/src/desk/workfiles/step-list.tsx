// The steps in their order: one line each, one opened. Everything by keyboard: arrows go, Alt with arrows moves, Insert adds, Delete takes out.
import { useSignal, type Signal } from "@preact/signals";
import { useLayoutEffect, useRef } from "preact/hooks";
import { actInWords, ACTS, objectsOf, writeAct, type Act } from "./acts";
import type { Editing } from "./editing";
import { ActChoice } from "./fields";
import { FindingLines } from "./findings-list";
import { StepForm } from "./step-form";
import { actsOf, listOf, stepsIn, withCopy, withStep, type StepText } from "./steps";
import { nameIn, type Things } from "./things";
import type { Finding } from "./types";
import { tryEdit } from "./use-editing";
import { moveItem, removeItem } from "./yaml-text";

type Props = { editing: Editing; things: Things; opened: Signal<number>; byStep: Map<string, Finding[]>; toLine: (finding: Finding) => void };

export function StepList({ editing, things, opened, byStep, toLine }: Props) {
  const steps = stepsIn(editing.readable.value);
  const adding = useSignal<number | null>(steps.length === 0 ? 0 : null);
  const list = useRef<HTMLOListElement>(null);
  const wanted = useSignal<number | null>(null);
  useLayoutEffect(() => {
    if (wanted.value === null) return;
    list.current?.querySelector<HTMLElement>(`[data-step="${wanted.value}"] .step-line`)?.focus();
    wanted.value = null;
  }, [wanted.value, editing.readable.value]);
  const focus = (at: number) => (wanted.value = Math.max(0, Math.min(at, stepsIn(editing.readable.peek()).length - 1)));
  const move = (from: number, to: number) => {
    if (to < 0 || to >= steps.length || !tryEdit(editing, (text) => moveItem(text, ["steps"], from, to))) return;
    if (opened.peek() === from) opened.value = to;
    editing.said.value = `The step is number ${to + 1} now.`;
    focus(to);
  };
  const takeOut = (at: number) => {
    if (!tryEdit(editing, (text) => removeItem(text, ["steps"], at))) return;
    opened.value = -1;
    editing.said.value = `Step ${at + 1} is taken out. Undo brings it back.`;
    focus(at);
  };
  const copy = (at: number) => {
    if (tryEdit(editing, (text) => withCopy(text, editing.readable.peek(), at))) focus(at + 1);
  };
  const add = (at: number, act: Act) => {
    if (!tryEdit(editing, (text) => withStep(text, editing.readable.peek(), at, [writeAct(act)], things))) return;
    adding.value = at + 1;
    opened.value = -1;
  };
  const onKey = (event: KeyboardEvent, at: number) => {
    const acts: Record<string, () => void> = {
      ArrowDown: () => (event.altKey ? move(at, at + 1) : focus(at + 1)),
      ArrowUp: () => (event.altKey ? move(at, at - 1) : focus(at - 1)),
      Home: () => focus(0),
      End: () => focus(steps.length - 1),
      Insert: () => (adding.value = at + 1),
      Delete: () => takeOut(at),
    };
    if (event.key.toLowerCase() === "d" && event.altKey) acts[event.key] = () => copy(at);
    const act = acts[event.key];
    if (!act || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    act();
  };
  return (
    <>
      <p class="quiet">
        On a step: arrows go, Alt and arrows move it, Enter opens it, Insert adds one below, Alt and D makes a copy, Delete takes it out.
      </p>
      {adding.value === 0 && <AddStep at={0} things={things} add={add} close={() => (adding.value = null)} />}
      <ol class="step-list" ref={list}>
        {steps.map((step, at) => (
          <li key={at} data-step={at} class={opened.value === at ? "opened" : ""}>
            <StepLine step={step} at={at} things={things} opened={opened} onKey={onKey} heading={headingAt(steps, at)} />
            <FindingLines findings={byStep.get(String(step["id"])) ?? []} editing={editing} things={things} at={toLine} />
            {opened.value === at && (
              <>
                <div class="step-acts" role="group" aria-label={`Step ${at + 1}`}>
                  <button disabled={at === 0} onClick={() => move(at, at - 1)}>
                    Up
                  </button>
                  <button disabled={at === steps.length - 1} onClick={() => move(at, at + 1)}>
                    Down
                  </button>
                  <button onClick={() => copy(at)}>Make a copy</button>
                  <button onClick={() => (adding.value = at + 1)}>Add one below</button>
                  <button class="danger" onClick={() => takeOut(at)}>
                    Take out
                  </button>
                </div>
                <StepForm key={String(step["id"])} editing={editing} at={at} step={step} things={things} />
              </>
            )}
            {adding.value === at + 1 && <AddStep at={at + 1} things={things} add={add} close={() => ((adding.value = null), focus(at))} />}
          </li>
        ))}
      </ol>
      {adding.value === null && (
        <button class="press" onClick={() => (adding.value = steps.length)}>
          Add a step at the end
        </button>
      )}
    </>
  );
}

const headingAt = (steps: StepText[], at: number): string => {
  const section = steps[at]!["section"];
  return typeof section === "string" && section !== steps.slice(0, at).findLast((step) => step["section"])?.["section"] ? section : "";
};

type LineProps = { step: StepText; at: number; things: Things; opened: Signal<number>; onKey: (event: KeyboardEvent, at: number) => void; heading: string };

function StepLine({ step, at, things, opened, onKey, heading }: LineProps) {
  const open = opened.value === at;
  const marks = [
    ...listOf(step["caution"]).map((id) => `Caution: ${nameIn(things, id)}`),
    step["limits"] ? "Limits" : "",
    step["picture"] ? "Picture" : "",
    step["when"] ? `Only when ${String(step["when"])}` : "",
  ].filter(Boolean);
  return (
    <>
      {heading && <h2 class="step-heading">{heading}</h2>}
      <button class="step-line" aria-expanded={open} onClick={() => (opened.value = open ? -1 : at)} onKeyDown={(event) => onKey(event, at)}>
        <span class="step-number">{at + 1}</span>
        <span>
          {String(step["say"] ?? "") || "(no words yet)"}
          <span class="step-does">{actsOf(step).map((act) => actInWords(act, things)).join(" · ")}</span>
          {marks.length > 0 && <span class="step-marks">{marks.join(" · ")}</span>}
        </span>
      </button>
    </>
  );
}

/** A new step begins with what is done: its id and first words follow from that. */
function AddStep({ at, things, add, close }: { at: number; things: Things; add: (at: number, act: Act) => void; close: () => void }) {
  const first = ACTS.find((kind) => objectsOf(kind, things).length > 0) ?? ACTS.at(-1)!;
  const act = useSignal<Act>({ kind: first, object: objectsOf(first, things)[0]?.id ?? "", extra: "" });
  const box = useRef<HTMLFormElement>(null);
  useLayoutEffect(() => box.current?.querySelector("select")?.focus(), []);
  return (
    <form
      class="add-step"
      ref={box}
      aria-label={`A new step ${at + 1}`}
      onSubmit={(event) => {
        event.preventDefault();
        add(at, act.value);
      }}
      onKeyDown={(event) => event.key === "Escape" && close()}
    >
      <p>
        <b>Step {at + 1}:</b> {actInWords(writeAct(act.value), things)}.
      </p>
      <ActChoice act={act.value} kinds={ACTS} things={things} label="The new step" choose={(next) => (act.value = next)} />
      <button class="press">Put it in</button>
      <button type="button" onClick={close}>
        No more
      </button>
    </form>
  );
}
