/** The words of the library and of the page before a job starts. */
import type { ManifestPack } from "../store/bench";
import { bytesInWords, counted, dateInWords, listed } from "./say";

export const libraryWords = {
  title: "Library",
  find: "Find a procedure",
  findHint: "By a word of its title or summary.",
  none: "The library is empty. Connect once, and the dealer’s procedures come onto this phone.",
  noMatch: (text: string) => `Nothing in the library has “${text}” in it. Try one shorter word.`,
  forMachine: "For",
  all: "Everything",
  anywhere: "At the trail-side, any machine",
  onPhone: (count: number, bytes: number) => `On this phone: ${counted(count, "procedure")}, ${bytesInWords(bytes)}.`,
  keep: "Keep on this phone",
  goOnKeeping: "Keep the rest on this phone",
  kept: "All on this phone",
  refresh: "Check with the dealer",
  checking: "Asking the dealer …",
  stop: "Stop",
  notKept: "Needs a connection to open",
  older: (older: ManifestPack) => `Revision ${older.revision} is on this phone; a newer one is out`,
  notYours: "Not for this machine",
  checked: (at: string | null, age: "fresh" | "old" | "unknown", days: number | null) => {
    if (at === null) return "The figures have never been checked against the dealer from this phone.";
    if (age === "unknown")
      return `Figures last checked against the dealer on ${dateInWords(at)}. The phone’s clock cannot be trusted, so their age is not known.`;
    const ago = days === null || days < 1 ? "today" : `${counted(Math.floor(days), "day")} ago`;
    return `Figures last checked against the dealer on ${dateInWords(at)}, ${ago}.${age === "old" ? " Check again before relying on them." : ""}`;
  },
  dealer: "Dealer this phone reads from",
  issued: (revision: number, issued: string) => `Revision ${revision}, ${dateInWords(issued)}`,
  partly: (have: number, all: number) => `${have} of ${all} on this phone`,
};

const CLASSES: Record<string, string> = {
  brakes: "brakes",
  steering: "steering",
  fuel: "fuel",
  wheels: "wheels",
  throttle: "throttle",
  lifting: "a lifted machine",
};

/** "brakes and wheels"; null when there is no class beyond normal. */
export function classesInWords(safety: readonly string[]): string | null {
  const named = safety.filter((name) => name !== "normal").map((name) => CLASSES[name] ?? name);
  return named.length === 0 ? null : listed(named);
}

/** The safety classes of a procedure as a remark: "Concerns brakes". */
export function safetyInWords(safety: readonly string[]): string | null {
  const classes = classesInWords(safety);
  return classes && `Concerns ${classes}`;
}

export const startWords = {
  title: "Before you start",
  opening: "Opening the procedure …",
  toLibrary: "What fits it",
  fits: (machine: string) => `This is for your ${machine}.`,
  fitsAny: "This is for any machine.",
  refuses: (title: string, machine: string) => `${title} is not for your ${machine}.`,
  refusesWhy: "Its parts, figures or steps differ on your machine. Following it could harm you or the machine.",
  refusesDo: "Look in the library for one that fits, or ask the dealer.",
  otherModel: (model: string) => `It is written for ${model}.`,
  choose: "Which machine is it for?",
  addOne: "Add a machine",
  openAlready: "This job is already open on this machine.",
  openGo: "Go on with the open job",
  invented: "Invented for demonstration. Not for use on a real machine.",
  people: (people: number) => `${counted(people, "person", "people")} needed`,
  stop: "Stop and ask",
  conditions: "Before step 1",
  cautions: "Cautions in this job",
  have: "Tick what you have",
  parts: "Parts",
  singleUse: "New every time (single-use)",
  tools: "Tools",
  fluids: "Fluids",
  supplies: "Supplies",
  none: "none",
  perhaps: "only if the inspection says so",
  amountUnknown: "amount not known: ask the dealer",
  setTo: (name: string, value: string) => `${name} set to ${value}`,
  already: (name: string, how: string) => `${name}: ${how}`,
  ticked: (have: number, all: number) => `${have} of ${all} ticked`,
  hours: "Hours on the meter now",
  start: "Start the job",
  starting: "Starting …",
  disposal: "Disposal",
  author: (author: string, revision: number, issued: string) => `${author}. Revision ${revision}, ${dateInWords(issued)}.`,
  steps: (count: number, minutes: number) =>
    minutes > 0 ? `${counted(count, "step")}, about ${durationInWords(minutes)} by the author’s estimate` : counted(count, "step"),
  notHere: "This procedure is not in the library on this phone.",
};

export function durationInWords(minutes: number): string {
  const whole = Math.round(minutes);
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${whole % 60} min`;
}
