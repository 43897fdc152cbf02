/** A vessel with what goes into it, layer by layer, each as high as its share and with its amount beside it. */
import { drawnWords as words } from "../text/numbers-words";

export type Layer = { name: string; amount: string; ml: number; fresh: boolean };

const TALL = 160;
/** Room for two lines of words. */
const LEAST = 38;

export function MixDrawing({ layers }: { layers: readonly Layer[] }) {
  const there = layers.filter(({ ml }) => ml > 0);
  const total = there.reduce((sum, { ml }) => sum + ml, 0);
  const heights = there.map(({ ml }) => Math.max(LEAST, (TALL * ml) / (total || 1)));
  const foot = 20 + heights.reduce((sum, height) => sum + height, 0);
  let level = foot;
  return (
    <svg class="drawing mix" viewBox={`0 0 328 ${foot + 14}`} role="img" aria-label={words.mix(there)}>
      {there.map(({ name, amount, fresh }, n) => {
        level -= heights[n] ?? 0;
        return (
          <g key={name}>
            <path class={fresh ? "fresh" : "kept"} d={`M24 ${level}h64v${heights[n] ?? 0}h-64z`} />
            {[name, amount].map((line, at) => (
              <text key={at} x="102" y={level + (heights[n] ?? 0) / 2 - 3 + at * 17} class={fresh ? "reading" : ""}>
                {line}
              </text>
            ))}
          </g>
        );
      })}
      <path class="glass" d={`M20 12V${foot + 4}h72V12`} />
    </svg>
  );
}
