/** The steps of a procedure in a row: what the carried kit does itself, what replaces what, what is refused, what is missing. */
import { drawnWords as words } from "../text/numbers-words";

export type KitMark = "own" | "substitute" | "refused" | "missing";
const SIGN: Record<KitMark, string> = { own: "M-6 0l4 5 8 -10", substitute: "M-6 0h12", refused: "M-6 -6l12 12M6 -6l-12 12", missing: "" };
const ACROSS = 10;

export function KitStrip({ marks }: { marks: readonly KitMark[] }) {
  const rows = Math.ceil(marks.length / ACROSS);
  return (
    <svg class="drawing kit" viewBox={`0 0 328 ${rows * 46 + 6}`} role="img" aria-label={words.kit(marks)}>
      {marks.map((mark, n) => {
        const [x, y] = [20 + (n % ACROSS) * 32, 18 + Math.floor(n / ACROSS) * 46];
        return (
          <g key={n}>
            <path class={mark === "missing" ? "missing" : ""} d={`M${x - 13} ${y - 13}h26v26h-26z`} />
            <path d={SIGN[mark]} transform={`translate(${x} ${y})`} class="sign" />
            <text x={x} y={y + 28} text-anchor="middle">
              {n + 1}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
