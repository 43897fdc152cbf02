/**
 * The functions that shared/vectors may call, by their Python name. Add one line here and one in tests/domain/vector_functions.py.
 * A vector calls a function with its `input` as named arguments; what it gives back must be plain data.
 */
import { CALCULATION_FUNCTIONS } from "./calculation-functions";
import { guardHolds } from "./guards";

// `any`: what a vector holds is known to the vector only, and a wrong call fails its case
export type VectorInput = any;

export const FUNCTIONS: Record<string, (input: VectorInput) => unknown> = {
  guard_holds: (i) => guardHolds(i.guard, i.variant),
  ...CALCULATION_FUNCTIONS,
};
