/** My torque wrenches with their ranges and checks, and the kit that is carried: kept on this phone, used by the numbers. */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { focusFirstError } from "../../components/fields";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import type { WrenchRow } from "../../domain/wrenches";
import { convert } from "../../domain/units";
import { clearDraft, kit, myTools, readDraft, removeTool, saveTool, setKit, writeDraft, type CarriedTool, type TorqueWrench } from "../../store/bench";
import { toolWords as words } from "../../text/numbers-words";
import { amount } from "./amounts";
import { dayInWords } from "./unbroken";
import { readForm, type Field, type Form, type Input } from "./fields";
import { FormView, inThreeParts } from "./form-view";
import { aroundNow } from "./around";
import { formOf } from "./form-text";
import { by } from "./tables/by-service";
import { chooseWrench } from "../../domain/wrenches";

const SCALE_UNITS = ["N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm", "N·cm"];

const WRENCH: readonly Field[] = [
  { kind: "text", key: "name", label: "Your name for it", hint: "as small click wrench" },
  { kind: "choice", key: "unit", label: "Unit of its scale", options: SCALE_UNITS.map((unit) => [unit, unit] as const) },
  { kind: "number", key: "low", label: "Lowest mark" }, { kind: "number", key: "high", label: "Highest mark" },
  { kind: "number", key: "step", label: "Step of its scale", optional: true, hint: "from one mark to the next" },
  { kind: "choice", key: "kind", label: "Kind", options: words.kinds },
  { kind: "amount", key: "lever_mm", label: "Drive centre to grip centre", of: "length", unit: "mm", optional: true, hint: "needed with an adapter" },
  { kind: "day", key: "checked", label: "Last check", optional: true, hint: "as 2026-05-31" },
  { kind: "yes", key: "dropped", label: "Dropped or overloaded since" },
];
const CARRIED: readonly Field[] = [
  { kind: "choice", key: "kind", label: "Tool", options: words.kitKinds },
  { kind: "amount", key: "size_mm", label: "Size", of: "length", unit: "mm", optional: true, hint: "as 8 mm, for sockets, spanners and keys" },
  { kind: "amount", key: "low_nm", label: "Lowest torque", of: "torque", unit: "N·m", optional: true, hint: "torque wrench only" },
  { kind: "amount", key: "high_nm", label: "Highest torque", of: "torque", unit: "N·m", optional: true, hint: "torque wrench only" },
];

export function ToolsRoom() {
  const editing = useSignal<TorqueWrench | "new" | null>(null);
  // a form that was left half typed is open again
  useEffect(() => {
    for (const tool of [...myTools.peek(), "new" as const]) {
      void readDraft(wrenchDraft(tool === "new" ? tool : tool.id)).then((text) => text !== "" && (editing.value ??= tool));
    }
  }, []);
  return (
    <Page title={words.title}>
      <section class="card">
        <h2>{words.wrenches}</h2>
        {myTools.value.length === 0 && <p>{words.none}</p>}
        <ul class="rows">
          {myTools.value.map((tool) => (
            <li key={tool.id}>
              {editing.value === tool ? <WrenchForm tool={tool} onEnd={() => (editing.value = null)} /> : <WrenchLine tool={tool} onChange={() => (editing.value = tool)} />}
            </li>
          ))}
        </ul>
        {editing.value === "new" ? <WrenchForm tool={null} onEnd={() => (editing.value = null)} /> : (
          <button type="button" class="press" onClick={() => (editing.value = "new")}>
            {words.add}
          </button>
        )}
      </section>
      <Kit />
    </Page>
  );
}

/** What the state of its check is, by the same rule that chooses a wrench. */
function checkOf(tool: TorqueWrench): WrenchRow["check"] {
  const { rows } = chooseWrench({ target_nm: 1, wrenches: [tool], today: aroundNow().today }).values;
  return rows[0]?.check ?? "unknown";
}

function WrenchLine({ tool, onChange }: { tool: TorqueWrench; onChange: () => void }) {
  const asking = useSignal(false);
  const attempt = useAttempt();
  const remove = async () => {
    await attempt.run(() => removeTool(tool.id));
  };
  const inKit = kit.value.some(({ kind, name }) => kind === "torque_wrench" && name === tool.name);
  const inNm = (mark: number) => convert(mark, tool.unit, "N·m");
  const carry = async () => {
    const item = { name: tool.name, kind: "torque_wrench", size_mm: null, low_nm: inNm(tool.low), high_nm: inNm(tool.high) };
    if (await attempt.run(() => setKit([...kit.peek(), item]))) say(words.saved);
  };
  return (
    <div class="row-list">
      <div>
        <p class="answer-about">{tool.name}</p>
        <p>{words.range(tool.low, tool.high, tool.unit, tool.step)}</p>
        <p class="small soft">{[words.kinds.find(([kind]) => kind === tool.kind)?.[1], tool.checked && words.checkedOn(dayInWords(tool.checked)), words.check[checkOf(tool)]].filter(Boolean).join(", ")}</p>
      </div>
      <Problem message={attempt.problem.value} />
      {asking.value ? (
        <>
          <p>{words.removeAsk(tool.name)}</p>
          <div class="presses">
            <button type="button" class="press main" onClick={() => (asking.value = false)}>
              {words.keep}
            </button>
            <button type="button" class="press" disabled={attempt.busy.value} onClick={remove}>
              {words.removeYes}
            </button>
          </div>
        </>
      ) : (
        <div class="presses">
          <button type="button" class="press" onClick={onChange}>
            {words.change}
          </button>
          <button type="button" class="press" onClick={() => (asking.value = true)}>
            {words.remove}
          </button>
          {inKit ? <p>{words.carried}</p> : (
            <button type="button" class="press" disabled={attempt.busy.value} onClick={carry}>
              {words.carryWrench}
            </button>
          )}
        </div>
      )}
    </div>
  );
}

