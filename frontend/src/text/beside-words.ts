/** The words beside the steps of a job: where it can be stopped, what comes off, what else is due. */
import { counted, sentence } from "./say";

const minutesInWords = (minutes: number): string => {
  const whole = Math.round(minutes);
  return whole < 1 ? "less than a minute" : counted(whole, "minute");
};

/** "about 12 minutes"; what states no time is said and not guessed. */
export function timeInWords(minutes: number, untimed: number): string {
  if (untimed === 0) return `about ${minutesInWords(minutes)}`;
  const rest = `${counted(untimed, "of them states", "of them state")} no time`;
  return minutes > 0 ? `more than ${minutesInWords(minutes)}: ${rest}` : `time not known: ${rest}`;
}

/** How long a way is: steps further, things to make good, which comes first, and the time in words. */
export type WaySize = { steps: number; acts: number; stepFirst: boolean; time: string };

function wayInWords({ steps, acts, stepFirst }: WaySize): string {
  const [on, good] = [`${counted(steps, "step")} further`, `make good ${counted(acts, "thing")}`];
  if (steps === 0 || acts === 0) return steps === 0 ? good : on;
  return stepFirst ? `${on}, then ${good}` : `${good} and go ${on}, as told`;
}

export const stopWords = {
  title: "Stopping here?",
  back: "Back to the step",
  leave: "For the night",
  push: "To push it away",
  stands: { leave: "It can be left standing as it is.", push: "It rolls as it is." },
  on: { leave: "Then it can be left standing.", push: "Then it rolls." },
  none: { leave: "Do not leave it like this: no way is known.", push: "Do not push it: no way is known." },
  first: (way: WaySize): string => `${sentence(wayInWords(way))}, ${way.time}.`,
  or: (way: WaySize): string => `Or ${wayInWords(way)}, ${way.time}.`,
  seeTo: "See to this before you go:",
  seeToThen: "Then see to this before you go:",
  against: (n: number): string => `What speaks against it now (${n})`,
  unknown: "Not known, so not safe:",
  cover: (names: string): string => `Cover the openings: ${names}.`,
  toStep: (n: number): string => `step ${n}`,
  newNeeded: "a new one is needed",
  honest: "This counts only what the job has written down. What you see on the machine goes first, and so do the maker’s documents.",
  line: {
    now: "it can be left standing as it is",
    way: (way: WaySize): string => `${wayInWords(way)}${way.steps === 0 ? " first" : ""}, ${way.time}`,
    none: "not like this",
  },
};

const METERS: Record<string, string> = { hours: "hour", km: "km", starts: "start", days: "day", months: "month" };
const intervalInWords = (every: readonly { meter: string; every: number }[]): string =>
  every.map(({ meter, every: n }) => (meter === "km" ? `${n} km` : counted(n, METERS[meter] ?? meter))).join(" or ");

export const alsoWords = {
  title: "While it is apart",
  withThis: "Done by this job.",
  cost: (more: number, alone: number): string =>
    more < 0.5 ? `No minutes more now, ${minutesInWords(alone)} on its own.` : `${counted(Math.round(more), "minute")} more now, ${Math.round(alone)} on its own.`,
  due: (state: string, every: readonly { meter: string; every: number }[]): string => {
    const interval = `every ${intervalInWords(every)}`;
    if (state === "overdue") return `Overdue on this phone’s record: ${interval}.`;
    if (state === "due_soon") return `Due soon on this phone’s record: ${interval}.`;
    if (state === "ok") return `Not due yet on this phone’s record: ${interval}.`;
    return `If it is due (${interval}): this phone does not know when it was last done.`;
  },
  acts: (n: number): string => `What more there is to do (${n})`,
  source: (source: string): string => `Interval: ${source}.`,
  honest: "Minutes are estimates for comparing. Do it by its own procedure, and order what it needs before you start.",
};

export const comesOffWords = {
  title: "What comes off",
  layer: (n: number): string => (n === 1 ? "Layer 1: rests on nothing" : `Layer ${n}`),
  after: (numbers: number[]): string => `after ${numbers.join(", ")}`,
  joints: (n: number): string => counted(n, "joint"),
  asOne: (n: number): string => `leaves as one, ${counted(n, "part")}`,
  before: (n: number): string => `${counted(n, "piece")} in all, from the outside in.`,
  during: (off: number, back: number, all: number): string => `${off} of ${all} off or open, ${back} back and made fast.`,
  state: { on: "on", off: "off", aside: "hangs", loose: "not tight", back: "back", drained: "drained", unchecked: "not checked" } as Record<string, string>,
};

export const answerCardWords = {
  title: "Answer from the dealer",
  fresh: "New answer from the dealer",
  to: (text: string): string => `To: “${text}”`,
  toEntry: { reading: "To your reading", photo: "To your photo", skip: "To what you skipped", other: "To what you wrote down" },
  by: (name: string, when: string): string => `${name}, ${when}`,
  read: "I have read this",
  wasRead: (when: string): string => `Read ${when}`,
  writeBack: "Write back",
};
