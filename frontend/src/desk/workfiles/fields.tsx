// Fields that show one place of a workfile's text and put back what is typed there. Knows places; nothing of steps or maps.
import { useSignal } from "@preact/signals";
import { useEffect, useId, useRef } from "preact/hooks";
import type { Editing } from "./editing";
import { objectsOf, readAct, writeAct, type Act, type ActKind } from "./acts";
import { listed, nameIn, type Things } from "./things";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Place, type Value } from "./yaml-text";
import { onOneLine } from "./yaml-words";

const LONG_TEXT = 150_000;
const LONG_TEXT_WAIT_MS = 400;

type At = { editing: Editing; place: Place; order: readonly string[] };

const put = ({ editing, place, order }: At, value: Value | null): void =>
  void tryEdit(editing, (text) => setValue(text, place, value, order), place.join("/"));

const shownAt = ({ editing, place }: At, quietly = false): string => {
  const value = valueAt((quietly ? editing.readable.peek() : editing.readable.value).data, place);
  return value === undefined ? "" : typeof value === "string" ? value : onOneLine(value);
};

/** Words at a place. Emptied, the key goes; `must`: it stays, empty. */
export function TextField({ label, rows, must, hint, ...at }: At & { label: string; rows?: number; must?: boolean; hint?: string }) {
  const there = shownAt(at);
  const typed = useSignal(there);
  const id = useId();
  const timer = useRef(0);
  useEffect(() => {
    // an effect comes late: by now more may have been typed, so what counts is what stands in the text at this moment
    const now = shownAt(at, true);
    if (timer.current === 0 && now !== tidy(typed.peek())) typed.value = now;
  }, [there]);
  const keep = () => {
    clearTimeout(timer.current);
    timer.current = 0;
    const kept = tidy(typed.peek());
    if (kept !== shownAt(at)) put(at, kept === "" && !must ? null : kept);
  };
  const latest = useRef(keep);
  latest.current = keep;
  useEffect(() => () => void (timer.current && latest.current()), []);
  const type = (words: string) => {
    typed.value = words;
    if (at.editing.text.peek().length < LONG_TEXT) return keep();
    // a text of several thousand things takes longer to read again than the next letter takes to come
    clearTimeout(timer.current);
    timer.current = window.setTimeout(() => latest.current(), LONG_TEXT_WAIT_MS);
  };
  const describe = hint ? { "aria-describedby": `${id}-hint` } : {};
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {rows ? (
        <textarea id={id} rows={rows} value={typed.value} onInput={(e) => type(e.currentTarget.value)} onBlur={() => timer.current && keep()} {...describe} />
      ) : (
        <input id={id} value={typed.value} autocomplete="off" onInput={(e) => type(e.currentTarget.value)} onBlur={() => timer.current && keep()} {...describe} />
      )}
      {hint && (
        <p id={`${id}-hint`} class="quiet">
          {hint}
        </p>
      )}
    </div>
  );
}

const tidy = (words: string): string => words.replace(/\s+/g, " ").trim();

