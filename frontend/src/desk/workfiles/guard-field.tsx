// The condition on which something is there, asked for as the trade asks: model years from and to, each option with or without.
// A condition that says more than that is shown as it is written.
import type { Editing } from "./editing";
import { TextField } from "./fields";
import { guardOf, guardText, type Guarded } from "./guard-words";
import type { Things } from "./things";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Place } from "./yaml-text";

type Props = { editing: Editing; place: Place; order: readonly string[]; things: Things };

export function GuardField({ editing, place, order, things }: Props) {
  const written = String(valueAt(editing.readable.value.data, place) ?? "");
  const guarded = guardOf(written);
  const options = things["options"] ?? [];
  const known = guarded && Object.keys(guarded.options).every((id) => options.some((option) => option.id === id));
  if (!guarded || !known) return <TextField editing={editing} place={place} order={order} label="Only on these machines" hint="such as year >= 2024, an option, not an option; empty: all" />;
  const put = (next: Guarded) => tryEdit(editing, (text) => setValue(text, place, guardText(next) || null, order), place.join("/"));
  const year = (key: "from" | "to", words: string) => (
    <label>
      {words}
      <input type="number" min={1900} max={2200} value={guarded[key] ?? ""} onChange={(e) => put({ ...guarded, [key]: e.currentTarget.value === "" ? null : e.currentTarget.valueAsNumber })} />
    </label>
  );
  return (
    <fieldset class="guard">
      <legend>Only on these machines</legend>
      <div class="in-line">
        {year("from", "From model year")}
        {year("to", "To model year")}
        {options.map(({ id, name }) => (
          <label key={id}>
            {name}
            <select value={guarded.options[id] ?? ""} onChange={(e) => put({ ...guarded, options: { ...guarded.options, [id]: e.currentTarget.value as "with" | "without" | "" } })}>
              <option value="">with or without</option>
              <option value="with">only with it</option>
              <option value="without">only without it</option>
            </select>
          </label>
        ))}
      </div>
      <p class="quiet">{written ? `Written: ${written}` : "On all machines."}</p>
    </fieldset>
  );
}
