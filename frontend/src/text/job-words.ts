/** The words of a job: its steps, figures, ledger, notes. */
import type { StageShown } from "../components/figure-shown";
import { numberText } from "../domain/rounding";
import type { Action, Figure, Joint } from "../store/bench";
import { counted, listed, someOf, whenInWords } from "./say";

export const figureWords = {
  label: (name?: string): string => (name ? `Figure: ${name}` : "Figure"),
  stage: ({ n, of, share, angleDeg }: StageShown): string =>
    `Stage ${n} of ${of}${angleDeg !== null ? ": turn further by" : share !== null && share !== 100 ? `: ${numberText(share)} % of the figure` : ": the whole figure"}`,
  published: ({ as_published, tolerance, condition }: Figure): string =>
    `Published as ${as_published}${tolerance ? ` ${tolerance}` : ""}${condition ? `, ${condition}` : ""}.`,
  from: ({ source, revision }: Figure, age: string): string => `${source}${revision ? `, revision ${revision}` : ""}; ${age}.`,
  unknown: "Figure not known",
  unknownDo: "Do not guess it. Ask the dealer, or look in the maker’s documents.",
  newer: (revision: number): string => `Revision ${revision} says:`,
  newerDo: "The newer one holds, unless the dealer told you otherwise.",
  byHand: (words: string): string => `By hand: ${words}`,
  atLeast: "at least",
  atMost: "at most",
};

/** The dealer's answers to what was written in a job; the words of one answer are in beside-words.ts, which come with it. */
export const answerWords = {
  fresh: (n: number): string => (n === 1 ? "New answer from the dealer" : `${n} new answers from the dealer`),
  closed: "Answered since you closed it",
};

export const newsWords = {
  lead: (revision: number): string => `Revision ${revision} is out: what changed`,
  means: (used: number, left: number): string =>
    [used > 0 && `${counted(used, "figure")} that you used changed`, left > 0 ? `${counted(left, "finished step")} to see to` : "nothing left to see to"]
      .filter(Boolean)
      .join(", "),
  closed: "Changed since you did it",
};

const VERBS: Record<string, string> = {
  undo: "Undo",
  slacken: "Slacken",
  start: "Start by hand",
  tighten: "Tighten",
  remove: "Remove",
  hang: "Hang aside",
  fit: "Fit",
  renew: "Renew",
  inspect: "Inspect",
  clean: "Clean",
  apply: "Apply",
  drain: "Drain",
  fill: "Fill",
  measure: "Measure",
  adjust: "Adjust",
  test: "Test",
  run: "Run",
  bleed: "Bleed",
  level: "Check the level",
  wait: "Wait",
  photograph: "Photograph",
  set: "Set",
  pose: "Position",
  aid_on: "Put on",
  aid_off: "Take off",
  note: "Read",
};

export const verbInWords = (verb: string): string => VERBS[verb] ?? verb;

const PLACE_DONE: Record<string, string> = { undo: "undone", slacken: "slackened", start: "started", tighten: "tight" };
export const placeDoneInWords = (verb: string): string => PLACE_DONE[verb] ?? "done";

const TREATMENTS: Record<string, string> = {
  dry: "thread dry",
  oil: "thread oiled",
  grease: "thread greased",
  locker: "thread locker",
  sealant: "thread sealant",
};
/** What goes on the thread; null when the map asks for nothing. */
export const treatmentInWords = ({ kind, supply }: Joint["treatment"], supplyName: string | null): string | null =>
  kind === "none" ? null : `${TREATMENTS[kind] ?? kind}${supply && supplyName ? `: ${supplyName}` : ""}`;

const JOINT_STATES: Record<string, string> = {
  undone: "undone",
  started: "started by hand",
  slack: "slack",
  staged: "part tightened",
  final: "final",
};
export const jointStateInWords = (state: string): string => JOINT_STATES[state] ?? state;

export const stepWords = {
  at: (n: number, of: number): string => `${n} of ${of}`,
  rule: (n: number, of: number, done: number, skipped: number): string => `Step ${n} of ${of}; ${done} done, ${skipped} skipped`,
  done: "Done",
  goOn: "Go on",
  next: "Next",
  back: "Back",
  more: "More",
  note: "Note",
  photo: "Photo",
  ledger: "Ledger",
  closeOut: "Close out",
  readingFirst: "Write the reading first, or skip the step with a reason.",
  outsideFirst: "The reading is outside its limit. Stop here, or go on with a reason.",
  doneAt: (wall: string): string => `Done ${whenInWords(wall)}`,
  takeBack: "Take the tick back",
  takeBackSkip: "Take the skip back",
  takenBack: "Taken back, saved on this phone",
  skippedFor: (reason: string): string => `Skipped: ${reason}`,
  saved: "Saved on this phone",
  saving: "Saving …",
  lookFor: "Look for",
  picture: "Picture",
  pictureGone: "The picture is not on this phone.",
  pictureComing: "Fetching the picture …",
  places: (ticked: number, all: number): string => (ticked === 0 ? counted(all, "place") : `${ticked} of ${all} ticked`),
  drawing: "Drawing",
  awake: "Stays awake",
  maySleep: "Screen may sleep",
  reading: (unit: string): string => `Reading in ${unit}`,
  keepReading: "Keep it",
  changeReading: "Measure again",
  within: (text: string): string => `${text}: within the limit.`,
  outside: (text: string): string => `${text}: outside the limit.`,
  unknownLimit: (text: string): string => `${text}: the limit is not known. Ask the dealer.`,
  noLimit: (text: string): string => `${text}: written down. No limit is given for it.`,
  ifWithin: "Within:",
  ifOutside: "Outside:",
  goOnAnyway: "Go on all the same",
  goOnReason: "Why do you go on?",
  wentOn: (reading: string, reason: string): string => `Went on although the reading was outside its limit (${reading}): ${reason}`,
  reasonMissing: "Write the reason.",
  otherStep: "This step is not part of the job on this machine.",
  otherStepDo: "The link is from another machine, or the step belongs to another year or option.",
  toPlace: "Go to where the job stands",
  unknownJob: {
    happened: "There is no such job on this phone.",
    means: "It was begun on another phone, or the link was cut short. Nothing of yours is lost.",
    do: "Your jobs are on the bench.",
  },
  opening: "Opening the job …",
  closed: "This job is closed. It can be read, not changed.",
  newerOut: (revision: number): string => `Revision ${revision} is out.`,
  changedHere: (revision: number): string => `Changed in revision ${revision}: see what`,
};

