/** A ring in its bore from above, with its gap drawn wider than it is, where measured and where the ring runs. */
import { drawnWords as words } from "../text/numbers-words";

type Place = { name: string; bore: string; gap: string; mm: number };

export function RingGap({ places }: { places: readonly Place[] }) {
  const widest = Math.max(...places.map(({ mm }) => mm), 1e-9);
  return (
    <svg class="drawing ring" viewBox="0 0 328 214" role="img" aria-label={words.rings(places)}>
      {places.map(({ name, bore, gap, mm }, n) => {
        const x = 84 + n * 160;
        const half = Math.max(0.03, (0.3 * mm) / widest);
        const end = (turn: number) => `${x + 54 * Math.sin(turn)} ${82 - 54 * Math.cos(turn)}`;
        return (
          <g key={name}>
            <circle cx={x} cy="82" r="62" />
            <path class="ring-metal" d={`M${end(half)}A54 54 0 1 1 ${end(-half)}`} />
            <text x={x} y="88" text-anchor="middle" class={n === places.length - 1 ? "reading" : ""}>
              {gap}
            </text>
            <text x={x} y="166" text-anchor="middle">
              {name}
            </text>
            <text x={x} y="184" text-anchor="middle">
              {bore}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
