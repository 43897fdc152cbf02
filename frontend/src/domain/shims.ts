/**
 * Valve shims: which one brings a clearance into its limits, and the best swap among several valves.
 * Knows thicknesses in mm; a thicker shim makes the clearance smaller by as much.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { bounded, positive, record, several } from "./bounds";
import { Refused } from "./refused";
import { roundHalfAway, snapped, withUnit } from "./rounding";

const UNTIL = [note("engine_not_cold"), note("cam_not_off_the_valve"), note("turn_and_measure_again")];
const BUY = 1_000_000_000;
const MOVE = 1_000_000;
const NEVER = 10 ** 12;
const ENDLESS = 10 ** 15;

/** A valve as measured cold, mm; limits from the maker. */
export type Valve = { name?: string; clearance_mm: number; shim_mm: number; low_mm: number; high_mm: number };
/** What a valve gets: `from` is `keep`, another valve's name, `spare` or `buy`. */
export type SwapRow = { name: string; from: string; shim_mm: number; gives_mm: number };
type Checked = { name: string; clearance: number; shim: number; low: number; high: number };

function clearanceWith(valve: Checked, shim: number): number {
  return snapped(valve.clearance + valve.shim - shim, 12);
}

function fits(valve: Checked, shim: number): boolean {
  const clearance = clearanceWith(valve, shim);
  return valve.low <= clearance && clearance <= valve.high;
}

function offMiddleUm(valve: Checked, shim: number): number {
  return roundHalfAway(Math.abs(clearanceWith(valve, shim) - (valve.low + valve.high) / 2) * 1000, 1);
}

/** A valve with its numbers checked. */
function checked(valve: Valve): Checked {
  const given = record(valve, "valve");
  const low = bounded(given.low_mm, "lower limit", "mm", 0, 3);
  const high = bounded(given.high_mm, "upper limit", "mm", 0, 3);
  if (low > high) throw new Refused("limits_swapped", { low: withUnit(low, "mm"), high: withUnit(high, "mm") });
  const shim = positive(given.shim_mm, "fitted shim", "mm", 10);
  return { name: given.name ?? "None", clearance: bounded(given.clearance_mm, "clearance", "mm", 0, 3), shim, low, high };
}

const idealOf = (valve: Checked): number => valve.clearance + valve.shim - (valve.low + valve.high) / 2;

/** The shim on sale nearest the ideal one; null when it does not fit. */
function onSale(valve: Checked, step: number): number | null {
  const shim = roundHalfAway(idealOf(valve), step);
  return shim > 0 && fits(valve, shim) ? shim : null;
}

const noneFits = (valve: Checked, step: number): Refused => new Refused("shim_none_fits", { ideal: withUnit(idealOf(valve), "mm"), step: withUnit(step, "mm") });

/**
 * The shim for one valve: the ideal one, the nearest of those at hand, the nearest on sale. New clearance = clearance + old
 * shim − new shim. Throws `limits_swapped`, and `shim_none_fits` when something must change and no shim fits.
 */
export function shimToFit({ have_mm = [], step_mm = 0.05, ...given }: Valve & { have_mm?: readonly number[]; step_mm?: number }) {
  const valve = checked(given);
  const step = bounded(step_mm, "step of shims on sale", "mm", 0.005, 0.5);
  const atHand = several(have_mm, "shims at hand", 0, 60).map((shim) => positive(shim, "shim at hand", "mm", 10));
  const [buy, within] = [onSale(valve, step), fits(valve, valve.shim)];
  const use = atHand.filter((shim) => fits(valve, shim)).sort((a, b) => offMiddleUm(valve, a) - offMiddleUm(valve, b) || a - b)[0] ?? null;
  if (buy === null && use === null && !within) throw noneFits(valve, step);
  const values = {
    within, ideal_mm: idealOf(valve), buy_mm: buy, buy_gives_mm: buy === null ? null : clearanceWith(valve, buy),
    use_mm: use, use_gives_mm: use === null ? null : clearanceWith(valve, use),
  };
  const working = note("shim_to_fit", { ...values, clearance_mm: valve.clearance, shim_mm: valve.shim, middle_mm: (valve.low + valve.high) / 2 });
  return answer(values, working, [ARITHMETIC], UNTIL, within ? [note("clearance_within")] : []);
}

