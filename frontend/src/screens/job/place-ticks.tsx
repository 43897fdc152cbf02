/** Ticking the places of a joint one by one, in their order, with one large press that always takes the next. */
import { Problem, useAttempt } from "../../components/attempt";
import { Icon } from "../../components/icon";
import { closeSheet, Sheet } from "../../components/sheet";
import { BoltPattern } from "../../drawings/bolt-pattern";
import { layoutOf } from "../../drawings/pattern-layout";
import { turnOrder } from "../../drawings/turn-order";
import { record, type Joint } from "../../store/bench";
import { patternWords as words } from "../../text/drawing-words";
import { moreWords, placeDoneInWords } from "../../text/job-words";
import { sentence } from "../../text/say";

type Props = { job: string; step: string; id: string; joint: Joint; verb: string; ticked: number[]; locked: boolean };

/** The order counts for tightening only; when undoing, each place just keeps its length. */
export const orderFor = (joint: Joint, verb: string): number[] | null => (verb === "tighten" ? turnOrder(joint) : null);

export function nextPlace(joint: Joint, verb: string, ticked: readonly number[]): number | null {
  const order = orderFor(joint, verb) ?? joint.positions.map((_, n) => n + 1);
  return order.find((position) => !ticked.includes(position)) ?? null;
}

export function PlaceTicks({ job, step, id, joint, verb, ticked, locked }: Props) {
  const attempt = useAttempt();
  const order = orderFor(joint, verb);
  const next = nextPlace(joint, verb, ticked);
  const hole = layoutOf(joint, order).holes.find(({ position }) => position === next);
  const tick = (position: number, on: boolean) =>
    attempt.run(() => record(job, "PositionTicked", { step, joint: id, position, ticked: on }));
  const last = (order ?? joint.positions.map((_, n) => n + 1)).filter((position) => ticked.includes(position)).at(-1);
  const press = !locked && next !== null && hole && (
    <button type="button" class="press main grow" disabled={attempt.busy.value} onClick={() => tick(next, true)}>
      <Icon name="done" />
      <span>
        {sentence(words.place(hole))}: {placeDoneInWords(verb)}
      </span>
    </button>
  );
  const close = next === null && (
    <button type="button" class="press main grow" onClick={closeSheet}>
      {words.allTicked}
    </button>
  );
  return (
    <Sheet title={joint.name} close={moreWords.back} act={press || close}>
      <BoltPattern joint={joint} order={order} ticked={ticked} next={next} />
      <p>
        {order ? words.ordered : words.unordered} {new Set(joint.positions.map(({ length_mm }) => length_mm)).size > 1 && words.lengths}
      </p>
      <p role="status">{words.ticked(ticked.length, joint.positions.length)}</p>
      <Problem message={attempt.problem.value} />
      {last !== undefined && !locked && (
        <button type="button" class="press" onClick={() => tick(last, false)}>
          {words.takeBack}
        </button>
      )}
    </Sheet>
  );
}
