/** The words of close-out. */
import type { Outcome } from "../store/bench";
import { counted } from "./say";

const ITEMS: Record<string, (name: string) => string> = {
  joint_not_made: (name) => `${name}: undone, not made again.`,
  joint_not_final: (name) => `${name}: not tightened to the end.`,
  part_not_on: (name) => `${name}: still off the machine.`,
  fluid_not_filled: (name) => `${name}: drained, not filled.`,
  level_not_checked: (name) => `${name}: filled, level not checked.`,
  aid_left: (name) => `${name}: still on the machine.`,
  pose_not_restored: (name) => `The machine does not stand as it should: ${name}.`,
  setting_not_restored: (name) => `${name}: not set back.`,
  single_use_reused: (name) => `${name}: single-use, opened and not renewed.`,
  follow_on_missing: (name) => `${name}: due after this work, not done.`,
};

export const endItemInWords = (code: string, name: string): string =>
  (ITEMS[code] ?? ((other: string) => `${other}: left open (${code}).`))(name);

export const closeWords = {
  title: "Close out",
  clear:
    "Nothing is left open. Every joint touched is final, every part is on, every fluid is filled and checked, as far as your ticks say.",
  left: (n: number): string => `${counted(n, "thing")} not final. Go back to each, or give a reason.`,
  go: (n: number): string => `Go to step\u00a0${n}`,
  reason: "Reason",
  reasonHint: "The dealer reads it.",
  reasonMissing: "Write the reason.",
  accept: "Leave it so",
  safety: (what: string): string => `Concerns ${what}. Riding or using the machine like this can injure or kill.`,
  block: "Riding or using the machine like this can injure someone or destroy it.",
  sure: "I have understood: leave it so",
  undo: "Not so: I go back to it",
  openSteps: (n: number): string => `${counted(n, "step")} neither done nor skipped`,
  openStepsReason: "One reason for all of these",
  skipAll: "Skip them with this reason",
  outcome: "How does the job end?",
  outcomes: { finished: "Finished", handed_over: "Handed over to someone else", given_up: "Given up" } satisfies Record<Outcome, string>,
  outcomeMissing: "Choose how the job ends.",
  words: "Last words to the dealer",
  wordsHint: "May stay empty.",
  close: "Close the job",
  stillOpen: "Each thing above needs going back or a reason first.",
  accepted: "Left so, with a reason",
  closed: (outcome: Outcome, when: string): string => `Closed ${when}: ${closeWords.outcomes[outcome].toLowerCase()}.`,
  closedDo: "It can be read, not changed.",
  test: "Before you ride or drive: test brakes, steering and throttle standing, then slowly.",
  file: "Make one file of the whole job",
};
