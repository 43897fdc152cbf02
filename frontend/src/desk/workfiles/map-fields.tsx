// Fields of a map that are more than a word: what goes on a thread and how long it takes, stages of tightening, lists of words, intervals.
// Each writes the short form of its value where that says the same.
import { useId } from "preact/hooks";
import type { Editing } from "./editing";
import { listed, type Things } from "./things";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Place, type Value } from "./yaml-text";

type At = { editing: Editing; place: Place; order: readonly string[] };
type Table = { [key: string]: Value };

const put = ({ editing, place, order }: At, value: Value | null): void => void tryEdit(editing, (text) => setValue(text, place, value, order), place.join("/"));
const valueOf = ({ editing, place }: At): Value | undefined => valueAt(editing.readable.value.data, place);
const tableOf = (value: Value | undefined): Table => (value && typeof value === "object" && !Array.isArray(value) ? value : {});
const without = (table: Table): Table => Object.fromEntries(Object.entries(table).filter(([, value]) => value !== ""));

/** Words one after another, parted by commas. */
export function WordsField({ label, hint, ...at }: At & { label: string; hint?: string }) {
  const id = useId();
  const value = valueOf(at);
  const words = Array.isArray(value) ? value.map(String) : typeof value === "string" && value ? [value] : [];
  const keep = (typed: string) => {
    const next = typed.split(",").map((word) => word.replace(/\s+/g, " ").trim()).filter(Boolean);
    put(at, next.length > 0 ? next : null);
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input id={id} value={words.join(", ")} autocomplete="off" onChange={(e) => keep(e.currentTarget.value)} {...(hint ? { "aria-describedby": `${id}-hint` } : {})} />
      {hint && (
        <p id={`${id}-hint`} class="quiet">
          {hint}
        </p>
      )}
    </div>
  );
}

function Amount({ label, value, least, most, keep }: { label: string; value: Value | undefined; least: number; most: number; keep: (typed: string) => void }) {
  return (
    <label>
      {label}
      <input type="number" min={least} max={most} step="any" value={String(value ?? "")} onChange={(e) => keep(e.currentTarget.value)} />
    </label>
  );
}

export const TREATMENTS: [string, string][] = [["dry", "dry"], ["oil", "oil"], ["grease", "grease"], ["locker", "thread locker"], ["sealant", "sealant"]];
const TREATMENT_ORDER = ["kind", "supply", "due", "open_min", "cure_min"];

/** What goes on a thread or a part: a word, or with its supply and times. */
export function TreatmentField({ label, things, part, ...at }: At & { label: string; things: Things; part: boolean }) {
  const value = valueOf(at);
  const table = typeof value === "string" ? { kind: value } : tableOf(value);
  const kind = String(table["kind"] ?? "");
  const set = (key: string, typed: string) => {
    const next = without({ ...table, [key]: typed });
    const sorted = Object.fromEntries(Object.entries(next).sort(([a], [b]) => TREATMENT_ORDER.indexOf(a) - TREATMENT_ORDER.indexOf(b)));
    if (!next["kind"] || next["kind"] === "none") put(at, null);
    else put(at, Object.keys(next).length === 1 ? next["kind"] : sorted);
  };
  return (
    <fieldset class="whole-row">
      <legend>{label}</legend>
      <div class="in-line">
        <label>
          {part ? "What goes on it" : "On the thread"}
          <select value={kind === "none" ? "" : kind} onChange={(e) => set("kind", e.currentTarget.value)}>
            <option value="">nothing said</option>
            {TREATMENTS.map(([word, words]) => (
              <option key={word} value={word}>
                {words}
              </option>
            ))}
          </select>
        </label>
        {kind && !["none", "dry"].includes(kind) && (
          <>
            <label>
              Which supply
              <select value={String(table["supply"] ?? "")} onChange={(e) => set("supply", e.currentTarget.value)}>
                <option value="">not said</option>
                {listed(things, ["supplies"]).map(({ id, name }) => (
                  <option key={id} value={id}>
                    {name}
                  </option>
                ))}
              </select>
            </label>
            {part && (
              <label>
                When
                <select value={String(table["due"] ?? "")} onChange={(e) => set("due", e.currentTarget.value)}>
                  <option value="">before it goes on</option>
                  <option value="end">at the latest at the end</option>
                </select>
              </label>
            )}
            <Amount label="May lie open, minutes" value={table["open_min"]} least={0.1} most={10000} keep={(typed) => set("open_min", typed)} />
            <Amount label="Must rest, minutes" value={table["cure_min"]} least={0.1} most={10000} keep={(typed) => set("cure_min", typed)} />
          </>
        )}
      </div>
    </fieldset>
  );
}

