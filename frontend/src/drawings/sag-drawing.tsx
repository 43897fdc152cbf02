/** Three lengths between the same two marks: wheel hanging, machine alone, rider on. Sag is what is missing of the first. */
import { numberText } from "../domain/rounding";
import { drawnWords as words } from "../text/numbers-words";

type Props = { freeMm: number; ownMm: number; riderMm: number | null };

const TOP = 34;
const TALL = 130;

export function SagDrawing({ freeMm, ownMm, riderMm }: Props) {
  const lengths = [freeMm, ownMm, ...(riderMm === null ? [] : [riderMm])];
  // the part that all lengths share is cut short, so that a few millimetres of sag are seen
  const least = Math.min(...lengths);
  const base = Math.max(0, least - 1.5 * (freeMm - least || freeMm));
  const tall = (mm: number) => (TALL * (mm - base)) / (freeMm - base || 1);
  return (
    <svg class="drawing sag" viewBox="0 0 328 220" role="img" aria-label={words.sag(freeMm, ownMm, riderMm)}>
      {lengths.map((mm, n) => {
        const x = 56 + n * 108;
        const foot = TOP + TALL;
        const head = foot - tall(mm);
        return (
          <g key={n}>
            {n > 0 && <path class="missing" d={`M${x - 20} ${TOP}h40v${head - TOP}h-40z`} />}
            <path class="strut" d={`M${x - 14} ${head}h28v${foot - head}h-28z`} />
            {base > 0 && <path class="cut" d={`M${x - 20} ${foot - 14}l40 -8`} />}
            <text x={x} y={foot + 20} text-anchor="middle">
              {numberText(mm)} mm
            </text>
            <text x={x} y={foot + 38} text-anchor="middle">
              {words.loads[n]}
            </text>
            {n > 0 && (
              <text x={x} y={TOP - 12} text-anchor="middle" class="reading">
                −{numberText(freeMm - mm)}
              </text>
            )}
          </g>
        );
      })}
    </svg>
  );
}
