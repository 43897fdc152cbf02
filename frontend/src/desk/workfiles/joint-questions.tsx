// Joint by joint, the two questions whose answers make plans possible: what must be off before it can be undone, and what must still be open
// when it is made. Both name what stands in the way of the joint; a technician who forgets a thing at the first finds it at the second.
import { useSignal } from "@preact/signals";
import type { Editing } from "./editing";
import { nameIn, type Thing, type Things } from "./things";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Value } from "./yaml-text";
import { waysAt, WaysField } from "./ways-field";

export function JointQuestions({ editing, things, order }: { editing: Editing; things: Things; order: readonly string[] }) {
  const joints = things["joints"] ?? [];
  const unasked = joints.filter(({ entry }) => !("reach" in entry));
  const chosen = useSignal(unasked[0]?.id ?? joints[0]?.id ?? "");
  const joint = joints.find(({ id }) => id === chosen.value);
  if (!joint) return <p>There is no joint yet. Add the joints first; then each is asked about.</p>;
  const next = () => {
    const at = joints.indexOf(joint);
    const later = [...joints.slice(at + 1), ...joints.slice(0, at)].find(({ entry }) => !("reach" in entry));
    chosen.value = later?.id ?? joints[(at + 1) % joints.length]!.id;
  };
  return (
    <section class="card joint-questions">
      <p class="quiet">
        {joints.length - unasked.length} of {joints.length} joints are answered.
      </p>
      <label>
        Joint
        <select value={joint.id} onChange={(e) => (chosen.value = e.currentTarget.value)}>
          {joints.map(({ id, name, entry }) => (
            <option key={id} value={id}>
              {"reach" in entry ? "✓ " : ""}
              {name}
            </option>
          ))}
        </select>
      </label>
      <Asked key={joint.id} editing={editing} things={things} joint={joint} order={order} next={next} />
    </section>
  );
}

type AskedProps = { editing: Editing; things: Things; joint: Thing; order: readonly string[]; next: () => void };

function Asked({ editing, things, joint, order, next }: AskedProps) {
  const place = ["joints", joint.id, "reach"];
  const ways = waysAt(editing, place);
  const joins = (valueAt(editing.readable.value.data, ["joints", joint.id, "joins"]) as Value[] | undefined) ?? [];
  const way = Array.isArray(ways[0]) ? (ways[0] as string[]) : [];
  const toggle = (literal: string, on: boolean) => {
    const kept = on ? [...way, literal] : way.filter((one) => one !== literal);
    tryEdit(editing, (text) => setValue(text, place, kept.length > 0 ? [kept] : [], order));
  };
  const nothing = () => {
    if (ways.length === 0) tryEdit(editing, (text) => setValue(text, place, [], order));
    next();
  };
  const parts = (things["parts"] ?? []).filter(({ id }) => !joins.includes(id));
  const others = (things["joints"] ?? []).filter(({ id }) => id !== joint.id);
  if (ways.length > 1)
    return (
      <>
        <WaysField editing={editing} place={place} order={order} label={`What must be off before you can undo the ${joint.name}?`} things={things} />
        <button class="press" onClick={next}>
          Next joint
        </button>
      </>
    );
  return (
    <>
      <Ticks question={`What must be off before you can undo the ${joint.name}?`} things={parts} word="out" way={way} toggle={toggle} />
      <Ticks question={`What must still be open when you fit the ${joint.name}?`} things={others} word="undone" way={way} toggle={toggle} />
      {way.some((literal) => !/^(out|undone) /.test(literal)) && (
        <p class="quiet">Also asked for: {way.filter((literal) => !/^(out|undone) /.test(literal)).map((literal) => literal.replace(/ (\w+)$/, (_, id: string) => ` ${nameIn(things, id)}`)).join(", ")}</p>
      )}
      <button class="press" onClick={nothing}>
        {way.length === 0 ? "Nothing stands in the way. Next joint" : "That is all. Next joint"}
      </button>
    </>
  );
}

function Ticks({ question, things, word, way, toggle }: { question: string; things: Thing[]; word: string; way: string[]; toggle: (literal: string, on: boolean) => void }) {
  const sought = useSignal("");
  const ticked = (id: string) => way.includes(`${word} ${id}`);
  const shown = things.filter(({ id, name }) => ticked(id) || name.toLowerCase().includes(sought.value.toLowerCase()));
  return (
    <fieldset>
      <legend>{question}</legend>
      {things.length > 12 && (
        <label>
          Search by name
          <input value={sought.value} onInput={(e) => (sought.value = e.currentTarget.value)} />
        </label>
      )}
      <div class="ticks">
        {shown.slice(0, 60).map(({ id, name }) => (
          <label class="tick-line" key={id}>
            <input type="checkbox" checked={ticked(id)} onChange={(e) => toggle(`${word} ${id}`, e.currentTarget.checked)} />
            {name}
          </label>
        ))}
        {shown.length > 60 && <p class="quiet">and {shown.length - 60} more: search by name</p>}
        {things.length === 0 && <p class="quiet">There is nothing else on the map yet.</p>}
      </div>
    </fieldset>
  );
}
