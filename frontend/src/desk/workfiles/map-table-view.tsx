// One table of a map: its things by name, one opened, another added by typing its name.
import { useSignal } from "@preact/signals";
import { ACTS, GOAL_STATES, STATES, STATES_WITH_AIDS } from "./acts";
import type { Editing } from "./editing";
import { ActList, ChoiceField, IdList, TextField, TickField } from "./fields";
import { FindingLines } from "./findings-list";
import { GuardField } from "./guard-field";
import { JointFace } from "./joint-face";
import { EveryField, StagesField, TreatmentField, WordsField } from "./map-fields";
import { MAP_KEYS, type Field, type MapTable } from "./map-tables";
import { freeId, listed, TABLES, type Thing, type Things } from "./things";
import type { Finding } from "./types";
import { tryEdit } from "./use-editing";
import { WaysField } from "./ways-field";
import { addEntry, readTree, setValue, valueAt } from "./yaml-text";

type Props = { editing: Editing; table: MapTable; things: Things; byThing: Map<string, Finding[]>; toLine: (finding: Finding) => void };

export function TableView({ editing, table, things, byThing, toLine }: Props) {
  const opened = useSignal("");
  const sought = useSignal("");
  const rows = things[table.table] ?? [];
  const shown = rows.filter(({ id, name }) => `${name} ${id}`.toLowerCase().includes(sought.value.toLowerCase()));
  return (
    <section class="map-table" aria-label={table.words}>
      <AddThing editing={editing} table={table} things={things} added={(id) => (opened.value = id)} />
      {rows.length > 10 && (
        <label>
          Search by name
          <input value={sought.value} onInput={(e) => (sought.value = e.currentTarget.value)} />
        </label>
      )}
      <ul class="thing-list">
        {shown.slice(0, 400).map((thing) => {
          const open = opened.value === thing.id;
          return (
            <li key={thing.id} class={open ? "opened" : ""}>
              <button class="thing-line" aria-expanded={open} onClick={() => (opened.value = open ? "" : thing.id)}>
                <b>{table.table === "figures" ? thing.id.replaceAll("_", " ") : thing.name}</b> <span class="quiet breakable">{summary(thing)}</span>
              </button>
              <FindingLines findings={byThing.get(`${table.table}/${thing.id}`) ?? []} editing={editing} things={things} at={toLine} />
              {open && <ThingForm editing={editing} table={table} thing={thing} things={things} gone={() => (opened.value = "")} />}
            </li>
          );
        })}
      </ul>
      {shown.length > 400 && <p class="quiet">and {shown.length - 400} more: search by name</p>}
    </section>
  );
}

const summary = ({ entry }: Thing): string =>
  ["number", "kind", "side", "thread", "as_published", "condition", "when"].map((key) => entry[key]).filter((word) => typeof word === "string").join(" · ");

/** A name and Enter: the thing is there, and the next name can be typed. */
function AddThing({ editing, table, things, added }: { editing: Editing; table: MapTable; things: Things; added: (id: string) => void }) {
  const name = useSignal("");
  const add = (event: Event) => {
    event.preventDefault();
    const words = name.value.replace(/\s+/g, " ").trim();
    if (!words) return;
    const taken = new Set([...TABLES, "options"].flatMap((one) => (things[one] ?? []).map(({ id }) => id)));
    const id = freeId(["figures", "cautions", "follow_ons", "isolations"].includes(table.table) ? words.slice(0, 40) : words, new Set([...taken, "frame"]), "_", table.one);
    const fresh = table.fresh(words);
    if (!tryEdit(editing, (text) => withEntry(text, table.table, id, fresh))) return;
    name.value = "";
    added(id);
  };
  const words = table.table === "figures" ? "A short name for the new figure" : `Name of a new ${table.one}`;
  return (
    <form class="in-line add-thing" onSubmit={add}>
      <label>
        {words}
        <input value={name.value} maxLength={300} autocomplete="off" onInput={(e) => (name.value = e.currentTarget.value)} />
      </label>
      <button class="press" disabled={!name.value.trim()}>
        Add
      </button>
    </form>
  );
}

/** A thing added to its table; a table that is missing gets its place in the head's order. */
export const withEntry = (text: string, table: string, id: string, value: ReturnType<MapTable["fresh"]>): string => addEntry(text, table, id, value, MAP_KEYS);

type FormProps = { editing: Editing; table: MapTable; thing: Thing; things: Things; gone: () => void };

