/** A reading against its limits: the room allowed between two marks, and a pointer where the reading stands. */
import { numberText } from "../domain/rounding";
import { limitsWords as words } from "../text/drawing-words";

type Props = { low: number | null; high: number | null; reading: number | null; unit: string };

/** Lowest and highest value drawn: the limits with as much room again on each open side, and the reading always inside. */
export function spanOf(low: number | null, high: number | null, reading: number | null): [number, number] {
  const width = low !== null && high !== null ? Math.max(high - low, 1e-9) : Math.abs(low ?? high ?? 1) || 1;
  const from = low !== null ? low - width * 0.6 : (high ?? 0) - width;
  const to = high !== null ? high + width * 0.6 : (low ?? 0) + width;
  if (reading === null) return [from, to];
  const pad = (to - from) * 0.06;
  return [Math.min(from, reading - pad), Math.max(to, reading + pad)];
}

export function LimitsBar({ low, high, reading, unit }: Props) {
  const [from, to] = spanOf(low, high, reading);
  const at = (value: number) => 10 + (308 * (value - from)) / (to - from);
  const [left, right] = [low === null ? 10 : at(low), high === null ? 318 : at(high)];
  return (
    <svg class="drawing limits" viewBox="0 0 328 66" role="img" aria-label={words.label(low, high, reading, unit)}>
      <path d="M10 38h308" class="base" />
      <path d={`M${left} 31h${right - left}v14h${left - right}z`} class="room" />
      {[low, high].map((limit, n) => limit !== null && <Limit key={n} x={at(limit)} text={numberText(limit)} />)}
      {reading !== null && <Pointer x={at(reading)} text={`${numberText(reading)} ${unit}`} />}
    </svg>
  );
}

function Limit({ x, text }: { x: number; text: string }) {
  return (
    <>
      <path d={`M${x} 26v24`} class="limit" />
      <text x={x} y="64" text-anchor="middle">
        {text}
      </text>
    </>
  );
}

function Pointer({ x, text }: { x: number; text: string }) {
  return (
    <>
      <path d={`M${x} 36l-8 -14h16z`} class="pointer" />
      <text x={x} y="16" text-anchor={x > 260 ? "end" : x < 70 ? "start" : "middle"} class="reading">
        {text}
      </text>
    </>
  );
}
