/** The calculations of the first piece, by name. */
import { BENCH_CALCULATIONS } from "../../../domain/calculations-bench";
import { byName } from "./shared";

export const by = byName(BENCH_CALCULATIONS);