function ThingForm({ editing, table, thing, things, gone }: FormProps) {
  const place = [table.table, thing.id];
  const takeOut = () => {
    const only = (things[table.table] ?? []).length === 1;
    const made = (text: string) => (only ? setValue(text, [table.table], {}, MAP_KEYS) : setValue(text, place, null));
    if (tryEdit(editing, made)) gone();
  };
  return (
    <div class="thing-form">
      {table.fields.map((field) => (
        <FieldOf key={field.key} field={field} editing={editing} table={table} thing={thing} things={things} />
      ))}
      {table.table === "joints" && <NewFigure editing={editing} joint={thing} things={things} order={table.order} />}
      {table.table === "joints" && <JointFace editing={editing} joint={thing.id} order={table.order} />}
      <p class="in-line">
        <button class="danger" onClick={takeOut}>
          Take this {table.one} off the map
        </button>
        <span class="quiet breakable">{thing.id}</span>
      </p>
    </div>
  );
}

function FieldOf({ field, editing, table, thing, things }: { field: Field; editing: Editing; table: MapTable; thing: Thing; things: Things }) {
  const at = { editing, place: [table.table, thing.id, field.key], order: table.order };
  const must = field.key === "name" || field.key === "as_published" || field.key === "hazard";
  if (field.as === "choice") return <ChoiceField {...at} label={field.label} choices={field.choices} {...(field.none ? { none: field.none } : {})} />;
  if (field.as === "ids") return <IdList {...at} label={field.label} tables={field.tables} things={withFrame(field.key, things)} />;
  if (field.as === "id")
    return <ChoiceField {...at} label={field.label} none={field.none} choices={listed(things, field.tables).map(({ id, name }) => [id, field.tables.includes("figures") && name !== id ? `${name} (${id.replaceAll("_", " ")})` : name])} />;
  if (field.as === "tick") return <TickField {...at} label={field.label} />;
  if (field.as === "ways") return <WaysField {...at} label={field.label} things={things} kinds={table.table === "isolations" ? STATES_WITH_AIDS : STATES} />;
  if (field.as === "acts" || field.as === "any_acts") return <ActList {...at} label={field.label} kinds={TRIGGERS} things={things} most={40} anyObject={field.as === "any_acts"} {...(field.as === "any_acts" ? { empty: [] } : {})} />;
  if (field.as === "goals") return <ActList {...at} label={field.label} kinds={GOAL_STATES} things={things} most={20} empty={[]} />;
  if (field.as === "guard") return <GuardField {...at} things={things} />;
  if (field.as === "words") return <WordsField {...at} label={field.label} {...(field.hint ? { hint: field.hint } : {})} />;
  if (field.as === "treatment" || field.as === "part_treatment") return <TreatmentField {...at} label={field.label} things={things} part={field.as === "part_treatment"} />;
  if (field.as === "stages") return <StagesField {...at} label={field.label} things={things} />;
  if (field.as === "every") return <EveryField {...at} label={field.label} />;
  if (field.as === "states") return <ActList {...at} label={field.label} kinds={STATES} things={things} most={20} empty={[]} />;
  return <TextField {...at} label={field.label} must={must} {...(field.rows ? { rows: field.rows } : {})} {...(field.hint ? { hint: field.hint } : {})} />;
}

const TRIGGERS = ACTS.filter(({ word }) => !["wait", "photograph", "note"].includes(word));

/** Joints may also join the frame, which every machine has. */
const withFrame = (key: string, things: Things): Things =>
  key === "joins" ? { ...things, parts: [...(things["parts"] ?? []), { id: "frame", name: "the frame", entry: {} }] } : things;

/** A joint's figure written where the joint is described: as printed, condition, source. */
function NewFigure({ editing, joint, things, order }: { editing: Editing; joint: Thing; things: Things; order: readonly string[] }) {
  const printed = useSignal("");
  const condition = useSignal("");
  const source = useSignal("");
  if (valueAt(editing.readable.value.data, ["joints", joint.id, "figure"])) return null;
  const add = () => {
    const id = freeId(`${joint.id}_torque`, new Set((things["figures"] ?? []).map((figure) => figure.id)));
    const figure = { as_published: printed.value.trim(), condition: condition.value.trim(), source: source.value.trim() };
    tryEdit(editing, (text) => {
      const made = withEntry(text, "figures", id, figure);
      return readTree(made) ? setValue(made, ["joints", joint.id, "figure"], id, order) : made;
    });
  };
  return (
    <fieldset>
      <legend>A figure for this joint, from the maker’s documents</legend>
      <div class="in-line">
        <label>
          As printed, with its unit
          <input value={printed.value} placeholder="10 N·m" onInput={(e) => (printed.value = e.currentTarget.value)} />
        </label>
        <label>
          For which condition
          <input value={condition.value} placeholder="dry" onInput={(e) => (condition.value = e.currentTarget.value)} />
        </label>
        <label>
          Document and page
          <input value={source.value} onInput={(e) => (source.value = e.currentTarget.value)} />
        </label>
        <button disabled={!printed.value.trim() || !condition.value.trim() || !source.value.trim()} onClick={add}>
          Add the figure
        </button>
      </div>
    </fieldset>
  );
}
