/** One length of a scale marked in two units, and the amount where it stands on both. */
import { convert } from "../domain/units";
import { numberText } from "../domain/rounding";
import { drawnWords as words } from "../text/numbers-words";
import { markStep } from "./wrench-scale";

type Props = { value: number; unit: string; text: string; other: string; otherText: string };

export function UnitRules({ value, unit, text, other, otherText }: Props) {
  const far = Math.abs(value) || 1;
  const [from, to] = unit === "°C" || unit === "°F" ? [value - far, value + far] : [0, far * 1.25];
  const x = (at: number) => 14 + (300 * (at - from)) / (to - from);
  const marks = (low: number, high: number) => {
    const step = markStep(high - low);
    const first = Math.ceil(low / step - 1e-9) * step;
    return Array.from({ length: Math.floor((high - first) / step + 1e-9) + 1 }, (_, n) => first + n * step);
  };
  const [otherFrom, otherTo] = [convert(from, unit, other), convert(to, unit, other)];
  const place = (at: number) => 14 + (300 * (at - otherFrom)) / (otherTo - otherFrom);
  const rows = [
    { at: x, marks: marks(from, to), level: 52, way: -1, name: unit },
    { at: place, marks: marks(otherFrom, otherTo), level: 66, way: 1, name: other },
  ];
  return (
    <svg class="drawing rules" viewBox="0 0 328 118" role="img" aria-label={words.rules(`${text} ${unit}`, `${otherText} ${other}`)}>
      {rows.map(({ at, marks: all, level, way, name }) => (
        <g key={name}>
          <path d={`M14 ${level}h300${all.map((mark) => `M${at(mark)} ${level}v${7 * way}`).join("")}`} />
          {[all[0] ?? 0, all.at(-1) ?? 0].map((mark) => (
            <text key={mark} x={Math.min(300, Math.max(28, at(mark)))} y={level + (way < 0 ? -11 : 21)} text-anchor="middle">
              {numberText(Number(mark.toPrecision(4)))}
            </text>
          ))}
        </g>
      ))}
      <path class="here" d={`M${x(value)} 36V82`} />
      <text x={besideMark(x(value), `${text} ${unit}`)} y="20" class="reading">
        {text} {unit}
      </text>
      <text x={besideMark(x(value), `${otherText} ${other}`)} y="110" class="reading">
        {otherText} {other}
      </text>
    </svg>
  );
}

/** Centred on the mark, and inside the drawing. */
const besideMark = (x: number, text: string): number => Math.max(4, Math.min(324 - text.length * 9, x - text.length * 4.5));