/**
 * The best way to share out the shims of several valves and the spares: of all ways to give every valve a shim within its
 * limits, the one that buys fewest, then moves fewest, then lies nearest the middles (exact, by assignment).
 */
export function shimSwap({ valves, spare_mm = [], step_mm = 0.05 }: { valves: readonly Valve[]; spare_mm?: readonly number[]; step_mm?: number }) {
  const engine = several(valves, "valves", 1, 12).map(checked);
  const spares = several(spare_mm, "spare shims", 0, 40).map((shim) => positive(shim, "spare shim", "mm", 10));
  const step = bounded(step_mm, "step of shims on sale", "mm", 0.005, 0.5);
  const shims = [...engine.map(({ name, shim }) => ({ name, shim })), ...spares.map((shim) => ({ name: "spare", shim }))];
  const bought = engine.map((valve) => onSale(valve, step));
  const cost = (valve: Checked, shim: number, own: boolean) => (fits(valve, shim) ? (own ? 0 : MOVE) + offMiddleUm(valve, shim) : NEVER);
  const buyCost = (valve: Checked, n: number) => (bought[n] == null ? NEVER : BUY + MOVE + offMiddleUm(valve, bought[n]));
  const costs = engine.map((valve, n) => [
    ...shims.map(({ shim }, m) => cost(valve, shim, n === m)), ...engine.map((_, m) => (n === m ? buyCost(valve, n) : NEVER)),
  ]);
  const places = assign(costs);
  engine.forEach((valve, n) => {
    if ((costs[n]?.[places[n] ?? 0] ?? NEVER) >= NEVER) throw noneFits(valve, step);
  });
  const rows = engine.map((valve, n): SwapRow => {
    const place = places[n] ?? 0;
    const taken = shims[place] ?? { name: "buy", shim: bought[n] ?? 0 };
    return { name: valve.name, from: place === n ? "keep" : taken.name, shim_mm: taken.shim, gives_mm: clearanceWith(valve, taken.shim) };
  });
  const count = (word: string) => rows.filter((row) => row.from === word).length;
  const values = { rows, buy_count: count("buy"), move_count: rows.length - count("keep") };
  return answer(values, note("shim_swap", values), [ARITHMETIC], UNTIL);
}

/** For each row its column, so that the sum is least (shortest augmenting paths with potentials). */
function assign(costs: readonly (readonly number[])[]): number[] {
  const [rows, columns] = [costs.length, costs[0]?.length ?? 0];
  const filled = (count: number, value: number) => new Array<number>(count + 1).fill(value);
  const [rowPrice, columnPrice, owner] = [filled(rows, 0), filled(columns, 0), filled(columns, 0)];
  const at = (list: readonly number[], n: number) => list[n] ?? 0;
  for (let row = 1; row <= rows; row += 1) {
    owner[0] = row;
    let column = 0;
    const [least, before] = [filled(columns, ENDLESS), filled(columns, 0)];
    const used = new Set<number>();
    while (at(owner, column) !== 0) {
      used.add(column);
      const current = at(owner, column);
      let [step, following] = [ENDLESS, 0];
      for (let other = 1; other <= columns; other += 1) {
        if (used.has(other)) continue;
        const reduced = at(costs[current - 1] ?? [], other - 1) - at(rowPrice, current) - at(columnPrice, other);
        if (reduced < at(least, other)) [least[other], before[other]] = [reduced, column];
        if (at(least, other) < step) [step, following] = [at(least, other), other];
      }
      for (let other = 0; other <= columns; other += 1) {
        if (used.has(other)) {
          rowPrice[at(owner, other)] = at(rowPrice, at(owner, other)) + step;
          columnPrice[other] = at(columnPrice, other) - step;
        } else least[other] = at(least, other) - step;
      }
      column = following;
    }
    while (column !== 0) {
      owner[column] = at(owner, at(before, column));
      column = at(before, column);
    }
  }
  return Array.from({ length: rows }, (_, n) => owner.indexOf(n + 1, 1) - 1);
}
