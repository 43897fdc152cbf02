/** A torque wrench from above with an adapter at its end: where the drive is, where the bolt is, where the hand pulls. */
import { numberText } from "../domain/rounding";
import { drawnWords as words } from "../text/numbers-words";

type Props = { leverMm: number; adapterMm: number; angleDeg: number };
type Spot = readonly [x: number, y: number];

const ROOM = { left: 30, right: 298, most: 76 };

/** Hand at the left, drive at the right; the adapter turns from straight on (0°) to back over the handle (180°). */
export function placesOf({ leverMm, adapterMm, angleDeg }: Props): { hand: Spot; drive: Spot; bolt: Spot; height: number } {
  const turn = (angleDeg * Math.PI) / 180;
  const [along, across] = [adapterMm * Math.cos(turn), adapterMm * Math.sin(turn)];
  const [from, to] = [Math.min(0, leverMm + along), Math.max(leverMm, leverMm + along)];
  const scale = Math.min((ROOM.right - ROOM.left) / (to - from || 1), Math.abs(across) > 0 ? ROOM.most / Math.abs(across) : Infinity);
  const at = (x: number, y: number): Spot => [ROOM.left + (x - from) * scale, y];
  const middle = across > 0 ? 56 + across * scale : 56;
  return { hand: at(0, middle), drive: at(leverMm, middle), bolt: at(leverMm + along, middle - across * scale), height: 118 + Math.abs(across) * scale };
}

export function AdapterDrawing(props: Props) {
  const { hand, drive, bolt, height } = placesOf(props);
  const { leverMm, adapterMm, angleDeg } = props;
  const dimension = Math.max(hand[1], bolt[1]) + 34;
  return (
    <svg class="drawing adapter" viewBox={`0 0 328 ${height}`} role="img" aria-label={words.adapter(leverMm, adapterMm, angleDeg)}>
      <path class="bar" d={`M${hand[0]} ${hand[1]}H${drive[0]}`} />
      <path class="arm" d={`M${drive[0]} ${drive[1]}L${bolt[0]} ${bolt[1]}`} />
      <path class="grip" d={`M${hand[0] - 20} ${hand[1]}h40`} />
      <rect class="drive" x={drive[0] - 7} y={drive[1] - 7} width="14" height="14" />
      {adapterMm > 0 && <path class="hexagon" d={hexagon(bolt, 13)} />}
      <path d={`M${hand[0]} ${dimension - 8}v12M${drive[0]} ${dimension - 8}v12M${hand[0]} ${dimension}H${drive[0]}`} class="dimension" />
      <text x={(hand[0] + drive[0]) / 2} y={dimension + 20} text-anchor="middle">
        {words.lever(leverMm)}
      </text>
      <text x={Math.min(Math.max((drive[0] + bolt[0]) / 2, 90), 238)} y={Math.min(drive[1], bolt[1]) - 22} text-anchor="middle">
        {words.adapterShort(adapterMm, angleDeg)}
      </text>
      <text x={hand[0] - 20} y={hand[1] - 16} class="pull">
        {words.hand}
      </text>
    </svg>
  );
}

export function hexagon([x, y]: Spot, radius: number): string {
  const corners = Array.from({ length: 6 }, (_, n) => [x + radius * Math.cos((n * Math.PI) / 3), y + radius * Math.sin((n * Math.PI) / 3)] as const);
  return `${corners.map(([a, b], n) => `${n ? "L" : "M"}${numberText(a)} ${numberText(b)}`).join("")}Z`;
}