export const moreWords = {
  title: "More for this step",
  note: "Write a note",
  photo: "Take a photo",
  ledger: "Tray and ledger",
  torques: "Torque sheet",
  notes: "Notes and photos",
  timer: "Time this step",
  skip: "Skip this step",
  pause: "Stop for now",
  wayOut: "Stopping here?",
  close: "Close out the job",
  back: "Back",
};

export const skipWords = {
  title: "Skip this step",
  reason: "Why is it skipped?",
  reasonHint: "The dealer reads this. Close-out will ask about what the step leaves open.",
  confirm: "Skip it",
  careful: (what: string): string => `This step concerns ${what}. Skipping it can make the machine unsafe.`,
  cautioned: "This step carries a caution. Skipping it can make the machine unsafe.",
  sure: "I have understood: skip it",
  keep: "Back",
};

export const noteWords = {
  title: "Note",
  text: "What did you see or do?",
  save: "Save the note",
  empty: "Write something first.",
  photoTitle: "Photo",
  caption: "Caption",
  captionHint: "May stay empty.",
  camera: "Camera",
  file: "From the phone",
  securing: "Saving the photo on this phone …",
  safe: "Photo safe on this phone",
  place: "Place and camera data are taken out before it is sent.",
};

export const timerWords = {
  start: "Start the timer",
  stop: "Stop and keep",
  again: "Start again",
  of: (minutes: number): string => `of ${numberText(minutes)} min`,
  over: "The time is up",
  kept: (clock: string): string => `Timed: ${clock}`,
  running: "Timer runs",
};

export const resumeWords = {
  title: (n: number, of: number): string => `You are at step ${n} of ${of}`,
  atEnd: "All steps are done or skipped.",
  off: "Off the machine",
  loose: "Loose, not final",
  drained: "Drained, not filled",
  aids: "Still on",
  nothing: "Nothing is off, loose or drained.",
  go: "Go on",
  paused: (wall: string): string => `Stopped ${whenInWords(wall)}`,
};

export const stripWords = {
  off: "off",
  loose: "loose",
  drained: "drained",
  label: (off: string[], loose: string[], drained: string[]): string =>
    [
      off.length ? `Off: ${someOf(off)}` : "",
      loose.length ? `Loose: ${someOf(loose)}` : "",
      drained.length ? `Drained: ${someOf(drained)}` : "",
    ]
      .filter(Boolean)
      .join(". ") || "Nothing off, loose or drained",
  open: "Open tray and ledger",
};

export const ledgerWords = {
  title: "Tray and ledger",
  tray: "Tray",
  joints: "Joints touched",
  allFinal: "No joint has been touched.",
  fluids: "Fluids",
  drained: "drained, not filled",
  filled: "filled, level not yet checked",
  machine: "How the machine stands",
  aids: (name: string): string => `${name} is on`,
  setTo: (name: string, value: string): string => `${name}: ${value}`,
  sidesNote: "Counted from what you ticked.",
  fasteners: (count: number): string => counted(count, "fastener"),
};

export const torqueWords = {
  title: "Torque sheet",
  none: "No step of this job carries a torque.",
  step: (all: number[]): string => `Step ${listed(all.map(String))}`,
  stage: (n: number, { share, angleDeg }: StageShown): string =>
    `step ${n}: ${angleDeg !== null ? `${numberText(angleDeg)}° further` : `${numberText(share ?? 100)} %`}`,
  unknown: "figure not known: ask the dealer",
};

export const notesWords = {
  title: "Notes and photos",
  none: "Nothing yet. Notes and photos are saved on this phone first.",
  add: "Write a note",
  addPhoto: "Add a photo",
  atStep: (n: number): string => `Step ${n}`,
  whole: "The whole job",
  reading: "Reading",
  damaged: "This photo no longer matches what was saved. It is kept, but cannot be shown.",
  missing: "This photo is not on this phone.",
  photoOf: (caption: string): string => caption || "Photo",
  takeBack: "Take this note back",
  takeBackYes: "Yes, take it back",
  takeBackNo: "Keep it",
};

/** "5 × M6x1" of a joint; "pump cover screws" is named beside it. */
export function fastenersInWords(joint: Joint): string {
  const count = joint.positions.length;
  return [count > 1 ? `${count} places` : "", joint.thread ?? ""].filter(Boolean).join(", ");
}

export type ActionNames = { object: string; to: string | null };
/** One action as a short line: "Tighten: pump cover screws". */
export const actionInWords = (action: Action, { object, to }: ActionNames): string => {
  if (action.verb === "wait") return `Wait ${numberText(action.minutes ?? 0)} min`;
  if (action.verb === "note") return verbInWords("note");
  const value = action.value ? ` to ${action.value}` : to ? ` to ${to}` : "";
  return `${verbInWords(action.verb)}: ${object}${value}`;
};
