/** The holes of a joint as they lie on its face: each with its place number, when its turn is, and its length where lengths differ. */
import type { Joint } from "../store/bench";
import { patternWords as words } from "../text/drawing-words";
import { layoutOf, WIDTH, type Hole } from "./pattern-layout";

type Props = { joint: Joint; order: number[] | null; ticked: readonly number[]; next: number | null };

export function BoltPattern({ joint, order, ticked, next }: Props) {
  const { holes, radius, height, outline } = layoutOf(joint, order);
  const lengths = new Set(holes.map((hole) => hole.lengthMm)).size > 1;
  const edge = 2 * (radius + 7);
  return (
    <svg class="drawing pattern" viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={words.label(joint, holes, order !== null)}>
      <path d={outline} class="edge" stroke-width={edge + 4} />
      <path d={outline} class="face" stroke-width={edge} />
      {holes.map((hole) => (
        <HoleMark
          key={hole.position}
          hole={hole}
          radius={radius}
          ticked={ticked.includes(hole.position)}
          next={hole.position === next}
          lengths={lengths}
        />
      ))}
    </svg>
  );
}

function HoleMark({
  hole,
  radius,
  ticked,
  next,
  lengths,
}: {
  hole: Hole;
  radius: number;
  ticked: boolean;
  next: boolean;
  lengths: boolean;
}) {
  const { x, y, position, labelX, labelY, anchor } = hole;
  return (
    <g class={ticked ? "hole ticked" : "hole"}>
      {next && <circle cx={x} cy={y} r={radius + 4.5} class="ring" />}
      <circle cx={x} cy={y} r={radius} class="disc" />
      <text x={x} y={y + radius * 0.36} font-size={radius * 1.05} text-anchor="middle" class="place">
        {position}
      </text>
      {ticked && <path d={`M${x + radius * 0.3} ${y - radius * 0.9}l4 4 8 -9`} class="tick" />}
      {words.beside(hole, lengths).map((line, n) => (
        <text key={n} x={labelX} y={labelY + n * 16} text-anchor={anchor} class={n === 0 && hole.turn !== null ? "turn" : "length"}>
          {line}
        </text>
      ))}
    </g>
  );
}
