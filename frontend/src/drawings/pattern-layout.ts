/** Where the holes of a joint stand on the drawing, and in which order. Pure geometry, from mm on the face to units of the drawing. */
import type { Joint } from "../store/bench";

type Placed = Pick<Joint, "positions">;

export const WIDTH = 328;
export const MARGIN = 70;
/** Beside the face, where lengths are written. */
const SIDE = 80;
const MOST_HEIGHT = 290;
const LARGEST_HOLE = 16;

export type Hole = {
  position: number;
  x: number;
  y: number;
  turn: number | null;
  lengthMm: number | null;
  label: string | null;
  labelX: number;
  labelY: number;
  anchor: "start" | "middle" | "end";
};
export type Layout = { holes: Hole[]; radius: number; height: number; outline: string };

/** The face as the map gives it: x to the right, y down, seen from outside the machine. */
export function layoutOf(joint: Placed, order: number[] | null): Layout {
  const xs = joint.positions.map(({ at }) => at[0]);
  const ys = joint.positions.map(({ at }) => at[1]);
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [across, down] = [Math.max(...xs) - left, Math.max(...ys) - top];
  const room = WIDTH - 2 * SIDE;
  const scale = Math.min(across > 0 ? room / across : Infinity, down > 0 ? (MOST_HEIGHT - 2 * MARGIN) / down : Infinity, 1e6);
  const shift = SIDE + (room - across * scale) / 2;
  const spots = xs.map((x, n) => ({ x: shift + (x - left) * scale, y: MARGIN + ((ys[n] ?? 0) - top) * scale }));
  const radius = Math.max(9, Math.min(LARGEST_HOLE, nearest(spots) * 0.42));
  const middle = { x: mean(spots.map((spot) => spot.x)), y: mean(spots.map((spot) => spot.y)) };
  const holes = spots.map((spot, n) => {
    const { length_mm, label } = joint.positions[n] ?? { length_mm: null, label: null };
    return {
      ...spot,
      position: n + 1,
      turn: order ? order.indexOf(n + 1) + 1 : null,
      lengthMm: length_mm,
      label,
      ...beside(spot, middle, radius),
    };
  });
  return {
    holes,
    radius,
    height: down * scale + 2 * MARGIN,
    outline:
      hull(spots)
        .map(({ x, y }, n) => `${n ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`)
        .join("") + "Z",
  };
}

type Spot = { x: number; y: number };
const mean = (numbers: number[]): number => numbers.reduce((sum, n) => sum + n, 0) / numbers.length;

function nearest(spots: Spot[]): number {
  const gaps = spots.flatMap((a, n) => spots.slice(n + 1).map((b) => Math.hypot(a.x - b.x, a.y - b.y)));
  return Math.min(...gaps, 1000);
}

/** The place for turn and length: outside the edge of the cover, straight away from its middle. */
function beside(spot: Spot, middle: Spot, radius: number): { labelX: number; labelY: number; anchor: Hole["anchor"] } {
  const far = Math.hypot(spot.x - middle.x, spot.y - middle.y);
  const [right, down] = far > 0 ? [(spot.x - middle.x) / far, (spot.y - middle.y) / far] : [0, -1];
  const anchor = right > 0.4 ? "start" : right < -0.4 ? "end" : "middle";
  return { labelX: spot.x + right * (radius + 14), labelY: spot.y - 3 + down * (radius + 26), anchor };
}

/** The convex outline around the holes (monotone chain). Source: from memory, A. M. Andrew, 1979. */
function hull(spots: Spot[]): Spot[] {
  const sorted = [...spots].sort((a, b) => a.x - b.x || a.y - b.y);
  const half = (points: Spot[]) => {
    const line: Spot[] = [];
    for (const spot of points) {
      while (line.length > 1 && cross(line.at(-2)!, line.at(-1)!, spot) <= 0) line.pop();
      line.push(spot);
    }
    return line.slice(0, -1);
  };
  const around = [...half(sorted), ...half([...sorted].reverse())];
  return around.length > 0 ? around : sorted.slice(0, 1);
}

const cross = (o: Spot, a: Spot, b: Spot): number => (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
