/** The calculations that have a screen, as far as their piece is open. */
import type { Calculator } from "./calculator";

const known: Calculator[] = [];

export const calculators = (): readonly Calculator[] => known;

/** Adds what a piece brings; a piece is opened once. */
export function addCalculators(brought: readonly Calculator[]): void {
  known.push(...brought.filter(({ name }) => known.every((each) => each.name !== name)));
}
