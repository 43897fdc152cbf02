/** What the torque wrench must read: its scale from end to end, and the mark to set it to. */
import { numberText, shown } from "../domain/rounding";
import { wrenchWords as words } from "../text/drawing-words";

/** Marks and target in the unit of the scale, N·m unless another is named. */
type Props = { name: string; lowNm: number; highNm: number; targetNm: number; unit?: string };

/** A step of 1, 2 or 5 times a power of ten that gives between 4 and 12 marks. */
export function markStep(range: number): number {
  const power = 10 ** Math.floor(Math.log10(range / 5));
  return [1, 2, 5, 10].map((factor) => factor * power).find((step) => range / step <= 12) ?? range;
}

export function WrenchScale({ name, lowNm, highNm, targetNm, unit = "N·m" }: Props) {
  if (targetNm < lowNm || targetNm > highNm) return <p class="wrench-short">{words.outOfReach(name, lowNm, highNm, unit)}</p>;
  const at = (nm: number) => 24 + (280 * (nm - lowNm)) / (highNm - lowNm);
  const step = markStep(highNm - lowNm);
  const marks = Array.from({ length: Math.floor((highNm - lowNm) / step + 1e-9) + 1 }, (_, n) => lowNm + n * step);
  return (
    <svg class="drawing wrench" viewBox="0 0 328 54" role="img" aria-label={words.label(name, targetNm, lowNm, highNm, unit)}>
      <path d={`M24 30h280${marks.map((mark) => `M${at(mark)} 30v-7`).join("")}`} />
      {[lowNm, highNm].map((end) => (
        <text key={end} x={at(end)} y="47" text-anchor="middle">
          {numberText(end)}
        </text>
      ))}
      <path d={`M${at(targetNm)} 30l-7 -13h14z`} class="pointer" />
      <text x={Math.min(290, Math.max(38, at(targetNm)))} y="13" text-anchor="middle" class="reading">
        {shown(targetNm, unit)} {unit}
      </text>
    </svg>
  );
}
