/** Form fields with their label, hint and error tied together for eyes and screen readers. */
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

/** Puts the focus on the first field in error, once the errors are drawn. */
export function focusFirstError(): void {
  requestAnimationFrame(() =>
    document.querySelector<HTMLElement>('[aria-invalid="true"], .field-error ~ input, fieldset:has(.field-error) input')?.focus(),
  );
}

type Common = { label: string; hint?: string | undefined; error?: string | null | undefined };
type TextProps = Common & {
  value: string;
  onText: (text: string) => void;
  many?: boolean;
  numeric?: boolean;
  autocomplete?: string;
  max?: number;
};

export function TextField({ label, hint, error, value, onText, many, numeric, autocomplete = "off", max }: TextProps) {
  const id = useId();
  const attributes = {
    id,
    value,
    autocomplete,
    maxLength: max ?? 4000,
    "aria-invalid": error ? ("true" as const) : undefined,
    "aria-describedby": describedBy(id, hint, error),
    onInput: (event: { currentTarget: HTMLInputElement | HTMLTextAreaElement }) => onText(event.currentTarget.value),
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {many ? (
        <textarea {...attributes} />
      ) : (
        <input type="text" inputMode={numeric ? "decimal" : "text"} enterKeyHint="done" {...attributes} />
      )}
      <Notes id={id} hint={hint} error={error} />
    </div>
  );
}

export function ChoiceField({ label, hint, error, across, children }: Common & { across?: boolean; children: ComponentChildren }) {
  const id = useId();
  return (
    <fieldset class="field" aria-describedby={describedBy(id, hint, error)}>
      <legend>{label}</legend>
      <div class={across ? "choices across" : "choices"}>{children}</div>
      <Notes id={id} hint={hint} error={error} />
    </fieldset>
  );
}

type ChoiceProps = {
  kind: "radio" | "checkbox";
  name?: string;
  checked: boolean;
  onPick: (checked: boolean) => void;
  children: ComponentChildren;
};

export function Choice({ kind, name, checked, onPick, children }: ChoiceProps) {
  return (
    <label class="choice">
      <input type={kind} name={name} checked={checked} onChange={(event) => onPick(event.currentTarget.checked)} />
      <span class="choice-words">{children}</span>
    </label>
  );
}

export function SelectField({
  label,
  hint,
  error,
  value,
  onText,
  options,
}: Common & { value: string; onText: (text: string) => void; options: (string | [value: string, words: string])[] }) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} aria-describedby={describedBy(id, hint, error)} onChange={(event) => onText(event.currentTarget.value)}>
        {options.map((option) => {
          const [key, words] = typeof option === "string" ? [option, option || "Choose"] : option;
          return (
            <option key={key} value={key}>
              {words}
            </option>
          );
        })}
      </select>
      <Notes id={id} hint={hint} error={error} />
    </div>
  );
}

export const describedBy = (id: string, hint?: string, error?: string | null) =>
  [hint ? `${id}-hint` : "", error ? `${id}-error` : ""].filter(Boolean).join(" ") || undefined;

export function Notes({ id, hint, error }: { id: string; hint?: string | undefined; error?: string | null | undefined }) {
  return (
    <>
      {hint && (
        <p id={`${id}-hint`} class="small soft">
          {hint}
        </p>
      )}
      {error && (
        <p id={`${id}-error`} class="field-error" role="alert">
          {error}
        </p>
      )}
    </>
  );
}
