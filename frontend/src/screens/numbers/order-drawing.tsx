/** The holes with their turns, the passes one after the other, and ticks hole by hole. The ticks live as long as the answer stands. */
import { useSignal } from "@preact/signals";
import type { Pass } from "../../domain/tightening-order";
import { BoltPattern } from "../../drawings/bolt-pattern";
import type { Joint } from "../../store/bench";
import { numbersWords as words } from "../../text/numbers-words";
import { amount } from "./amounts";

type Props = { positions: { at: [number, number]; length_mm: number | null; label: null }[]; order: number[]; passes: Pass[] };

export function OrderDrawing({ positions, passes }: Props) {
  const pass = useSignal(0);
  const done = useSignal<number[]>([]);
  const now = passes[pass.value];
  const joint = { name: "Cover", positions } as unknown as Joint;
  const next = now?.order[done.value.length] ?? null;
  const last = pass.value >= passes.length - 1;
  const goOn = () => {
    pass.value += 1;
    done.value = [];
  };
  return (
    <>
      <BoltPattern joint={joint} order={now ? [...now.order] : null} ticked={done.value} next={next} />
      <ol class="passes">
        {passes.map(({ kind, share, torque_nm }, n) => (
          <li key={n} aria-current={n === pass.value ? "step" : undefined}>
            {n === pass.value ? <strong>{passText(kind, share, torque_nm, n)}</strong> : passText(kind, share, torque_nm, n)}
          </li>
        ))}
      </ol>
      <p role="status">{now ? words.ticked(done.value.length, now.order.length) : ""}{next === null && last ? ` ${words.passDone}` : ""}</p>
      <div class="presses">
        {done.value.length > 0 && (
          <button type="button" class="press" onClick={() => (done.value = done.value.slice(0, -1))}>
            {words.tickBack}
          </button>
        )}
        {next !== null && (
          <button type="button" class="press main" onClick={() => (done.value = [...done.value, next])}>
            {words.tick(next)}
          </button>
        )}
        {next === null && !last && (
          <button type="button" class="press main" onClick={goOn}>
            {words.nextPass}
          </button>
        )}
      </div>
    </>
  );
}

const passText = (kind: Pass["kind"], share: number, torqueNm: number, n: number): string =>
  kind === "closing" ? `Then once around at ${amount(torqueNm, "N·m")}, until none moves` : `Pass ${n + 1}: ${amount(torqueNm, "N·m")} (${share} %)`;
