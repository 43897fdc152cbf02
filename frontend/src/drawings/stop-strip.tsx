/** How long the way out is after each step: to leave it above the line, to push it below. Knows minutes only; no time is a ring. */

/** `ways`: minutes to leave and to push; 0 as it is, null when it is not known. */
export type StopRow = { number: number; ways: (number | null)[] };

const WIDTH = 800;
const HALF = 56;
const EDGE = { left: 40, right: 8, top: 16, bottom: 16 };

export function StopStrip({ name, halves, rows }: { name: string; halves: readonly [string, string]; rows: StopRow[] }) {
  const most = Math.max(1, ...rows.flatMap(({ ways }) => ways.map((way) => way ?? 0)));
  const each = (WIDTH - EDGE.left - EDGE.right) / rows.length;
  const middle = EDGE.top + HALF;
  const marks = rows.filter(({ number }) => number > 0 && number % (rows.length > 40 ? 10 : 5) === 0);
  return (
    <svg class="stop-strip" viewBox={`0 0 ${WIDTH} ${2 * HALF + EDGE.top + EDGE.bottom}`} role="img" aria-label={name}>
      <text x={EDGE.left - 6} y={EDGE.top + 5} text-anchor="end">{Math.round(most)}</text>
      <text x={EDGE.left - 6} y={middle + 5} text-anchor="end">min</text>
      <text x={EDGE.left - 6} y={middle + HALF + 5} text-anchor="end">{Math.round(most)}</text>
      <text x={EDGE.left + 4} y={EDGE.top + 2}>{halves[0]}</text>
      <text x={EDGE.left + 4} y={middle + HALF + 5}>{halves[1]}</text>
      {rows.map(({ number, ways }, at) => ways.map((way, side) => (
        <Bar key={`${number} ${side}`} x={EDGE.left + at * each} width={each} middle={middle} up={side === 0} share={way === null ? null : way / most} />
      )))}
      <line x1={EDGE.left} x2={WIDTH - EDGE.right} y1={middle} y2={middle} />
      {marks.map(({ number }) => (
        <text key={number} x={EDGE.left + (rows.findIndex((row) => row.number === number) + 0.5) * each} y={2 * HALF + EDGE.top + EDGE.bottom - 1} text-anchor="middle">
          {number}
        </text>
      ))}
    </svg>
  );
}

type BarProps = { x: number; width: number; middle: number; up: boolean; share: number | null };

function Bar({ x, width, middle, up, share }: BarProps) {
  if (share === null) return <circle class="untold" cx={x + width / 2} cy={middle + (up ? -7 : 7)} r={Math.min(4, width / 2.2)} />;
  const height = share * HALF;
  return <rect class={up ? "leave" : "push"} x={x + width * 0.12} width={width * 0.76} y={up ? middle - height : middle} height={height} />;
}
