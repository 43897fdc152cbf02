/** A bar on the bolt with a weight hung from it, tilted as it is: how long, how heavy, how far below level. */
import { drawnWords as words } from "../text/numbers-words";
import { hexagon } from "./adapter-drawing";

type Props = { leverMm: number; hung: string; belowLevelDeg?: number; pull?: boolean };

const LONG = 220;

export function LeverDrawing({ leverMm, hung, belowLevelDeg = 0, pull = false }: Props) {
  const turn = (Math.max(-60, Math.min(60, belowLevelDeg)) * Math.PI) / 180;
  const rise = LONG * Math.sin(turn);
  const bolt = [40, rise < 0 ? 44 - rise : 44] as const;
  const end = [bolt[0] + LONG * Math.cos(turn), bolt[1] + rise] as const;
  const low = Math.max(bolt[1], end[1]);
  const drop = pull ? 40 : 34;
  return (
    <svg class="drawing lever" viewBox={`0 0 328 ${low + (pull ? 84 : 106)}`} role="img" aria-label={words.leverLabel(leverMm, hung, belowLevelDeg, pull)}>
      <path class="bar" d={`M${bolt[0]} ${bolt[1]}L${end[0]} ${end[1]}`} />
      <path class="hexagon" d={hexagon(bolt, 15)} />
      {Math.abs(belowLevelDeg) > 0.5 && <path class="level" d={`M${bolt[0]} ${bolt[1]}h${LONG}`} />}
      <path class="string" d={`M${end[0]} ${end[1]}v${drop}`} />
      {pull ? (
        <path class="arrow" d={`M${end[0]} ${end[1] + drop + 12}l-9 -14h18z`} />
      ) : (
        <path class="weight" d={`M${end[0] - 24} ${end[1] + drop}h48l6 40h-60z`} />
      )}
      <text x={Math.min(end[0], 250)} y={end[1] + drop + (pull ? 32 : 60)} text-anchor="middle" class="reading">
        {hung}
      </text>
      <text x={(bolt[0] + end[0]) / 2} y={(bolt[1] + end[1]) / 2 + (belowLevelDeg > 0.5 ? 32 : -14)} text-anchor={belowLevelDeg > 0.5 ? "end" : "middle"}>
        {words.lever(leverMm)}
      </text>
    </svg>
  );
}
