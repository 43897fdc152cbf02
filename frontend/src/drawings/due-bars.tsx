/** How much of each interval is used up: a bar for each, with a mark where it is due. Unknown is drawn empty and said. */
import { drawnWords as words } from "../text/numbers-words";

/** `used` is 1 when due; null when not known. */
export type DueBar = { name: string; text: string; used: number | null };

export function DueBars({ bars }: { bars: readonly DueBar[] }) {
  const shown = bars.slice(0, 12);
  const most = Math.max(1.25, ...shown.map(({ used }) => Math.min(used ?? 0, 2)));
  const x = (used: number) => 14 + (300 * Math.max(0, Math.min(used, 2))) / most;
  return (
    <svg class="drawing due" viewBox={`0 0 328 ${shown.length * 58 + 8}`} role="img" aria-label={words.due(bars)}>
      {shown.map(({ name, text, used }, n) => {
        const top = n * 58;
        return (
          <g key={n}>
            <text x="14" y={top + 17}>
              {name.length > 18 ? `${name.slice(0, 17)}…` : name}
            </text>
            <text x="314" y={top + 17} text-anchor="end" class="reading">
              {text}
            </text>
            {used !== null && used > 0 && <path class="kept" d={`M14 ${top + 26}H${x(used)}v20H14z`} />}
            <path class={used === null ? "missing" : ""} d={`M14 ${top + 26}H314v20H14z`} />
            <path class="due-mark" d={`M${x(1)} ${top + 22}v28`} />
          </g>
        );
      })}
    </svg>
  );
}