/** Where a wrench that is being typed lies, until it is saved or left as it was. */
const wrenchDraft = (id: string): string => `tools:wrench:${id}`;
const KIT_DRAFT = "tools:kit";

/** Reads a form and hands its input on; what cannot be read or kept is said at its field and in three parts. What is typed survives leaving. */
function useKeeping(draft: string, fields: readonly Field[], first: Form, keep: (input: Input) => Promise<unknown>) {
  const form = useSignal<Form>(first);
  const touched = useSignal(false);
  useEffect(() => {
    void readDraft(draft).then((text) => text !== "" && !touched.peek() && (form.value = { ...first, ...formOf(text) }));
  }, [draft]);
  const put = (at: string, text: string) => {
    touched.value = true;
    form.value = { ...form.peek(), [at]: text };
    writeDraft(draft, JSON.stringify(form.peek()));
  };
  const errors = useSignal<Record<string, string>>({});
  const { imperial } = aroundNow();
  const attempt = useAttempt();
  const submit = async (event: Event) => {
    event.preventDefault();
    const { input, failures } = readForm(fields, form.peek(), imperial);
    errors.value = inThreeParts(failures);
    if (Object.keys(failures).length > 0) return focusFirstError();
    const kept = await attempt.run(async () => {
      await keep(input);
      await clearDraft(draft);
    });
    if (kept) say(words.saved);
  };
  const view = (
    <>
      <FormView fields={fields} form={form.value} errors={errors.value} imperial={imperial} put={put} />
      <Problem message={attempt.problem.value} />
    </>
  );
  return { submit, view, busy: attempt.busy, form, leave: () => void clearDraft(draft) };
}

const textOf = (value: number | string | null): string => (value === null ? "" : String(value));

function formOfWrench(tool: TorqueWrench | null): Form {
  if (!tool) return {};
  const { name, unit, low, high, step, kind, lever_mm, checked, dropped } = tool;
  return {
    name, unit, kind, low: textOf(low), high: textOf(high), step: step === 0 ? "" : textOf(step), lever_mm: lever_mm === null ? "" : `${lever_mm} mm`,
    checked: textOf(checked), dropped: dropped ? "yes" : "",
  };
}

function WrenchForm({ tool, onEnd }: { tool: TorqueWrench | null; onEnd: () => void }) {
  const { submit, view, busy, leave } = useKeeping(wrenchDraft(tool?.id ?? "new"), WRENCH, formOfWrench(tool), async (input) => {
    const { name, unit, low, high, kind } = input;
    const given = { id: tool?.id ?? "", name, unit, low, high, kind, step: input["step"] ?? 0, checked: input["checked"] ?? null, dropped: input["dropped"] === true, lever_mm: input["lever_mm"] ?? null };
    chooseWrench({ target_nm: 1, wrenches: [given] });
    await saveTool(given);
    onEnd();
  });
  return (
    <form class="number-form" onSubmit={submit} noValidate>
      {view}
      <div class="presses">
        <button type="button" class="press" onClick={() => (leave(), onEnd())}>
          {words.back}
        </button>
        <button type="submit" class="press main" disabled={busy.value}>
          {words.save}
        </button>
      </div>
    </form>
  );
}

function carriedName({ kind, size_mm, low_nm, high_nm }: Omit<CarriedTool, "name">): string {
  const word = words.kitKinds.find(([value]) => value === kind)?.[1] ?? kind;
  const size = size_mm === null ? "" : ` ${amount(size_mm, "mm")}`;
  return `${word}${size}${low_nm !== null && high_nm !== null ? `, ${amount(low_nm, "N·m")} to ${amount(high_nm, "N·m")}` : ""}`;
}

function Kit() {
  const adding = useSignal(false);
  const attempt = useAttempt();
  useEffect(() => {
    void readDraft(KIT_DRAFT).then((text) => text !== "" && (adding.value = true));
  }, []);
  const { submit, view, busy, form, leave } = useKeeping(KIT_DRAFT, CARRIED, {}, async (input) => {
    const item = { kind: input["kind"], size_mm: input["size_mm"] ?? null, low_nm: input["low_nm"] ?? null, high_nm: input["high_nm"] ?? null };
    by("kit_check")({ pack: { steps: [], joints: {}, figures: {}, tools: {} }, kit: [item] });
    await setKit([...kit.peek(), { ...item, name: carriedName(item) }]);
    form.value = {};
    adding.value = false;
  });
  return (
    <section class="card">
      <h2>{words.kit}</h2>
      {kit.value.length === 0 && <p>{words.kitNone}</p>}
      <Problem message={attempt.problem.value} />
      <ul class="rows">
        {kit.value.map((item, n) => (
          <li key={n} class="amount-line">
            <span>{item.name}</span>
            <button type="button" class="press" disabled={attempt.busy.value} aria-label={`${words.remove} ${item.name}`} onClick={() => attempt.run(() => setKit(kit.peek().filter((_, at) => at !== n)))}>
              {words.remove}
            </button>
          </li>
        ))}
      </ul>
      {adding.value ? (
        <form class="number-form" onSubmit={submit} noValidate>
          {view}
          <div class="presses">
            <button type="button" class="press" onClick={() => (leave(), (adding.value = false))}>
              {words.back}
            </button>
            <button type="submit" class="press main" disabled={busy.value}>
              {words.kitSave}
            </button>
          </div>
        </form>
      ) : (
        <button type="button" class="press" onClick={() => (adding.value = true)}>
          {words.kitAdd}
        </button>
      )}
      <Leads to="/numbers/kit-check" name={words.kitCheck} />
    </section>
  );
}
