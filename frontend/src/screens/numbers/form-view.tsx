/** The fields of a calculation on the screen. Knows how each kind of field is shown; reads nothing. */
import { useId } from "preact/hooks";
import { Choice, ChoiceField, describedBy, Notes, SelectField, TextField } from "../../components/fields";
import { numbersWords as words } from "../../text/numbers-words";
import { sentence } from "../../text/say";
import { messageParts } from "../../text/messages";
import { countKey, rowCount, rowKey, unitKey, unitsFor, type Failures, type Field, type Form } from "./fields";

type Shown = { form: Form; errors: Readonly<Record<string, string>>; imperial: boolean; put: (key: string, text: string) => void };

/** What is said at each field that could not be read: what happened, what it means, what to do. */
export function inThreeParts(failures: Failures): Record<string, string> {
  const said = ({ code, values }: Failures[string]): string => {
    const parts = messageParts(code, values);
    return `${parts.happened} ${parts.means} ${parts.do}`;
  };
  return Object.fromEntries(Object.entries(failures).map(([at, failure]) => [at, said(failure)]));
}

export function FormView({ fields, ...shown }: Shown & { fields: readonly Field[] }) {
  return (
    <>
      {fields.map((field) => (
        <OneField key={field.key} field={field} at={field.key} {...shown} />
      ))}
    </>
  );
}

const hintOf = ({ hint, optional }: Field): string | undefined => [hint && `${sentence(hint)}.`, optional ? words.optional : ""].filter(Boolean).join(" ") || undefined;

function OneField({ field, at, ...shown }: Shown & { field: Field; at: string }) {
  const { form, errors, put } = shown;
  const common = { label: field.label, hint: hintOf(field), error: errors[at] };
  const text = form[at] ?? "";
  switch (field.kind) {
    case "rows":
      return <Rows field={field} {...shown} />;
    case "choice":
      return <SelectField {...common} value={text || (field.options[0]?.[0] ?? "")} onText={(next) => put(at, next)} options={field.options.map(([value, said]) => [value, said])} />;
    case "yes":
      return (
        <ChoiceField label={field.label} hint={field.hint}>
          <Choice kind="checkbox" checked={text === "yes"} onPick={(on) => put(at, on ? "yes" : "")}>
            Yes
          </Choice>
        </ChoiceField>
      );
    case "amount":
    case "list":
      return <Amount field={field} at={at} {...shown} />;
    default:
      return <TextField {...common} label={labelWithUnit(field)} value={text} max={200} numeric={field.kind === "number"} onText={(next) => put(at, next)} />;
  }
}

function labelWithUnit(field: Field): string {
  return field.kind === "number" && field.unit ? `${field.label}, ${field.unit}` : field.label;
}

/** The number with its unit beside it; a kind with one unit only says it in the label. */
function Amount({ field, at, form, errors, imperial, put }: Shown & { field: Extract<Field, { kind: "amount" | "list" }>; at: string }) {
  const id = useId();
  const units = field.of === null ? [field.unit] : unitsFor(field.of, field.unit, imperial);
  const [only = ""] = units;
  const [hint, error] = [hintOf(field), errors[at]];
  return (
    <div class="field">
      <label for={id}>{units.length === 1 && only !== "" ? `${field.label}, ${only === "deg" ? "°" : only}` : field.label}</label>
      <div class={units.length === 1 ? "" : "amount-line"}>
        <input
          id={id} type="text" inputMode="text" autocomplete="off" maxLength={200} enterKeyHint="done" value={form[at] ?? ""}
          aria-invalid={error ? true : undefined} aria-describedby={describedBy(id, hint, error)} onInput={(event) => put(at, event.currentTarget.value)}
        />
        {units.length > 1 && (
          <select aria-label={words.unit(field.label)} value={form[unitKey(at)] ?? only} onChange={(event) => put(unitKey(at), event.currentTarget.value)}>
            {units.map((unit) => (
              <option key={unit} value={unit}>
                {unit}
              </option>
            ))}
          </select>
        )}
      </div>
      <Notes id={id} hint={hint} error={error} />
    </div>
  );
}

function Rows({ field, form, put, ...shown }: Shown & { field: Extract<Field, { kind: "rows" }> }) {
  const count = rowCount(field, form);
  const takeAway = (gone: number) => {
    for (const { key } of field.columns) {
      for (let n = gone; n < count; n += 1) {
        for (const at of [(row: number) => rowKey(field.key, row, key), (row: number) => unitKey(rowKey(field.key, row, key))]) put(at(n), n === count - 1 ? "" : (form[at(n + 1)] ?? ""));
      }
    }
    put(countKey(field.key), String(count - 1));
  };
  return (
    <fieldset class="field">
      <legend>{field.label}</legend>
      {field.hint && <p class="small soft">{sentence(field.hint)}.</p>}
      <div class="row-list">
        {Array.from({ length: count }, (_, n) => (
          <div key={n} class="row-fields" role="group" aria-label={words.rowTitle(field.row, n + 1)}>
            <p class="answer-about">{words.rowTitle(field.row, n + 1)}</p>
            {field.columns.map((column) => (
              <OneField key={column.key} field={column} at={rowKey(field.key, n, column.key)} form={form} put={put} {...shown} />
            ))}
            {count > field.least && (
              <button type="button" class="press" onClick={() => takeAway(n)}>
                {words.remove(field.row, n + 1)}
              </button>
            )}
          </div>
        ))}
        {count < field.most && (
          <button type="button" class="press" onClick={() => put(countKey(field.key), String(count + 1))}>
            {words.add(field.row)}
          </button>
        )}
      </div>
    </fieldset>
  );
}
