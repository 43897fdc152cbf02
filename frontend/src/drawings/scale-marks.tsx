/** Named points on a line, with a band between two of them where one is meant: temperatures, pressures, loads, minutes. */
import { drawnWords as words } from "../text/numbers-words";

export type Point = { at: number; name: string; text: string; main?: boolean };
type Props = { points: readonly Point[]; band?: readonly [number, number] | null };

export function ScaleMarks({ points, band = null }: Props) {
  const all = [...points.map(({ at }) => at), ...(band ?? [])];
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const room = (most - least || Math.abs(most) || 1) * 0.08;
  const x = (at: number) => 14 + (300 * (at - least + room)) / (most - least + 2 * room || 1);
  const sorted = [...points].sort((a, b) => a.at - b.at);
  // to the left of the middle the nearest to it on top, to its right likewise: so no lead runs through a name of its own half
  const left = sorted.filter(({ at }) => x(at) <= 164).reverse();
  const rows = [...left, ...sorted.slice(left.length)].map((point, n) => ({ ...point, place: x(point.at), level: 54 + n * 24, end: x(point.at) > 164 }));
  const height = 40 + rows.length * 24;
  return (
    <svg class="drawing scale" viewBox={`0 0 328 ${height}`} role="img" aria-label={words.scale(sorted, band !== null)}>
      <path d="M14 24h300" />
      {band && <path class="band" d={`M${x(band[0])} 14h${Math.max(2, x(band[1]) - x(band[0]))}v20h${-Math.max(2, x(band[1]) - x(band[0]))}z`} />}
      {rows.map(({ main, place, level, end }, n) => (
        <path key={n} class={main ? "lead main" : "lead"} d={`M${place} 18V${level - 4}h${end ? -10 : 10}`} />
      ))}
      {rows.map(({ name, text, main, place, level, end }, n) => (
        <text key={n} x={besideLead(place, end, widthOf(`${name} ${text}`, main === true))} y={level} class={main ? "reading" : ""}>
          {name} {text}
        </text>
      ))}
    </svg>
  );
}

/** About how wide a name is, in units of the drawing: nothing can be measured before it is shown. */
const widthOf = (text: string, bold: boolean): number => text.length * (bold ? 9.8 : 8);

/** Where a name begins: beside its lead, and inside the drawing. */
function besideLead(place: number, end: boolean, width: number): number {
  return Math.max(4, Math.min(324 - width, end ? place - 14 - width : place + 14));
}
