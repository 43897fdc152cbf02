// The least work for goals on a machine: asked here, told in words and drawn in layers.
import { useComputed, useSignal } from "@preact/signals";
import { call } from "./api";
import { counted, Link, Loaded, useSending, Words } from "./parts";
import type { Due } from "./plan-apart";
import { type Found, PlanGroup } from "./plan-group";

type Thing = { id: string; name: string };
type Model = { id: string; name: string; years: [number, number]; options: (Thing & { group: string | null })[]; things: Record<string, Thing[]> };
type Offer = { models: Model[]; goals: Record<string, string[]> };
type Goal = { word: string; id: string; name: string };
type Machine = { id: string; name: string; customer: string; model: string | null; year: number | null; options: string[]; due: Due[] };

// the word of a goal → what it means, in the order of use
const WORDS: [string, string][] = [
  ["renewed", "Renew"],
  ["out", "Take out"],
  ["changed", "Change the fluid"],
  ["measure", "Measure or check"],
  ["reach", "Reach the joint"],
  ["undone", "Undo the joint"],
  ["drained", "Drain"],
  ["aside", "Hang aside"],
];
const MOST_GOALS = 12;

const thingsFor = (model: Model, offer: Offer, word: string): Thing[] =>
  (offer.goals[word] ?? []).flatMap((table) => model.things[table] ?? []).sort((a, b) => a.name.localeCompare(b.name, "en"));

/** What is searched for, by every word of it, in name or id. */
const matching = (things: Thing[], sought: string): Thing[] => {
  const words = sought.toLowerCase().split(/\s+/).filter(Boolean);
  return things.filter(({ id, name }) => words.every((word) => name.toLowerCase().includes(word) || id.includes(word)));
};

