// Conditions with alternatives: all of these, or all of those.
import { objectsOf, STATES, writeAct, type ActKind } from "./acts";
import type { Editing } from "./editing";
import { ActList } from "./fields";
import type { Things } from "./things";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Place, type Value } from "./yaml-text";

type Props = { editing: Editing; place: Place; order: readonly string[]; label: string; things: Things; kinds?: ActKind[] };

export const waysAt = (editing: Editing, place: Place): Value[] => {
  const value = valueAt(editing.readable.value.data, place);
  return Array.isArray(value) ? value : [];
};

export function WaysField({ editing, place, order, label, things, kinds = STATES }: Props) {
  const ways = waysAt(editing, place);
  const off = place.at(-1) === "reach" || place.at(-1) === "exit";
  const kind = kinds.find((one) => objectsOf(one, things).length > 0) ?? kinds[0]!;
  const first = writeAct({ kind, object: objectsOf(kind, things)[0]?.id ?? "part", extra: "" });
  const put = (next: Value[]) => tryEdit(editing, (text) => setValue(text, place, next.length > 0 ? next : null, order), place.join("/"));
  return (
    <fieldset class="ways">
      <legend>{label}</legend>
      {ways.length === 0 && <p class="quiet">{off ? "Nothing: it can be reached as it is." : "Nothing."}</p>}
      {ways.map((_, n) => (
        <div key={n}>
          {n > 0 && <p class="or">or</p>}
          <ActList editing={editing} place={[...place, n]} order={[]} label={ways.length > 1 ? `Way ${n + 1}: all of these` : "All of these"} kinds={kinds} things={things} most={12} empty={[]} />
          <button onClick={() => put(ways.filter((_one, m) => m !== n))}>Take this way out</button>
        </div>
      ))}
      <button onClick={() => put([...ways, [first]])}>{ways.length > 0 ? "Or another way" : off ? "Something must be off first" : "Something must be true"}</button>
    </fieldset>
  );
}
