/**
 * Two-stroke premix: oil for the fuel in the can, correcting a wrong mix, topping up a part-used can.
 * Knows ratios of fuel to oil by volume (32 means 32 parts fuel to one of oil); a higher number is leaner in oil.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { bounded, positive } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

const MOST_ML = 200_000;
const UNTIL = [note("amount_in_can_not_known"), note("ratio_from_maker")];
const NOTES = [note("higher_ratio_is_leaner")];

function ratioOf(value: number, what: string): number {
  return bounded(value, what, ":1", 10, 200);
}

/** Oil for the fuel that is in the can: oil = fuel / R. Throws `engine_has_oil_pump`. */
export function premixOil({ fuel_ml, ratio, oil_injection = false }: { fuel_ml: number; ratio: number; oil_injection?: boolean }) {
  const fuel = positive(fuel_ml, "fuel in the can", "ml", MOST_ML);
  const parts = ratioOf(ratio, "ratio of fuel to oil");
  if (oil_injection) throw new Refused("engine_has_oil_pump");
  const values = { oil_ml: fuel / parts, mix_ml: fuel + fuel / parts, oil_share_percent: 100 / (parts + 1) };
  return answer(values, note("premix_oil", { ...values, fuel_ml: fuel, ratio: parts }), [ARITHMETIC], UNTIL, NOTES);
}

/** What to add to a wrong mix: oil when it is too lean in oil, fuel when it is too rich. Throws `can_too_small`. */
export function premixCorrect({ mix_ml, ratio_now, ratio_wanted, can_ml = null }: {
  mix_ml: number; ratio_now: number; ratio_wanted: number; can_ml?: number | null;
}) {
  const mix = positive(mix_ml, "mix in the can", "ml", MOST_ML);
  const now = ratioOf(ratio_now, "ratio now");
  const wanted = ratioOf(ratio_wanted, "ratio wanted");
  const [fuel_ml, oil_ml] = [(mix * now) / (now + 1), mix / (now + 1)];
  const add_oil_ml = Math.max(fuel_ml / wanted - oil_ml, 0);
  const add_fuel_ml = Math.max(oil_ml * wanted - fuel_ml, 0);
  const total = mix + add_oil_ml + add_fuel_ml;
  if (can_ml !== null && total > positive(can_ml, "can", "ml", MOST_ML)) {
    throw new Refused("can_too_small", { total: withUnit(total, "ml"), can: withUnit(can_ml, "ml") });
  }
  const values = { add_oil_ml, add_fuel_ml, mix_ml: total };
  return answer(values, note("premix_correct", { ...values, fuel_ml, oil_ml, ratio_wanted: wanted }), [ARITHMETIC], UNTIL, NOTES);
}

/** Oil to add together with fresh fuel to a part-used can. Throws `mix_stays_too_rich`. */
export function premixTopUp({ mix_ml, ratio_now, add_fuel_ml, ratio_wanted }: {
  mix_ml: number; ratio_now: number; add_fuel_ml: number; ratio_wanted: number;
}) {
  const mix = bounded(mix_ml, "mix in the can", "ml", 0, MOST_ML);
  const fresh = positive(add_fuel_ml, "fresh fuel", "ml", MOST_ML);
  const now = ratioOf(ratio_now, "ratio now");
  const wanted = ratioOf(ratio_wanted, "ratio wanted");
  const [fuel_ml, oil_ml] = [(mix * now) / (now + 1) + fresh, mix / (now + 1)];
  const add_oil_ml = fuel_ml / wanted - oil_ml;
  if (add_oil_ml < 0) throw new Refused("mix_stays_too_rich", { fuel: withUnit(oil_ml * wanted - fuel_ml, "ml") });
  const values = { add_oil_ml, mix_ml: mix + fresh + add_oil_ml };
  return answer(values, note("premix_top_up", { ...values, fuel_ml, oil_ml, ratio_wanted: wanted }), [ARITHMETIC], UNTIL, NOTES);
}