const STAGE_KINDS: [string, string][] = [["share", "per cent of the figure"], ["figure", "a figure of its own"], ["angle_deg", "degrees further"]];

/** Stages of tightening, one after another; without any, once to the figure. */
export function StagesField({ label, things, ...at }: At & { label: string; things: Things }) {
  const value = valueOf(at);
  const stages = (Array.isArray(value) ? value : []).map((stage) => tableOf(stage));
  const putAll = (next: Table[]) => put(at, next.length > 0 ? next : null);
  const set = (n: number, stage: Table) => putAll(stages.map((one, m) => (m === n ? without(stage) : one)));
  return (
    <fieldset class="whole-row">
      <legend>{label}</legend>
      {stages.length === 0 && <p class="quiet">Once, to the figure.</p>}
      {stages.map((stage, n) => {
        const kind = STAGE_KINDS.find(([key]) => key in stage)?.[0] ?? "share";
        const pose = stage["pose"] ? { pose: stage["pose"] } : {};
        return (
          <div class="in-line" key={n} role="group" aria-label={`Stage ${n + 1}`}>
            <label>
              Stage {n + 1} goes to
              <select value={kind} onChange={(e) => set(n, { [e.currentTarget.value]: e.currentTarget.value === "figure" ? (things["figures"]?.[0]?.id ?? "") : e.currentTarget.value === "share" ? "100" : "90", ...pose })}>
                {STAGE_KINDS.map(([key, words]) => (
                  <option key={key} value={key}>
                    {words}
                  </option>
                ))}
              </select>
            </label>
            {kind === "figure" ? (
              <label>
                Figure
                <select value={String(stage["figure"] ?? "")} onChange={(e) => set(n, { figure: e.currentTarget.value, ...pose })}>
                  {listed(things, ["figures"]).map(({ id, name }) => (
                    <option key={id} value={id}>
                      {name} ({id})
                    </option>
                  ))}
                </select>
              </label>
            ) : (
              <Amount label={kind === "share" ? "Per cent" : "Degrees"} value={stage[kind]} least={1} most={kind === "share" ? 100 : 1080} keep={(typed) => typed && set(n, { [kind]: typed, ...pose })} />
            )}
            <label>
              In which pose
              <select value={String(stage["pose"] ?? "")} onChange={(e) => set(n, { ...stage, pose: e.currentTarget.value })}>
                <option value="">any</option>
                {listed(things, ["poses"]).map(({ id, name }) => (
                  <option key={id} value={id}>
                    {name}
                  </option>
                ))}
              </select>
            </label>
            <button aria-label={`Take out stage ${n + 1}`} onClick={() => putAll(stages.filter((_, m) => m !== n))}>
              Take out
            </button>
          </div>
        );
      })}
      <button onClick={() => putAll(stages.length === 0 ? [{ share: "50" }, { share: "100" }] : [...stages, { angle_deg: "90" }])}>{stages.length === 0 ? "In stages" : "Add a stage"}</button>
    </fieldset>
  );
}

const METERS: [string, string][] = [["hours", "Hours"], ["km", "Kilometres"], ["starts", "Starts"], ["days", "Days"], ["months", "Months"]];

/** The limbs of an interval, whichever is reached first. */
export function EveryField({ label, ...at }: At & { label: string }) {
  const table = tableOf(valueOf(at));
  const set = (key: string, typed: string) => {
    const next = { ...table, [key]: typed };
    put(at, Object.fromEntries(METERS.filter(([meter]) => next[meter]).map(([meter]) => [meter, next[meter]!])));
  };
  return (
    <fieldset class="whole-row">
      <legend>{label}</legend>
      <div class="in-line meters">
        {METERS.map(([meter, words]) => (
          <Amount key={meter} label={words} value={table[meter]} least={0.1} most={1_000_000} keep={(typed) => set(meter, typed)} />
        ))}
      </div>
    </fieldset>
  );
}