export function ChoiceField({ label, choices, none, ...at }: At & { label: string; choices: [string, string][]; none?: string }) {
  const there = shownAt(at);
  const known = choices.some(([value]) => value === there);
  return (
    <label>
      {label}
      <select value={there} onChange={(e) => put(at, e.currentTarget.value || null)}>
        {none !== undefined && <option value="">{none}</option>}
        {!known && there !== "" && <option value={there}>{there} (not known)</option>}
        {choices.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

export function TickField({ label, ...at }: At & { label: string }) {
  return (
    <label class="tick-line">
      <input type="checkbox" checked={shownAt(at) === "true"} onChange={(e) => put(at, e.currentTarget.checked ? "true" : null)} />
      {label}
    </label>
  );
}

/** A list that adds at once what is chosen must not take every line that the arrows pass: by keyboard it opens first. */
export function openFirst(event: KeyboardEvent): void {
  const walks = /^(Arrow(Up|Down)|Home|End|Page(Up|Down))$/.test(event.key) || (event.key.length === 1 && event.key !== " ");
  if (!walks || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  (event.currentTarget as HTMLSelectElement).showPicker();
}

/** A list of ids by name, one added by choosing. `one`: a single one is written without a list. */
export function IdList({ label, tables, things, empty, one, ...at }: At & { label: string; tables: string[]; things: Things; empty?: string; one?: boolean }) {
  const value = valueAt(at.editing.readable.value.data, at.place);
  const ids = value === undefined || value === "none" || value === "" ? [] : Array.isArray(value) ? value.map((item) => onOneLine(item)) : [onOneLine(value)];
  const put2 = (next: string[]) => put(at, next.length === 0 ? (empty ?? null) : one && next.length === 1 ? next[0]! : next);
  const free = listed(things, tables).filter(({ id }) => !ids.includes(id));
  return (
    <fieldset class="id-list">
      <legend>{label}</legend>
      {ids.length > 0 && (
        <ul>
          {ids.map((id, n) => (
            <li key={`${id} ${n}`}>
              <span>{nameIn(things, id)}</span>
              <button aria-label={`Take out: ${nameIn(things, id)}`} onClick={() => put2(ids.filter((_, m) => m !== n))}>
                Take out
              </button>
            </li>
          ))}
        </ul>
      )}
      <select aria-label={`Add to: ${label}`} value="" onKeyDown={openFirst} onChange={(e) => e.currentTarget.value && put2([...ids, e.currentTarget.value])}>
        <option value="">{ids.length === 0 ? "None. Add …" : "Add …"}</option>
        {free.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </fieldset>
  );
}

/** Chooses an action or condition: its word, what it is about, and what else it needs. */
export function ActChoice({ act, kinds, things, label, choose, anyObject }: { act: Act; kinds: ActKind[]; things: Things; label: string; choose: (act: Act) => void; anyObject?: boolean }) {
  const { kind, object, extra } = act;
  const objects = objectsOf(kind, things);
  const values = kind.extra === "value" ? (things["settings"]?.find(({ id }) => id === object)?.entry["values"] as string[] | undefined) : undefined;
  const targets = kind.extra === "target" ? listed(things, ["parts", "joints"]) : [];
  const other = (next: ActKind) => {
    const kept = objectsOf(next, things).find(({ id }) => id === object);
    choose({ kind: next, object: kept?.id ?? objectsOf(next, things)[0]?.id ?? "", extra: next.extra === "value" ? "" : "" });
  };
  return (
    <div class="act-choice">
      <select aria-label={`${label}: what is done`} value={kind.word} onChange={(e) => other(kinds.find(({ word }) => word === e.currentTarget.value)!)}>
        {kinds.map(({ word, words }) => (
          <option key={word} value={word}>
            {words}
          </option>
        ))}
      </select>
      {kind.tables.length > 0 && (
        <select aria-label={`${label}: to what`} value={object} onChange={(e) => choose({ ...act, object: e.currentTarget.value })}>
          {anyObject && <option value="">every one of them</option>}
          {!objects.some(({ id }) => id === object) && !(anyObject && object === "") && <option value={object}>{object ? `${object} (not on the map)` : "Choose …"}</option>}
          {objects.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      )}
      {values && (
        <select aria-label={`${label}: value`} value={extra} onChange={(e) => choose({ ...act, extra: e.currentTarget.value })}>
          {!values.includes(extra) && <option value={extra}>{extra || "Choose …"}</option>}
          {values.map((value) => (
            <option key={value}>{value}</option>
          ))}
        </select>
      )}
      {kind.extra === "target" && (
        <select aria-label={`${label}: on what`} value={extra} onChange={(e) => choose({ ...act, extra: e.currentTarget.value })}>
          {!targets.some(({ id }) => id === extra) && <option value={extra}>{extra || "Choose …"}</option>}
          {targets.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      )}
      {kind.extra && !["value", "target"].includes(kind.extra) && (
        <ExtraInput label={`${label}: ${EXTRA_WORDS[kind.extra] ?? kind.extra}`} hint={EXTRA_WORDS[kind.extra] ?? ""} extra={extra} type={(words) => choose({ ...act, extra: words })} />
      )}
    </div>
  );
}

/** What else an action needs, typed. While it has the focus it keeps what is typed, spaces at the end too. */
function ExtraInput({ label, hint, extra, type }: { label: string; hint: string; extra: string; type: (words: string) => void }) {
  const typed = useSignal(extra);
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (document.activeElement !== field.current) typed.value = extra;
  }, [extra]);
  const take = (words: string) => {
    typed.value = words;
    type(words);
  };
  return <input ref={field} aria-label={label} placeholder={hint} value={typed.value} onInput={(e) => take(e.currentTarget.value)} onBlur={() => (typed.value = extra)} />;
}

const EXTRA_WORDS: Record<string, string> = { stage: "stage, when it has several", amount: "amount, such as 900 ml", minutes: "time, such as 10 min", words: "of what" };

/** A list of actions or conditions. `most`: how many a place takes. */
export function ActList({
  label,
  kinds,
  things,
  most,
  empty,
  one,
  anyObject,
  ...at
}: At & { label: string; kinds: ActKind[]; things: Things; most: number; empty?: Value; one?: boolean; anyObject?: boolean }) {
  const value = valueAt(at.editing.readable.value.data, at.place);
  const texts = value === undefined || value === "" || value === "none" ? [] : Array.isArray(value) ? value.map((item) => onOneLine(item)) : [onOneLine(value)];
  const putAll = (next: string[]) => put(at, next.length === 0 ? (empty ?? null) : one && next.length === 1 ? next[0]! : next);
  const first = kinds.find((kind) => objectsOf(kind, things).length > 0) ?? kinds.at(-1)!;
  return (
    <fieldset class="act-list">
      <legend>{label}</legend>
      {texts.map((text, n) => {
        const act = readAct(text, kinds);
        return (
          <div class="act-row" key={n}>
            {act ? (
              <ActChoice act={act} kinds={kinds} things={things} label={`${label} ${n + 1}`} {...(anyObject ? { anyObject } : {})} choose={(next) => putAll(texts.map((one2, m) => (m === n ? writeAct(next) : one2)))} />
            ) : (
              <input aria-label={`${label} ${n + 1}`} value={text} onInput={(e) => putAll(texts.map((one2, m) => (m === n ? e.currentTarget.value : one2)))} />
            )}
            <button aria-label={`Take out: ${label} ${n + 1}`} onClick={() => putAll(texts.filter((_, m) => m !== n))}>
              Take out
            </button>
          </div>
        );
      })}
      {texts.length < most && (
        <button onClick={() => putAll([...texts, writeAct({ kind: first, object: objectsOf(first, things)[0]?.id ?? "", extra: "" })])}>
          {texts.length === 0 ? "Add one" : "Add another"}
        </button>
      )}
    </fieldset>
  );
}

