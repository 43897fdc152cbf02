/** Readings of one check across machines by hours: a line and a mark of its own shape for each machine, the limits drawn through. */
import { numberText } from "../domain/rounding";
import { roundMarks, spanOf } from "./readings-scale";

export type Point = { machine_id: string; machine: string; hours: number; value: number; verdict: string };
type Props = { points: readonly Point[]; low: number | null; high: number | null; unit: string; label: string };

const [WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [720, 380, 70, 20, 20, 330];
/** One shape for each machine; from the eighth on they begin again, with an open mark. */
const SHAPES = ["M-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z", "M-5 -5h10v10h-10z", "M0 -6l6 11h-12z", "M0 -7l6 7l-6 7l-6 -7z", "M0 6l6 -11h-12z", "M-2 -6h4v4h4v4h-4v4h-4v-4h-4v-4h4z", "M-6 -2h12v4h-12z"];

export function ReadingsPlot({ points, low, high, unit, label }: Props) {
  const hours = roundMarks(...spanOf(points.map((point) => point.hours)), 6);
  const values = roundMarks(...spanOf([...points.map(({ value }) => value), low, high]), 6);
  const x = (at: number) => LEFT + ((WIDTH - LEFT - RIGHT) * (at - hours[0]!)) / (hours.at(-1)! - hours[0]!);
  const y = (at: number) => BOTTOM - ((BOTTOM - TOP) * (at - values[0]!)) / (values.at(-1)! - values[0]!);
  const machines = machinesOf(points);
  return (
    <svg class="drawing readings" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={label}>
      {values.map((value) => (
        <g key={value}>
          <path class="grid" d={`M${LEFT} ${y(value)}H${WIDTH - RIGHT}`} />
          <text x={LEFT - 8} y={y(value) + 5} text-anchor="end">
            {numberText(value)}
          </text>
        </g>
      ))}
      {hours.map((hour) => (
        <text key={hour} x={x(hour)} y={BOTTOM + 20} text-anchor="middle">
          {numberText(hour)}
        </text>
      ))}
      <text x={(LEFT + WIDTH - RIGHT) / 2} y={BOTTOM + 42} text-anchor="middle">
        hours run
      </text>
      <text x={4} y={TOP - 6}>
        {unit}
      </text>
      <Limit at={low} y={y} words="at least" unit={unit} below />
      <Limit at={high} y={y} words="at most" unit={unit} below={false} />
      {machines.map(([id, own], n) => (
        <g key={id} class={`machine-${n % SHAPES.length}`}>
          <path class="course" d={own.map(({ hours: at, value }, place) => `${place ? "L" : "M"}${x(at)} ${y(value)}`).join("")} />
          {own.map((point, place) => (
            <g key={place} transform={`translate(${x(point.hours)} ${y(point.value)})`}>
              {point.verdict === "outside" && <path class="ring" d="M-11 0a11 11 0 1 0 22 0a11 11 0 1 0 -22 0z" />}
              <path class={n < SHAPES.length ? "mark" : "mark open"} d={SHAPES[n % SHAPES.length]!} />
            </g>
          ))}
        </g>
      ))}
    </svg>
  );
}

/** The machines with their readings by hours, in the order in which the marks are given out. */
export function machinesOf<P extends Point>(points: readonly P[]): [string, P[]][] {
  const found = new Map<string, P[]>();
  for (const point of points) found.set(point.machine_id, [...(found.get(point.machine_id) ?? []), point]);
  return [...found].map(([id, own]) => [id, own.sort((a, b) => a.hours - b.hours)]);
}

/** The mark of a machine beside its name. */
export function MarkOf({ place }: { place: number }) {
  return (
    <svg class="drawing mark-key" viewBox="-8 -8 16 16" width="16" height="16" aria-hidden="true">
      <path class={place < SHAPES.length ? "mark" : "mark open"} d={SHAPES[place % SHAPES.length]!} />
    </svg>
  );
}

function Limit({ at, y, words, unit, below }: { at: number | null; y: (at: number) => number; words: string; unit: string; below: boolean }) {
  if (at === null) return null;
  return (
    <>
      <path class="limit-line" d={`M${LEFT} ${y(at)}H${WIDTH - RIGHT}`} />
      <text class="limit-words" x={WIDTH - RIGHT - 4} y={y(at) + (below ? 16 : -6)} text-anchor="end">
        {words} {numberText(at)} {unit}
      </text>
    </>
  );
}
