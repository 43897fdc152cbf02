/**
 * Every bench calculation by its Python name, for the check vectors and the comparison of the two languages.
 * The phone opens its calculations in two pieces: each takes its own half.
 */
import type { Answer } from "./answer";
import { BENCH_CALCULATIONS } from "./calculations-bench";
import { SERVICE_CALCULATIONS } from "./calculations-service";

export const CALCULATIONS: Readonly<Record<string, (input: any) => Answer>> = { ...BENCH_CALCULATIONS, ...SERVICE_CALCULATIONS };
