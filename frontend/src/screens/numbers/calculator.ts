/** What one calculation is to the screens: its fields, what it calls, and how its answer is said and drawn. */
import type { ComponentChild } from "preact";
import type { Answer } from "../../domain/answer";
import type { CautionText } from "../../components/caution-card";
import type { Shown } from "../../domain/figure-display";
import type { Group } from "../../text/numbers-words";
import type { Around, Field, Form, Input } from "./fields";

/** The answer at its largest: an amount in a canonical unit, or a few words. `about` says what it is. */
export type Hero = { about: string } & ({ amount: number; unit: string } | { text: string; unit: string; other?: string } | { words: string } | { each: readonly Shown[] });
export type Said = { hero: Hero; lines?: readonly string[]; drawing?: ComponentChild; working?: string; below?: ComponentChild };
export type Filled = { form: Form; said: string };
export type Calculator = {
  name: string; title: string; line: string; group: Group; fields: readonly Field[];
  work: (input: Input, around: Around) => Answer;
  // the values of an answer are as different as the calculations
  said: (values: any, input: Input, around: Around) => Said;
  /** A screen of its own, for what is not typed into fields. */
  room?: (props: { calculator: Calculator }) => ComponentChild;
  /** Takes fields from what this phone keeps, and says what it took. */
  fill?: { press: string; from: () => Promise<Filled> };
  /** Marked as a check that never replaces a printed figure. */
  check?: boolean;
  caution?: CautionText;
};
