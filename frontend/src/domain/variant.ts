/** One valid choice of a model: its year, and the ids of the fitted options, sorted (shared/README.md §2). */
export type Variant = { year: number; options: string[] };

/** The variant of a machine, options sorted as ASCII and each once; null when there is no machine. */
export function variantOf(machine: { year: number; options: readonly string[] } | null): Variant | null {
  return machine && { year: machine.year, options: [...new Set(machine.options)].sort() };
}
