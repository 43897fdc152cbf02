/** What leads to the numbers; the words behind the door are in numbers-words.ts, which comes with them. */
export const doorWords = {
  title: "Numbers",
  opening: "Opening the calculations …",
  openingPart: "Opening …",
  again: "Open the page again",
  lead: "Numbers and my wrenches",
  leadLine: "Torque on your wrench, fluids, shims, sag, tyres, trail-side. They work with no signal.",
  withMyWrench: "With my wrench",
  ofStep: "Numbers for this step",
};
