/** The picture of a job: what comes off, in layers; during the job it follows the ledger and the tray. */
import { useMemo } from "preact/hooks";
import { forVariant, startState, type BenchState } from "../../domain/bench-state";
import { variantOf } from "../../domain/variant";
import { ComesOffDrawing, type DrawnBlock } from "../../drawings/comes-off-drawing";
import type { Machine, ProcedurePack } from "../../store/bench";
import { comesOffWords as words } from "../../text/beside-words";
import { blocksOf, stateOf } from "./comes-off";

/** `pack` is already that of the variant. */
export function ComesOff({ pack, state, folded = false }: { pack: ProcedurePack; state: BenchState; folded?: boolean }) {
  const blocks = useMemo(() => blocksOf(pack), [pack]);
  const drawn = blocks.map((block, at): DrawnBlock => {
    const joints = block.kind === "joint" || block.joints.length === 0 ? [] : [words.joints(block.joints.length)];
    const inside = block.inside.length > 0 ? [words.asOne(block.inside.length)] : [];
    const { kind: as, name, layer } = block;
    return { number: at + 1, name, as, more: [...inside, ...joints], state: stateOf(pack, state, block), layer, restsOn: block.restsOn.map((n) => n + 1) };
  });
  if (drawn.length === 0) return null;
  const count = (...states: string[]) => drawn.filter(({ state: how }) => states.includes(how)).length;
  const [off, back] = [count("off", "aside", "drained", "loose", "unchecked"), count("back")];
  const told = off + back === 0 ? words.before(drawn.length) : words.during(off, back, drawn.length);
  const drawing = <ComesOffDrawing name={words.title} blocks={drawn} />;
  return (
    <section class="card comes-off">
      <h2>{words.title}</h2>
      {folded ? (
        <details>
          <summary>{told}</summary>
          {drawing}
        </details>
      ) : (
        <>
          <p class="small">{told}</p>
          {drawing}
        </>
      )}
    </section>
  );
}

/** Before the job: everything still on. */
export function ComesOffBefore({ pack, machine }: { pack: ProcedurePack; machine: Machine | null }) {
  const whole = useMemo(() => forVariant(pack, variantOf(machine)), [pack, machine]);
  return <ComesOff pack={whole} state={startState(whole)} folded />;
}
