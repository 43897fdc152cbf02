/** A fork leg fully in with the spring out: the air above the oil, now and as wanted. */
import { drawnWords as words } from "../text/numbers-words";

type Props = { gapMm: number; wantedMm: number; amount: string; add: boolean };

export function ForkLeg({ gapMm, wantedMm, amount, add }: Props) {
  const far = Math.max(gapMm, wantedMm, 1) * 1.5;
  const y = (mm: number) => 16 + (150 * mm) / far;
  const [now, wanted] = [y(gapMm), y(wantedMm)];
  return (
    <svg class="drawing mix" viewBox="0 0 328 190" role="img" aria-label={words.fork(gapMm, wantedMm, amount, add)}>
      <path class="kept" d={`M40 ${Math.max(now, wanted)}h56V176h-56z`} />
      <path class="fresh" d={`M40 ${Math.min(now, wanted)}h56v${Math.abs(now - wanted)}h-56z`} />
      <path d="M38 16V178h60V16M30 16h76" />
      <path class="dimension" d={`M112 16h14M112 ${now}h14M119 16V${now}`} />
      <text x="132" y={apart(now, wanted) + 5}>
        {words.gapNow(gapMm)}
      </text>
      <text x="132" y={apart(wanted, now) + 5} class="reading">
        {words.gapWanted(wantedMm)}
      </text>
      <text x="132" y="172">
        {add ? "+" : "−"}
        {amount}
      </text>
    </svg>
  );
}

/** Names of two levels that lie close to one another are drawn apart. */
const apart = (at: number, other: number): number => (Math.abs(at - other) > 20 ? at : at < other || (at === other && at > 0) ? at - 8 : at + 14);
