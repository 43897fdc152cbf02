/** Adding a machine and changing one: a plain form that keeps what was typed. */
import { useSignal, type Signal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { Choice, ChoiceField, focusFirstError, SelectField, TextField } from "../../components/fields";
import { useLoaded } from "../../components/hooks";
import { BackPress, Page } from "../../components/page";
import { say } from "../../components/said";
import { go } from "../../components/where";
import {
  addMachine,
  changeMachine,
  clearDraft,
  library,
  loadModel,
  machines,
  readDraft,
  refreshLibrary,
  removeMachine,
  writeDraft,
  type Machine,
  type ModelPack,
} from "../../store/bench";
import { machineWords as words } from "../../text/bench-words";
import { EMPTY, factsFrom, machineErrors, optionsIn, withOption, type MachineErrors, type MachineText } from "./machine-facts";

export function MachineScreen({ id }: { id: string }) {
  const machine = machines.value.find((candidate) => candidate.id === id) ?? null;
  const title = id === "new" ? words.newTitle : words.changeTitle;
  const draft = useLoaded(id, () => readDraft(`machine:${id}`)).value.value;
  if (id !== "new" && !machine) return <Gone title={title} />;
  return <Page title={title}>{draft !== null && <MachineForm id={id} machine={machine} draft={draft} />}</Page>;
}

function Gone({ title }: { title: string }) {
  return (
    <Page title={title}>
      <div class="problem">
        <p class="problem-happened">{words.gone}</p>
        <p>{words.goneDo}</p>
      </div>
      <BackPress otherwise="/" />
    </Page>
  );
}

function textOf(machine: Machine | null, draft: string): MachineText {
  const models = library.peek().entries.filter((entry) => entry.kind === "model");
  const only = models.length === 1 ? (models[0]?.id ?? "") : "";
  const stored = machine
    ? { ...machine, year: String(machine.year), hours: machine.hours === null ? "" : String(machine.hours), serial: machine.serial ?? "" }
    : { model: only };
  const base = { ...EMPTY, ...stored };
  try {
    return draft === "" ? base : { ...base, ...(JSON.parse(draft) as Partial<MachineText>) };
  } catch {
    return base;
  }
}

function MachineForm({ id, machine, draft }: { id: string; machine: Machine | null; draft: string }) {
  const text = useSignal(textOf(machine, draft));
  const errors = useSignal<MachineErrors>({});
  const attempt = useAttempt();
  const model = useLoaded<ModelPack | null>(text.value.model, async () =>
    text.value.model === "" ? null : loadModel(text.value.model),
  ).value;
  const change = (next: MachineText) => {
    text.value = next;
    const { model: m, year, options, name, hours, serial } = next;
    writeDraft(`machine:${id}`, JSON.stringify({ model: m, year, options, name, hours, serial }));
    if (Object.keys(errors.peek()).length > 0) errors.value = machineErrors(next, model.value);
  };
  const save = async (event: Event) => {
    event.preventDefault();
    errors.value = machineErrors(text.value, model.value);
    if (!model.value || Object.keys(errors.value).length > 0) return focusFirstError();
    const facts = factsFrom(text.value, model.value);
    const kept = await attempt.run(async () => {
      await (machine ? changeMachine(machine.id, facts) : addMachine(facts));
      await clearDraft(`machine:${id}`);
    });
    if (kept) leave();
  };
  return (
    <form class="page-body flush" onSubmit={save} noValidate>
      <ModelChoice text={text} errors={errors.value} onText={change} />
      <Problem message={model.problem} />
      {model.value && <Fitted model={model.value} text={text.value} errors={errors.value} onText={change} />}
      <TextField
        label={words.name}
        hint={words.nameHint}
        error={errors.value.name}
        value={text.value.name}
        max={60}
        onText={(name) => change({ ...text.value, name })}
      />
      <TextField
        label={words.hours}
        hint={words.hoursHint}
        error={errors.value.hours}
        value={text.value.hours}
        numeric
        max={12}
        onText={(hours) => change({ ...text.value, hours })}
      />
      <TextField
        label={words.serial}
        hint={words.serialHint}
        value={text.value.serial}
        max={60}
        onText={(serial) => change({ ...text.value, serial })}
      />
      <Problem message={attempt.problem.value} />
      <div class="presses">
        <BackPress otherwise="/" />
        <button type="submit" class="press main" disabled={attempt.busy.value}>
          {words.save}
        </button>
      </div>
      {machine && <Remove machine={machine} />}
    </form>
  );
}

function leave(): void {
  say(words.saved);
  go("/", true);
}

type PartProps = { errors: MachineErrors; onText: (next: MachineText) => void };

function ModelChoice({ text, errors, onText }: PartProps & { text: Signal<MachineText> }) {
  const models = library.value.entries.filter((entry) => entry.kind === "model");
  if (models.length === 0) return <NoModels />;
  return (
    <ChoiceField label={words.model} error={errors.model}>
      {models.map((entry) => (
        <Choice
          key={entry.id}
          kind="radio"
          name="model"
          checked={text.value.model === entry.id}
          onPick={() => onText({ ...text.value, model: entry.id, options: [], year: "" })}
        >
          {entry.title}
        </Choice>
      ))}
    </ChoiceField>
  );
}

function NoModels() {
  const attempt = useAttempt();
  return (
    <div class="card">
      <p>{words.noModels}</p>
      <Problem message={library.value.problem} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={() => attempt.run(refreshLibrary)}>
        {words.fetch}
      </button>
    </div>
  );
}

function Fitted({ model, text, errors, onText }: PartProps & { model: ModelPack; text: MachineText }) {
  const [first, last] = model.years;
  const years = Array.from({ length: last - first + 1 }, (_, n) => String(last - n));
  return (
    <>
      <SelectField
        label={words.year}
        error={errors.year}
        value={text.year}
        options={["", ...years]}
        onText={(year) => onText({ ...text, year })}
      />
      {optionsIn(model, text.year).map(({ group, options }) => (
        <ChoiceField key={group} label={group === null ? words.options : words.group} error={group === null ? null : errors.options}>
          {options.map((option) => (
            <Choice
              key={option.id}
              kind={group === null ? "checkbox" : "radio"}
              name={group ?? option.id}
              checked={text.options.includes(option.id)}
              onPick={(picked) => onText(withOption(text, model, option, picked))}
            >
              {option.name}
            </Choice>
          ))}
        </ChoiceField>
      ))}
      {model.options.length === 0 && <p class="soft">{words.optionsNone}</p>}
    </>
  );
}

/** Two presses, in two places: the first at the left, the second at the right below it. */
function Remove({ machine }: { machine: Machine }) {
  const asked = useSignal(false);
  const attempt = useAttempt();
  const remove = async () => {
    if (await attempt.run(() => removeMachine(machine.id))) go("/", true);
  };
  if (!asked.value) {
    return (
      <button type="button" class="press" onClick={() => (asked.value = true)}>
        {words.remove}
      </button>
    );
  }
  return (
    <div class="card">
      <p>{words.removeAsk}</p>
      <Problem message={attempt.problem.value} />
      <div class="presses apart">
        <button type="button" class="press main" onClick={() => (asked.value = false)}>
          {words.removeNo}
        </button>
        <button type="button" class="press" onClick={remove}>
          {words.removeYes}
        </button>
      </div>
    </div>
  );
}
