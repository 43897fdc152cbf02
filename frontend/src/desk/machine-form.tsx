// What the desk writes down of a customer's machine: a new one, or changes to one that jobs named. Only what the maps in force know can be
// chosen as model, year and option; a machine of no model may be kept too.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { useSending, Words } from "./parts";

export type Told = { name: string; customer: string; model: string | null; year: number | null; options: string[]; serial: string | null; hours: number | null; words: string };
export type Model = { id: string; name: string; years: [number, number]; options: { id: string; name: string; group: string | null }[] };

const NEW: Told = { name: "", customer: "", model: null, year: null, options: [], serial: null, hours: null, words: "" };

type Props = { id: string | null; told?: Told; models: Model[]; kept: () => void; close: () => void };

export function MachineForm({ id, told = NEW, models, kept, close }: Props) {
  const { name, customer, model: ofModel, year, options, serial, words } = told;
  const form = useSignal<Told>({ name, customer, model: ofModel, year, options, serial, words, hours: null });
  const hours = useSignal("");
  const { busy, problem, send } = useSending();
  const model = models.find((one) => one.id === form.value.model);
  const set = (part: Partial<Told>) => (form.value = { ...form.value, ...part });
  const submit = (event: Event) => {
    event.preventDefault();
    const known = model ? { year: form.value.year, options: form.value.options.filter((option) => model.options.some((one) => one.id === option)) } : {};
    void send(async () => {
      await call("POST", id ? `/desk/machines/${encodeURIComponent(id)}` : "/desk/machines", { ...form.value, ...known, hours: hours.value.trim() === "" ? null : Number(hours.value) });
      kept();
    });
  };
  const text = (key: "name" | "customer" | "serial", label: string, most: number, must = false) => (
    <label>
      {label}
      <input required={must} maxLength={most} value={form.value[key] ?? ""} onInput={(e) => set({ [key]: e.currentTarget.value })} />
    </label>
  );
  return (
    <form class="machine-form" aria-label={id ? `Change ${told.name}` : "A new machine"} onSubmit={submit}>
      {text("name", "Name of the machine", 300, true)}
      {text("customer", "Whose it is", 200)}
      <label>
        Model
        <select value={form.value.model ?? ""} onChange={(e) => set({ model: e.currentTarget.value || null, year: null, options: [] })}>
          <option value="">none that has a map here</option>
          {form.value.model && !model && <option value={form.value.model}>{form.value.model} (no map in force)</option>}
          {models.map((one) => (
            <option key={one.id} value={one.id}>
              {one.name}
            </option>
          ))}
        </select>
      </label>
      {model && (
        <label>
          Model year
          <select value={String(form.value.year ?? "")} onChange={(e) => set({ year: Number(e.currentTarget.value) || null })}>
            <option value="">not known</option>
            {yearsOf(model).map((year) => (
              <option key={year}>{year}</option>
            ))}
          </select>
        </label>
      )}
      {model && model.options.length > 0 && (
        <fieldset>
          <legend>What is fitted</legend>
          <div class="ticks">
            {model.options.map(({ id: option, name }) => (
              <label class="tick-line" key={option}>
                <input
                  type="checkbox"
                  checked={form.value.options.includes(option)}
                  onChange={(e) => set({ options: e.currentTarget.checked ? [...withoutGroup(model, form.value.options, option), option] : form.value.options.filter((one) => one !== option) })}
                />
                {name}
              </label>
            ))}
          </div>
        </fieldset>
      )}
      {text("serial", "Serial number", 120)}
      <label>
        Hours today
        <input inputMode="decimal" pattern="[0-9]+([.][0-9]+)?" title="A number of hours, such as 84.5" value={hours.value} onInput={(e) => (hours.value = e.currentTarget.value)} />
      </label>
      <label class="whole-row">
        Remarks
        <textarea rows={2} maxLength={2000} value={form.value.words} onInput={(e) => set({ words: e.currentTarget.value })} />
      </label>
      <div class="in-line whole-row">
        <button class="press" disabled={busy.value}>
          {id ? "Write it down" : "Add the machine"}
        </button>
        <button type="button" onClick={close}>
          Leave it as it is
        </button>
      </div>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

const yearsOf = ({ years: [first, last] }: Model): number[] => Array.from({ length: last - first + 1 }, (_, n) => first + n);

/** Of one group just one is fitted: choosing another takes the first away. */
function withoutGroup(model: Model, fitted: string[], option: string): string[] {
  const group = model.options.find(({ id }) => id === option)?.group;
  return group ? fitted.filter((one) => model.options.find(({ id }) => id === one)?.group !== group) : fitted;
}
