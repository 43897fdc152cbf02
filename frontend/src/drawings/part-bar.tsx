/** Amounts that add up, end to end on one bar: a torque and the drag of its nut, what each meter counted. */
import { drawnWords as words } from "../text/numbers-words";

export type BarPart = { name: string; text: string; at: number };

export function PartBar({ parts, total }: { parts: readonly BarPart[]; total: string }) {
  const sum = parts.reduce((all, { at }) => all + Math.max(0, at), 0) || 1;
  let left = 14;
  return (
    <svg class="drawing parts" viewBox={`0 0 328 ${64 + parts.length * 24}`} role="img" aria-label={words.parts(parts, total)}>
      {parts.map(({ name, text, at }, n) => {
        const [x, wide] = [left, (300 * Math.max(0, at)) / sum];
        const filling = n % 2 === 0 ? "kept" : "fresh";
        left += wide;
        return (
          <g key={name}>
            <path class={filling} d={`M${x} 28h${wide}v24h${-wide}z`} />
            <path class={filling} d={`M14 ${64 + n * 24}h14v14h-14z`} />
            <text x="36" y={76 + n * 24}>
              {name} {text}
            </text>
          </g>
        );
      })}
      <path class="dimension" d="M14 18v8M314 18v8M14 22h300" />
      <text x="164" y="14" text-anchor="middle" class="reading">
        {total}
      </text>
    </svg>
  );
}
