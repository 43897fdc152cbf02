// A new procedure: from an empty list of steps, or drafted from what is wanted on a machine.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { call } from "../api";
import { Words } from "../parts";
import { openFirst } from "./fields";
import { freeId, listed, thingsOfPack, type Things } from "./things";
import type { Pack } from "./types";
import { useBegin } from "./use-begin";
import type { All } from "./writing-sheet";

type Offer = { models: { id: string; things: Record<string, { id: string; name: string }[]> }[] };
type Draft = { procedure: string; text: string };

// first word of a goal → what it means, and what it can be about
const GOALS: [string, string, string[]][] = [
  ["renewed", "Renew", ["parts"]],
  ["out", "Take out", ["parts", "units"]],
  ["changed", "Change the fluid", ["fluids"]],
  ["measure", "Measure or check", ["checks"]],
  ["undone", "Undo the joint", ["joints"]],
];

/** What can be asked of a machine: by its map in writing, else by the published one. */
async function thingsOf(all: All, model: string): Promise<Things> {
  const file = all.workfiles.find((one) => one.kind === "map" && !one.put_away && one.path === `${model}/map.yaml`);
  if (file) {
    const { map } = await call<{ map: Pack | null }>("GET", `/desk/workfiles/${file.id}/map`);
    return map ? thingsOfPack(map) : {};
  }
  const { models } = await call<Offer>("GET", "/desk/models");
  const found = models.find(({ id }) => id === model)?.things ?? {};
  return Object.fromEntries(Object.entries(found).map(([table, rows]) => [table, rows.map((row) => ({ ...row, entry: {} }))]));
}

export function BeginProcedure({ all }: { all: All }) {
  const title = useSignal("");
  const inWriting = all.workfiles.filter((one) => one.kind === "map" && !one.put_away).map((one): [string, string] => [one.path.split("/")[0]!, one.title]);
  const published = all.published.filter(({ kind }) => kind === "model").map((one): [string, string] => [one.id, one.title]);
  const models = [...new Map([...published, ...inWriting])];
  const model = useSignal(inWriting[0]?.[0] ?? models[0]?.[0] ?? "");
  const goals = useSignal<string[]>([]);
  const things = useSignal<Things>({});
  const { busy, problem, begin } = useBegin();
  useEffect(() => {
    goals.value = [];
    things.value = {};
    let current = true;
    if (model.value) thingsOf(all, model.value).then((found) => current && (things.value = found), () => undefined);
    return () => void (current = false);
  }, [model.value]);
  const submit = (event: Event) => {
    event.preventDefault();
    const words = title.value.trim();
    if (goals.value.length === 0) begin({ kind: "procedure", id: freeId(words, new Set(), "-"), title: words, model: model.value || null });
    else
      begin(async () => {
        const { procedure, text } = await call<Draft>("POST", "/desk/draft", { model: model.value, goals: goals.value, variant: null });
        return { kind: "procedure", id: procedure, model: model.value, text };
      });
  };
  return (
    <form class="card" onSubmit={submit}>
      <h2>A procedure</h2>
      <label>
        On which machine
        <select value={model.value} onChange={(e) => (model.value = e.currentTarget.value)}>
          {models.map(([id, words]) => (
            <option key={id} value={id}>
              {words}
            </option>
          ))}
          <option value="">Any machine</option>
        </select>
      </label>
      {model.value && <Goals goals={goals} things={things.value} />}
      {goals.value.length === 0 && (
        <label>
          What is done, in a few words
          <input required maxLength={300} value={title.value} onInput={(e) => (title.value = e.currentTarget.value)} />
        </label>
      )}
      <button class="press" disabled={busy.value || (goals.value.length === 0 && !title.value.trim())}>
        {goals.value.length > 0 ? (busy.value ? "Drafting …" : "Draft it from the map") : "Begin with no steps"}
      </button>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

function Goals({ goals, things }: { goals: { value: string[] }; things: Things }) {
  const word = useSignal("renewed");
  const [, , tables] = GOALS.find(([one]) => one === word.value)!;
  const choices = listed(things, tables);
  const nameOf = (goal: string) => {
    const [first, id] = goal.split(" ") as [string, string];
    const [, words, of] = GOALS.find(([one]) => one === first)!;
    return `${words}: ${listed(things, of).find((thing) => thing.id === id)?.name ?? id}`;
  };
  return (
    <fieldset class="id-list">
      <legend>What is wanted, for a draft</legend>
      {goals.value.length > 0 && (
        <ul>
          {goals.value.map((goal) => (
            <li key={goal}>
              <span>{nameOf(goal)}</span>
              <button type="button" aria-label={`Leave out: ${nameOf(goal)}`} onClick={() => (goals.value = goals.value.filter((one) => one !== goal))}>
                Leave out
              </button>
            </li>
          ))}
        </ul>
      )}
      <div class="act-choice">
        <select aria-label="What is to be done" value={word.value} onChange={(e) => (word.value = e.currentTarget.value)}>
          {GOALS.map(([one, words]) => (
            <option key={one} value={one}>
              {words}
            </option>
          ))}
        </select>
        <select aria-label="To what" value="" onKeyDown={openFirst} onChange={(e) => e.currentTarget.value && (goals.value = [...new Set([...goals.value, `${word.value} ${e.currentTarget.value}`])])}>
          <option value="">{choices.length > 0 ? "Choose …" : "Nothing of this kind on the map"}</option>
          {choices.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </div>
    </fieldset>
  );
}
