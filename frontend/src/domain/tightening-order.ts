/**
 * In which order to tighten any set of holes, in which stages, and the closing pass.
 * Knows positions on a face; nothing of what the fasteners bear. A published order always wins over a generated one.
 */
import { ARITHMETIC, answer, note, source } from "./answer";
import type { Source } from "./answer";
import { bounded, positive, several, whole } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";
import { MOST_NM, STAGE_SOURCES, torqueStages } from "./torque";

const MOST_HOLES = 64;
const RING_LEAST_SHARE = 0.55;
const ROW_MOST_SHARE = 0.05;
const SAME_DISTANCE = 1.15;
const SHAPE_SOURCES: Readonly<Record<Shape, Source>> = {
  single: ARITHMETIC,
  ring: source("memory", "ASME PCC-1 legacy cross for 4, 8, 12, 16; other counts our own construction"),
  row: source("published", "TM 5-3805-298-23-2, WP 0176; TB 9-3950-253-13&P, WP 0061: centre outwards"),
  field: source("practice", "centre outwards, alternating sides"),
  listed: source("published", "the order that the source of this joint prints"),
};

type Hole = readonly [number, number];
export type Shape = "single" | "ring" | "row" | "field" | "listed";
export type Pass = { kind: "stage" | "closing"; share: number; torque_nm: number; order: readonly number[] };

/** The order in which to tighten holes, as numbers of the positions from 1. Throws `holes_coincide`, `order_not_permutation`. */
export function tighteningOrder({ positions, listed = null }: { positions: readonly (readonly number[])[]; listed?: readonly number[] | null }) {
  const holes = checkedHoles(positions);
  const made = generated(holes);
  const shape: Shape = listed === null ? made.shape : "listed";
  const order = (listed === null ? made.order : checkedOrder(listed, holes.length)).map((n) => n + 1);
  const values = { order, shape, around: made.around.map((n) => n + 1) };
  return answer(values, note("tightening_order", values), [SHAPE_SOURCES[shape]], [note("maker_prints_order")]);
}

/** Every pass over the holes: stages crosswise, then once around at full torque until none moves. */
export function tighteningPlan({ positions, target_nm, shares = null, wrench_low_nm = 0, listed = null }: {
  positions: readonly (readonly number[])[]; target_nm: number; shares?: readonly number[] | null; wrench_low_nm?: number;
  listed?: readonly number[] | null;
}) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const ordered = tighteningOrder({ positions, listed });
  const { order, around, shape } = ordered.values;
  const staged = torqueStages({ target_nm: target, shares: shares ?? usualShares(order.length), wrench_low_nm });
  const passes: Pass[] = staged.values.stages.map((stage) => ({ kind: "stage", ...stage, order }));
  if (order.length > 1) passes.push({ kind: "closing", share: 100, torque_nm: target, order: around });
  const working = note("tightening_plan", { order, torques_nm: staged.values.stages.map((stage) => stage.torque_nm) });
  const until = [...ordered.until, ...staged.until, note("hot_rubber_gasket")];
  return answer({ order, shape, passes, merged: staged.values.merged }, working, [...ordered.sources, ...STAGE_SOURCES], until, staged.notes);
}

function usualShares(count: number): number[] {
  if (count >= 12) return [20, 40, 80, 100];
  return count > 2 ? [30, 60, 100] : count === 2 ? [50, 100] : [100];
}

/** Positions with their numbers checked, no two closer than 1 mm. */
function checkedHoles(positions: readonly (readonly number[])[]): Hole[] {
  const holes: Hole[] = [];
  for (const place of several(positions, "holes", 1, MOST_HOLES)) {
    const [x, y] = several(place, "coordinates of a hole", 2, 2);
    const hole: Hole = [bounded(x, "place of a hole", "mm", -5000, 5000), bounded(y, "place of a hole", "mm", -5000, 5000)];
    const near = holes.findIndex((other) => distance(hole, other) < 1);
    if (near >= 0) throw new Refused("holes_coincide", { first: withUnit(near + 1, ""), second: withUnit(holes.length + 1, "") });
    holes.push(hole);
  }
  return holes;
}

function checkedOrder(listed: readonly number[], count: number): number[] {
  const order = several(listed, "places in the order", 1, MOST_HOLES).map((n) => whole(n, "place in the order", 1, count) - 1);
  if (order.length !== count || new Set(order).size !== count) throw new Refused("order_not_permutation", { count: withUnit(count, "") });
  return order;
}

function distance(a: Hole, b: Hole): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

function rounded(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}

