/** The holes with their turns, the passes one after the other, and ticks hole by hole. The ticks are kept on the phone like what is typed. */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Pass } from "../../domain/tightening-order";
import { BoltPattern } from "../../drawings/bolt-pattern";
import { readDraft, writeDraft, type Joint } from "../../store/bench";
import { numbersWords as words } from "../../text/numbers-words";
import { amount } from "./amounts";
import { unbroken } from "./unbroken";

type Props = { place: string; positions: { at: [number, number]; length_mm: number | null; label: null }[]; passes: Pass[] };
type Ticks = { pass: number; done: number[] };

export const ticksAt = (place: string): string => `${place}#ticks`;

/** Ticks of the same holes and passes; of any others nothing is ticked. */
function ticksOf(draft: string, of: string, passes: readonly Pass[]): Ticks | null {
  try {
    const read = JSON.parse(draft) as Ticks & { of: string };
    const order = passes[read.pass]?.order;
    return read.of === of && order && read.done.every((hole, n) => order[n] === hole) ? { pass: read.pass, done: read.done } : null;
  } catch {
    return null;
  }
}

export function OrderDrawing({ place, positions, passes }: Props) {
  const of = JSON.stringify([positions, passes]);
  const ticks = useSignal<Ticks>({ pass: 0, done: [] });
  useEffect(() => {
    void readDraft(ticksAt(place)).then((draft) => {
      const kept = ticksOf(draft, of, passes);
      if (kept && ticks.peek().pass === 0 && ticks.peek().done.length === 0) ticks.value = kept;
    });
  }, [place, of]);
  const put = (next: Ticks) => {
    ticks.value = next;
    writeDraft(ticksAt(place), JSON.stringify({ of, ...next }));
  };
  const { pass, done } = ticks.value;
  const now = passes[pass];
  const joint = { name: "Cover", positions } as unknown as Joint;
  const next = now?.order[done.length] ?? null;
  const last = pass >= passes.length - 1;
  const length = next === null ? null : (positions[next - 1]?.length_mm ?? null);
  return (
    <>
      <BoltPattern joint={joint} order={now ? [...now.order] : null} ticked={done} next={next} />
      <ol class="passes">
        {passes.map(({ kind, share, torque_nm }, n) => (
          <li key={n} aria-current={n === pass ? "step" : undefined}>
            {n === pass ? <strong>{passText(kind, share, torque_nm, n)}</strong> : passText(kind, share, torque_nm, n)}
          </li>
        ))}
      </ol>
      <p role="status">{now ? words.ticked(done.length, now.order.length) : ""}{next === null && last ? ` ${words.passDone}` : ""}</p>
      <div class="presses">
        {(done.length > 0 || pass > 0) && (
          <button type="button" class="press" onClick={() => put(before(ticks.value, passes))}>
            {words.tickBack}
          </button>
        )}
        {next !== null && (
          <button type="button" class="press main" onClick={() => put({ pass, done: [...done, next] })}>
            {words.tick(next, length === null ? "" : amount(length, "mm"))}
          </button>
        )}
        {next === null && !last && (
          <button type="button" class="press main" onClick={() => put({ pass: pass + 1, done: [] })}>
            {words.nextPass}
          </button>
        )}
      </div>
    </>
  );
}

/** One tick back; before the first of a pass, the pass before with all its ticks. */
function before({ pass, done }: Ticks, passes: readonly Pass[]): Ticks {
  return done.length > 0 ? { pass, done: done.slice(0, -1) } : { pass: pass - 1, done: [...(passes[pass - 1]?.order ?? [])] };
}

const passText = (kind: Pass["kind"], share: number, torqueNm: number, n: number): string =>
  unbroken(kind === "closing" ? `Then once around at ${amount(torqueNm, "N·m")}, until none moves` : `Pass ${n + 1}: ${amount(torqueNm, "N·m")} (${share} %)`);
