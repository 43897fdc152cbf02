// Words about where a procedure can be stopped, for its author.
import { counted } from "../text/say";

export const stopsWords = {
  view: "Stopping",
  about:
    "After each step: can the machine be left like this for the night, or pushed away, and if not the shortest way there. A step where the way is long is a bad place to stop.",
  aims: { leave: "For the night", push: "To push it away" },
  counts: { leave: "It can be left as it is after:", push: "It can be pushed as it is after:" },
  of: (n: number, all: number): string => `${n} of ${counted(all, "step")}`,
  longest: (minutes: number, places: string): string => `Longest way: ${counted(minutes, "minute")}, after ${places}`,
  none: (n: number): string => `No way is known after ${counted(n, "step")}`,
  untimed: (n: number): string => `After ${counted(n, "step")} the time of the way is not known`,
  start: "Before the first step",
  step: (n: number): string => `step ${n}`,
  now: "as it is",
  noWay: "no way is known",
  working: (n: number, all: number): string => `Worked out for ${n} of ${all} steps …`,
  noPack: "The text cannot be followed yet, so nothing can be said of where it can be stopped. Mend its faults first.",
  stripHalves: ["to leave it", "to push it"] as const,
  strip: "Minutes to where it can be left, above the line, and to where it can be pushed, below, step by step",
  honest: "This counts only what the text and the map say. What somebody sees on the machine goes first, and so do the maker’s documents.",
};
