/** A reading against its limits: the room allowed between two marks, and a pointer where the reading stands. */
import { numberText } from "../domain/rounding";
import { limitsWords as words } from "../text/drawing-words";

type Props = { low: number | null; high: number | null; reading: number | null; unit: string };

/**
 * Lowest and highest value drawn. Between two limits, their width again by half on each side; at one limit, twice as far as the reading
 * is from it, so that a small miss is seen. The reading is always inside.
 */
export function spanOf(low: number | null, high: number | null, reading: number | null): [number, number] {
  const limit = low ?? high ?? 0;
  const two = low !== null && high !== null;
  const least = (Math.abs(limit) || 1) * 0.02;
  const room = two ? Math.max((high - low) * 0.5, 1e-9) : Math.max(2 * Math.abs((reading ?? limit) - limit), least);
  const [from, to] = two ? [low - room, high + room] : [limit - room, limit + room];
  if (reading === null) return [from, to];
  const pad = (to - from) * 0.06;
  return [Math.min(from, reading - pad), Math.max(to, reading + pad)];
}

export function LimitsBar({ low, high, reading, unit }: Props) {
  const [from, to] = spanOf(low, high, reading);
  const at = (value: number) => 10 + (308 * (value - from)) / (to - from);
  const [left, right] = [low === null ? 10 : at(low), high === null ? 318 : at(high)];
  return (
    <svg class="drawing limits" viewBox="0 0 328 70" role="img" aria-label={words.label(low, high, reading, unit)}>
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
