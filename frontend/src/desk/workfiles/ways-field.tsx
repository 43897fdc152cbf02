// Conditions with alternatives: all of these, or all of those.
import { STATES, type ActKind } from "./acts";
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
  const put = (next: Value[]) => tryEdit(editing, (text) => setValue(text, place, next.length > 0 ? next : null, order), place.join("/"));
  return (
    <fieldset class="ways">
      <legend>{label}</legend>
      {ways.length === 0 && <p class="quiet">Nothing: it can be reached as it is.</p>}
      {ways.map((_, n) => (
        <div key={n}>
          {n > 0 && <p class="or">or</p>}
          <ActList editing={editing} place={[...place, n]} order={[]} label={ways.length > 1 ? `Way ${n + 1}: all of these` : "All of these"} kinds={kinds} things={things} most={12} empty={[]} />
          <button onClick={() => put(ways.filter((_one, m) => m !== n))}>Take this way out</button>
        </div>
      ))}
      <button onClick={() => put([...ways, [`out ${things["parts"]?.[0]?.id ?? "part"}`]])}>{ways.length === 0 ? "Something must be off first" : "Or another way"}</button>
    </fieldset>
  );
}