function GoalChoice({ model, offer, add, full }: { model: Model; offer: Offer; add: (goal: Goal) => void; full: boolean }) {
  const word = useSignal("renewed");
  const sought = useSignal("");
  const chosen = useSignal("");
  const things = matching(thingsFor(model, offer, word.value), sought.value);
  const thing = things.find((one) => one.id === chosen.value) ?? (things.length === 1 ? things[0] : undefined);
  return (
    <fieldset class="goal-choice">
      <legend>A goal</legend>
      <label>
        What is to be done
        <select value={word.value} onChange={(e) => (word.value = e.currentTarget.value)}>
          {WORDS.filter(([one]) => one in offer.goals).map(([one, words]) => (
            <option key={one} value={one}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <label>
        Search by name
        <input value={sought.value} maxLength={100} onInput={(e) => (sought.value = e.currentTarget.value)} />
      </label>
      <label>
        {counted(things.length, "thing")} of the map
        <select size={6} value={thing?.id ?? ""} onChange={(e) => (chosen.value = e.currentTarget.value)}>
          {things.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {things.length === 0 && <p>Nothing of this kind has such a name. Use fewer letters, or another kind of goal.</p>}
      <button disabled={!thing || full} onClick={() => thing && add({ word: word.value, ...thing })}>
        {full ? "No more than twelve goals" : thing ? `Add: ${thing.name}` : "Add the goal"}
      </button>
    </fieldset>
  );
}

type VariantProps = { model: Model; year: { value: string }; options: { value: string[] }; machines: Machine[]; machine: { value: string } };

function VariantChoice({ model, year, options, machines, machine }: VariantProps) {
  const [first, last] = model.years;
  const years = Array.from({ length: last - first + 1 }, (_, at) => String(first + at));
  const toggle = (id: string, on: boolean) => {
    machine.value = "";
    options.value = on ? [...options.value, id] : options.value.filter((one) => one !== id);
  };
  const mine = machines.filter((one) => one.model === model.id && one.year !== null);
  const take = (id: string) => {
    const taken = mine.find((one) => one.id === id);
    machine.value = id;
    year.value = taken ? String(taken.year) : "";
    options.value = taken?.options ?? [];
  };
  return (
    <fieldset>
      <legend>Which machine</legend>
      {mine.length > 0 && (
        <label>
          A customer’s machine
          <select value={machine.value} onChange={(e) => take(e.currentTarget.value)}>
            <option value="">None of the register</option>
            {mine.map(({ id, name, customer }) => (
              <option key={id} value={id}>
                {customer ? `${name}, ${customer}` : name}
              </option>
            ))}
          </select>
        </label>
      )}
      <label>
        Model year
        <select value={year.value} onChange={(e) => ((machine.value = ""), (year.value = e.currentTarget.value))}>
          <option value="">All variants</option>
          {years.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </label>
      {year.value &&
        model.options.map(({ id, name, group }) => (
          <label key={id} class="tick-line">
            <input type="checkbox" checked={options.value.includes(id)} onChange={(e) => toggle(id, e.currentTarget.checked)} />
            {name}
            {group ? ` (exactly one ${group.replaceAll("_", " ")})` : ""}
          </label>
        ))}
    </fieldset>
  );
}

function Ask({ offer, machines }: { offer: Offer; machines: Machine[] }) {
  const machine = useSignal("");
  const id = useSignal(offer.models[0]!.id);
  const goals = useSignal<Goal[]>([]);
  const year = useSignal("");
  const options = useSignal<string[]>([]);
  const found = useSignal<{ question: string; answer: Found; goals: Goal[]; due: Due[] | null } | null>(null);
  const { busy, problem, send } = useSending();
  const model = useComputed(() => offer.models.find((one) => one.id === id.value)!).value;
  const variant = year.value ? { year: Number(year.value), options: options.value } : null;
  const body = { model: model.id, goals: goals.value.map((goal) => `${goal.word} ${goal.id}`), variant };
  const question = JSON.stringify(body);
  const choose = (next: string) => {
    id.value = next;
    goals.value = [];
    machine.value = "";
    year.value = "";
    options.value = [];
  };
  const add = (goal: Goal) => {
    if (!goals.value.some((one) => one.word === goal.word && one.id === goal.id)) goals.value = [...goals.value, goal];
  };
  const ask = () =>
    void send(async () => {
      found.value = null;
      const due = machines.find((one) => one.id === machine.value)?.due ?? null;
      found.value = { question, answer: await call<Found>("POST", "/desk/plan", body), goals: goals.value, due };
    });
  const shown = found.value;
  return (
    <>
      <section class="card plan-ask">
        <div>
          <label>
            Model
            <select value={model.id} onChange={(e) => choose(e.currentTarget.value)}>
              {offer.models.map((one) => (
                <option key={one.id} value={one.id}>
                  {one.name}
                </option>
              ))}
            </select>
          </label>
          <VariantChoice key={model.id} model={model} year={year} options={options} machines={machines} machine={machine} />
        </div>
        <GoalChoice key={`goals ${model.id}`} model={model} offer={offer} add={add} full={goals.value.length >= MOST_GOALS} />
        <div class="plan-goals">
          <h2>Goals</h2>
          {goals.value.length === 0 && <p class="quiet">None yet. Choose one and add it; several are planned together.</p>}
          <ul>
            {goals.value.map((goal) => (
              <li key={`${goal.word} ${goal.id}`}>
                <span>{goalWords(goal)}</span>
                <button aria-label={`Leave out: ${goalWords(goal)}`} onClick={() => (goals.value = goals.value.filter((one) => one !== goal))}>
                  Leave out
                </button>
              </li>
            ))}
          </ul>
          <button class="press" disabled={busy.value || goals.value.length === 0} onClick={ask}>
            {busy.value ? "Planning …" : "Plan the least work"}
          </button>
          {problem.value && <Words message={problem.value} />}
        </div>
      </section>
      <div aria-live="polite">{shown && <p class="plan-summary">{summary(shown.answer)}</p>}</div>
      {shown && shown.question !== question && <p class="look-word">The question was changed since; this plan answers the one before.</p>}
      {shown?.answer.groups.map((group, at) => (
        <PlanGroup key={`${shown.question} ${group.variants}`} number={at + 1} group={group} due={shown.due} goal={(text) => saidGoal(text, shown.goals)} />
      ))}
      {shown?.answer.without.map((words) => (
        <p key={words}>{words.charAt(0).toUpperCase() + words.slice(1)}: nothing to do; the machine has no such thing.</p>
      ))}
    </>
  );
}

const goalWords = ({ word, name }: Goal) => `${WORDS.find(([one]) => one === word)?.[1] ?? word}: ${name}`;
const saidGoal = (text: string, goals: Goal[]) => {
  const goal = goals.find(({ word, id }) => `${word} ${id}` === text);
  return goal ? goalWords(goal) : text;
};

function summary({ name, groups }: Found): string {
  const least = Math.min(...groups.map(({ plan }) => plan.minutes));
  const most = Math.max(...groups.map(({ plan }) => plan.minutes));
  const minutes = least === most ? `about ${least} minutes` : `about ${least} to ${most} minutes`;
  return groups.length === 0
    ? `${name}: no machine of this model has what is asked for.`
    : `${name}: ${counted(groups.length, "plan")}, ${minutes} with the rebuild.${groups.length > 1 ? " Machines with the same plan stand together." : ""}`;
}

const load = async (): Promise<{ offer: Offer; machines: Machine[] }> => {
  const [offer, { machines }] = await Promise.all([call<Offer>("GET", "/desk/models"), call<{ machines: Machine[] }>("GET", "/desk/machines")]);
  return { offer, machines };
};

export function PlanSheet() {
  return (
    <main class="sheet">
      <h1>Plan</h1>
      <p>
        The least work that reaches what you want on a machine, from its published map. Minutes are estimates for comparing ways; the maker’s documents
        go first.
      </p>
      <Loaded of="models" load={load}>
        {({ offer, machines }) =>
          offer.models.length > 0 ? (
            <Ask offer={offer} machines={machines} />
          ) : (
            <p>
              No map is published yet, so nothing can be planned. <Link to="/desk/library">Publish one in the library</Link>.
            </p>
          )
        }
      </Loaded>
    </main>
  );
}
