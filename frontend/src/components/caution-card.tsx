/** One caution in the form of ANSI Z535.6: signal word, hazard, consequence, avoidance. It stands before the act it concerns. */
import { CautionShape } from "../drawings/caution-shape";
import type { Caution } from "../store/bench";

const RANK = { DANGER: 0, WARNING: 1, CAUTION: 2, NOTICE: 3 } as const;

export const worstFirst = (cautions: Caution[]): Caution[] => [...cautions].sort((a, b) => RANK[a.signal] - RANK[b.signal]);

/** What a caution says; the cautions of our own screens stand in no pack. */
export type CautionText = Pick<Caution, "signal" | "hazard" | "consequence" | "avoidance">;

export function CautionCard({ caution }: { caution: CautionText }) {
  return (
    <section class={`caution ${caution.signal.toLowerCase()}`} aria-label={`${caution.signal}: ${caution.hazard || caution.avoidance}`}>
      <p class="caution-band">
        <CautionShape signal={caution.signal} />
        {caution.signal}
      </p>
      <p class="caution-words">
        {caution.hazard} {caution.consequence} <span class="avoid">{caution.avoidance}</span>
      </p>
    </section>
  );
}