/** Shape, order and closing pass, as indices from 0. */
function generated(holes: readonly Hole[]): { shape: Shape; order: number[]; around: number[] } {
  if (holes.length === 1) return { shape: "single", order: [0], around: [0] };
  const row = alongRow(holes);
  if (row) {
    const order = centreOutwards(row.length).map((n) => row[n] ?? 0);
    return { shape: "row", order, around: order };
  }
  const middle: Hole = [mean(holes.map(([x]) => x)), mean(holes.map(([, y]) => y))];
  const distances = holes.map((hole) => distance(hole, middle));
  if (Math.min(...distances) >= RING_LEAST_SHARE * Math.max(...distances)) {
    const around = aroundRing(holes, middle);
    return { shape: "ring", order: crossSequence(around.length).map((n) => around[n] ?? 0), around };
  }
  const order = fromCentre(holes, distances);
  return { shape: "field", order, around: order };
}

function mean(numbers: readonly number[]): number {
  return numbers.reduce((sum, number) => sum + number, 0) / numbers.length;
}

function indices(count: number): number[] {
  return Array.from({ length: count }, (_, n) => n);
}

/** Indices of a ring of `count` holes, crosswise: opposite pairs, for multiples of four in crosses of four. */
export function crossSequence(count: number): number[] {
  if (count % 4 === 0) {
    const quarter = count / 4;
    const all = indices(quarter);
    const starts = quarter <= 3 ? all : [...all.filter((n) => n % 2 === 0), ...all.filter((n) => n % 2 === 1)];
    return starts.flatMap((start) => [start, start + 2 * quarter, start + quarter, start + 3 * quarter]);
  }
  if (count % 2 === 0) {
    const half = count / 2;
    const steps = indices(half).map((n) => n + 1).filter((t) => gcd(t, half) === 1);
    const best = steps.reduce((a, b) => (Math.abs(6 * b - count) <= Math.abs(6 * a - count) ? b : a));
    return indices(half).flatMap((k) => [(2 * k * best) % count, (2 * k * best + half) % count]);
  }
  const step = Math.max(Math.floor(count / 2), 1);
  return indices(count).map((k) => (k * step) % count);
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

/** Indices of a row: the centre, then one to the right, one to the left, and so on. */
function centreOutwards(count: number): number[] {
  const centre = Math.floor((count - 1) / 2);
  const offsets = [0, ...indices(count).slice(1).flatMap((n) => [n, -n])];
  return offsets.map((offset) => centre + offset).filter((n) => n >= 0 && n < count);
}

/** Indices along the line on which all holes lie within 5 % of its length; null when they do not. */
function alongRow(holes: readonly Hole[]): number[] | null {
  const [first, last] = farthestPair(holes);
  const [x, y] = first;
  const [u, v] = [last[0] - x, last[1] - y];
  const length = Math.hypot(u, v);
  if (holes.some(([a, b]) => Math.abs(u * (b - y) - v * (a - x)) / length > ROW_MOST_SHARE * length)) return null;
  const along = holes.map(([a, b]) => rounded(((a - x) * u + (b - y) * v) / length, 6));
  return indices(holes.length).sort((n, m) => (along[n] ?? 0) - (along[m] ?? 0) || n - m);
}

/** The two holes farthest apart; of equal ones the first pair. */
function farthestPair(holes: readonly Hole[]): [Hole, Hole] {
  let best: [Hole, Hole] = [holes[0] ?? [0, 0], holes[1] ?? [0, 0]];
  let most = 0;
  holes.forEach((a, n) => holes.slice(n + 1).forEach((b) => {
    const apart = rounded(distance(a, b), 6);
    if (apart > most) [most, best] = [apart, [a, b]];
  }));
  return best;
}

/** Indices around the middle, from the first hole towards whichever of its neighbours has the lower number. */
function aroundRing(holes: readonly Hole[], middle: Hole): number[] {
  const angles = holes.map(([x, y]) => rounded(Math.atan2(y - middle[1], x - middle[0]), 9));
  const turn = indices(holes.length).sort((n, m) => (angles[n] ?? 0) - (angles[m] ?? 0) || n - m);
  const start = turn.indexOf(0);
  const ring = [...turn.slice(start), ...turn.slice(0, start)];
  const [first = 0, ...rest] = ring;
  return ring.length < 3 || (ring[1] ?? 0) < (ring.at(-1) ?? 0) ? ring : [first, ...rest.reverse()];
}

/** Indices from the hole nearest the middle outwards: of those about equally near, the one farthest from the last. */
function fromCentre(holes: readonly Hole[], distances: readonly number[]): number[] {
  const far = (n: number) => distances[n] ?? 0;
  const left = new Set(indices(holes.length));
  const order: number[] = [];
  while (left.size > 0) {
    const nearest = Math.min(...[...left].map(far));
    const near = [...left].sort((n, m) => n - m).filter((n) => far(n) <= nearest * SAME_DISTANCE + 1e-6);
    const last = order.length > 0 ? holes[order.at(-1) ?? 0] : undefined;
    const worth = (n: number) => (last ? rounded(distance(holes[n] ?? last, last), 6) : -far(n));
    const chosen = near.reduce((a, b) => (worth(b) > worth(a) ? b : a));
    order.push(chosen);
    left.delete(chosen);
  }
  return order;
}
