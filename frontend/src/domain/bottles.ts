/** How much of which bottle: what to buy, what to pour, at which mark to stop. Knows sizes and amounts; not what the fluid is. */
import { ARITHMETIC, PRACTICE, answer, note } from "./answer";
import { bounded, positive, several } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

const MOST_ML = 20_000;
const UNTIL = [note("level_mark_rules"), note("bottle_not_full_or_unmarked")];

/** What to pour from one bottle: pour until it is down to `stop_at_ml`. */
export type Pour = { opened: boolean; holds_ml: number; pour_ml: number; stop_at_ml: number };

/** The mark at which to stop pouring from a full bottle: stop = bottle − pour. Throws `pour_exceeds_bottle`. */
export function bottleMark({ bottle_ml, pour_ml }: { bottle_ml: number; pour_ml: number }) {
  const bottle = positive(bottle_ml, "bottle", "ml", MOST_ML);
  const pour = bounded(pour_ml, "amount to pour", "ml", 0, MOST_ML);
  if (pour > bottle) throw new Refused("pour_exceeds_bottle", { pour: withUnit(pour, "ml"), bottle: withUnit(bottle, "ml") });
  const values = { bottle_ml: bottle, pour_ml: pour, stop_at_ml: bottle - pour };
  return answer(values, note("bottle_mark", values), [PRACTICE], UNTIL);
}

/**
 * Which bottles to buy for an amount, so that least is left over, and how far to pour each: opened bottles first, then of
 * all sets of new ones the smallest total that is enough, then the fewest. Sizes count in whole ml, rounded down.
 */
export function bottlePlan({ need_ml, sizes_ml, opened_ml = [] }: {
  need_ml: number; sizes_ml: readonly number[]; opened_ml?: readonly number[];
}) {
  const need = positive(need_ml, "amount needed", "ml", MOST_ML);
  const given = several(sizes_ml, "bottle sizes", 1, 8).map((size) => Math.floor(bounded(size, "bottle size", "ml", 10, MOST_ML)));
  const sizes = [...new Set(given)].sort((a, b) => b - a);
  const opened = several(opened_ml, "opened bottles", 0, 10).map((rest) => positive(rest, "opened bottle", "ml", MOST_ML));
  const [first, missing] = pourFrom(opened, true, need);
  const bought = missing > 0 ? cheapestTotal(sizes, Math.ceil(missing)) : [];
  const pours = [...first, ...pourFrom(bought, false, missing)[0]];
  const buy = sizes.filter((size) => bought.includes(size)).map((size) => ({ size_ml: size, count: bought.filter((b) => b === size).length }));
  const [inOpened, bought_ml] = [sum(opened), sum(bought)];
  const left_ml = inOpened + bought_ml - need;
  const working = note("bottle_plan", { need_ml: need, opened_ml: inOpened, bought, left_ml });
  return answer({ buy, pours, bought_ml, left_ml }, working, [ARITHMETIC], UNTIL, bought.length > 0 ? [] : [note("nothing_to_buy")]);
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

/** What to pour from each bottle in turn, and what is still missing. */
function pourFrom(bottles: readonly number[], opened: boolean, amount: number): [Pour[], number] {
  const pours: Pour[] = [];
  let need = amount;
  for (const holds_ml of bottles) {
    const pour_ml = Math.min(holds_ml, need);
    if (pour_ml > 0) pours.push({ opened, holds_ml, pour_ml, stop_at_ml: holds_ml - pour_ml });
    need -= pour_ml;
  }
  return [pours, need];
}

/** The bottles, largest first, whose total is the least that reaches `need`, then the fewest of them. */
function cheapestTotal(sizes: readonly number[], need: number): number[] {
  const unit = sizes.reduce(gcd);
  const units = sizes.map((size) => size / unit);
  const target = Math.ceil(need / unit);
  const fewest = new Array<number>(target + (units[0] ?? 0) + 1).fill(Infinity);
  fewest[0] = 0;
  const before = (total: number, size: number) => (size <= total ? (fewest[total - size] ?? Infinity) : Infinity);
  for (let total = 1; total < fewest.length; total += 1) fewest[total] = 1 + Math.min(...units.map((size) => before(total, size)));
  let total = fewest.findIndex((count, n) => n >= target && count < Infinity);
  const bottles: number[] = [];
  while (total > 0) {
    const size = units.find((candidate) => before(total, candidate) === (fewest[total] ?? 0) - 1) ?? total;
    bottles.push(size * unit);
    total -= size;
  }
  return bottles.sort((a, b) => b - a);
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}
