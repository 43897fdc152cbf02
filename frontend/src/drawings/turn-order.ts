/** In which order the places of a joint are tightened, from the map's own list or from its pattern. Pure geometry; knows no figures. */
import type { Joint } from "../store/bench";

type Placed = Pick<Joint, "positions" | "order" | "pattern">;
type Ring = number[];

/**
 * Positions, counted from 1, in the order to tighten; null where the map asks for none ("any").
 * cross: round the face from position 1, opposite each other in turn. Source: sequence of ASME PCC-1 table 4, from memory, for multiples
 * of 4; for other even numbers opposite pairs turned by two places, and for odd numbers the star, our own construction.
 * row: from the middle outwards, side by side. Source: as on straight rows in US Army practice (positions 5, 6, 4, 7, 3, 8, 2, 9, 1 of 9).
 * Stops being true where the holes do not lie around a middle: then the map must list the order.
 */
export function turnOrder(joint: Placed): number[] | null {
  const all = joint.positions.map((_, n) => n + 1);
  if (joint.order) return joint.order.length === all.length && all.every((n) => joint.order?.includes(n)) ? joint.order : null;
  if (all.length < 2) return null;
  if (joint.pattern === "cross") return crosswise(all.length).map((n) => around(joint)[n] ?? 0);
  if (joint.pattern === "circle") return around(joint);
  if (joint.pattern === "row") return outwards(all.length).map((n) => along(joint)[n] ?? 0);
  return null;
}

/** Positions clockwise as seen on the drawing (y down), beginning with position 1. */
function around({ positions }: Placed): Ring {
  const middle = [0, 1].map((axis) => positions.reduce((sum, { at }) => sum + (at[axis] ?? 0), 0) / positions.length);
  const angle = (n: number) => Math.atan2((positions[n]?.at[1] ?? 0) - (middle[1] ?? 0), (positions[n]?.at[0] ?? 0) - (middle[0] ?? 0));
  const ring = positions.map((_, n) => n).sort((a, b) => angle(a) - angle(b) || a - b);
  const first = ring.indexOf(0);
  return [...ring.slice(first), ...ring.slice(0, first)].map((n) => n + 1);
}

/** Positions along the longer side of the row. */
function along({ positions }: Placed): Ring {
  const spread = (axis: 0 | 1) => Math.max(...positions.map(({ at }) => at[axis])) - Math.min(...positions.map(({ at }) => at[axis]));
  const axis = spread(0) >= spread(1) ? 0 : 1;
  return positions.map((_, n) => n + 1).sort((a, b) => (positions[a - 1]?.at[axis] ?? 0) - (positions[b - 1]?.at[axis] ?? 0));
}

/** Indices round a ring of `count`: opposite pairs that lie across each other. */
function crosswise(count: number): Ring {
  if (count % 4 === 0) {
    const quarter = count / 4;
    const turns = quarter === 4 ? [0, 2, 1, 3] : Array.from({ length: quarter }, (_, j) => j);
    return turns.flatMap((j) => [j, j + 2 * quarter, j + quarter, j + 3 * quarter]);
  }
  if (count % 2 === 0) return Array.from({ length: count / 2 }, (_, j) => [(2 * j) % count, (2 * j + count / 2) % count]).flat();
  return Array.from({ length: count }, (_, j) => (j * Math.floor(count / 2)) % count);
}

/** Indices from the middle outwards, alternating. */
function outwards(count: number): Ring {
  const middle = Math.floor((count - 1) / 2);
  return Array.from({ length: count }, (_, n) => middle + (n % 2 === 1 ? (n + 1) / 2 : -n / 2));
}
