/** A share before and after each turn, as columns of the same height with their filling. */
import { drawnWords as words } from "../text/numbers-words";

export type Column = { name: string; text: string; percent: number };

export function ShareColumns({ columns }: { columns: readonly Column[] }) {
  const shown = columns.length > 5 ? [...columns.slice(0, 4), ...columns.slice(-1)] : columns;
  const room = 308 / shown.length;
  return (
    <svg class="drawing mix" viewBox="0 0 328 176" role="img" aria-label={words.columns(columns)}>
      {shown.map(({ name, text, percent }, n) => {
        const x = 10 + room * n + room / 2;
        const tall = (110 * Math.max(0, Math.min(100, percent))) / 100;
        return (
          <g key={name}>
            <path class="kept" d={`M${x - 20} ${136 - tall}h40v${tall}h-40z`} />
            <path d={`M${x - 22} 26V138h44V26`} />
            <text x={x} y="18" text-anchor="middle" class="reading">
              {text}
            </text>
            <text x={x} y="156" text-anchor="middle">
              {name}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
