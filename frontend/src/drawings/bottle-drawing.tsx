/** Bottles with the mark at which to stop pouring: what stays in is filled, what is poured out is hatched. */
import { numberText } from "../domain/rounding";
import { drawnWords as words } from "../text/numbers-words";

export type BottleDrawn = { holdsMl: number; pourMl: number; stopAtMl: number };

const HEIGHT = { top: 46, body: 150 };

export function BottleDrawing({ bottles }: { bottles: readonly BottleDrawn[] }) {
  const shown = bottles.slice(0, 3);
  const room = 328 / Math.max(shown.length, 2);
  return (
    <svg class="drawing bottles" viewBox="0 0 328 240" role="img" aria-label={bottles.map(words.bottle).join(" ")}>
      {shown.map((bottle, n) => (
        <Bottle key={n} bottle={bottle} left={n * room + (shown.length === 1 ? 82 : 0)} width={room} />
      ))}
    </svg>
  );
}

function Bottle({ bottle, left, width }: { bottle: BottleDrawn; left: number; width: number }) {
  const [x, wide] = [left + 14, Math.min(width - 28, 92)];
  const share = bottle.holdsMl > 0 ? bottle.stopAtMl / bottle.holdsMl : 0;
  const mark = HEIGHT.top + HEIGHT.body * (1 - share);
  const foot = HEIGHT.top + HEIGHT.body;
  const neck = wide * 0.3;
  return (
    <g>
      <path class="kept" d={`M${x} ${mark}h${wide}V${foot}h${-wide}Z`} />
      <path class="glass" d={`M${x} ${HEIGHT.top}V${foot}h${wide}V${HEIGHT.top}L${x + wide - neck} ${HEIGHT.top - 20}v-14h${-(wide - 2 * neck)}v14Z`} />
      <path class="stop" d={`M${x - 10} ${mark}h${wide + 20}`} />
      <text class="stop-at" x={x + wide / 2} y={mark + (share < 0.12 ? -8 : 20)} text-anchor="middle">
        {numberText(Math.round(bottle.stopAtMl))} ml
      </text>
      <text x={x + wide / 2} y={foot + 18} text-anchor="middle">
        {words.holds(bottle.holdsMl)}
      </text>
      <text x={x + wide / 2} y={foot + 34} text-anchor="middle">
        {words.pour(bottle.pourMl)}
      </text>
    </g>
  );
}
