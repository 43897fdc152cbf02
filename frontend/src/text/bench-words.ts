/** The words of the bench, the machine form and the pages about Benchtrail itself. */
import type { Machine, StorageState } from "../store/bench";
import { bytesInWords, listed } from "./say";

export const benchWords = {
  title: "Bench",
  opening: "Opening the notes on this phone …",
  again: "Try again",
  invented: (dealer: string) => `${dealer} is an invented dealer. Nothing here is for use on a real machine.`,
  openJobs: "Open jobs",
  closedJobs: "Finished and put away",
  machines: "My machines",
  noMachines: "No machine yet. Add yours, and the library shows what fits it.",
  add: "Add a machine",
  fits: "What fits it",
  change: "Change",
  resume: "Go on",
  goOnTo: (done: number, total: number) => `${done} of ${total} steps done`,
  allClear: "Nothing off, loose or drained",
  newerFigures: (revision: number) =>
    `Revision ${revision} of this procedure is out. This job stays on the one it began with; changed figures are marked at their step.`,
  updateReady: "A new version of Benchtrail is ready. Your notes stay as they are.",
  updateUse: "Use it now",
  updateHeld: "The new version waits until no job is on screen in any tab.",
  updateFailed: "A new version could not be put on this phone. This one goes on working; the next try comes by itself.",
};

export const firstWords = {
  title: "Benchtrail",
  is: "A workshop job, step by step, on your phone. It works with no signal, keeps track of what is off, loose or drained, and sends your notes and photos to the dealer when there is signal again.",
  isNot: [
    "It does not replace the maker’s documents. Where they differ, they hold.",
    "It does not make you a mechanic. Brakes, fuel, steering and lifting can kill; stop and ask when unsure.",
    "It never guesses a figure. A figure that is not known is shown as not known.",
  ],
  see: "Procedures",
};

export const installWords = {
  install: "Put Benchtrail on this phone",
  why: "A browser tab may be cleared by the phone, notes included. Installed, the notes are kept safer, and it opens like any app.",
  how: "In the browser’s menu choose “Install” or “Add to Home Screen”.",
  installed: "Installed on this phone.",
};

export function storageInWords({ persisted, installed, usage }: StorageState): string {
  const amount = usage === null ? "" : ` ${bytesInWords(usage)} in use.`;
  if (persisted) return `Notes on this phone are protected from clearing.${amount}`;
  if (installed) return `Notes are on this phone. It has not promised to keep them when it runs full.${amount}`;
  return `Notes are in this browser tab. The phone may clear them after a while.${amount}`;
}

export const machineWords = {
  newTitle: "Add a machine",
  changeTitle: "Change the machine",
  model: "Model",
  modelMissing: "Choose the model.",
  noModels: "This phone has not seen the dealer’s models yet. Connect once and fetch the library.",
  fetch: "Fetch the library",
  year: "Model year",
  yearMissing: "Choose the model year; it stands on the frame plate.",
  options: "Fitted to it",
  optionsNone: "This model has no options.",
  group: "Fitted is one of",
  groupMissing: "Choose which one is fitted.",
  name: "Your name for it",
  nameHint: "So that you tell two of a kind apart.",
  nameMissing: "Give it a name.",
  hours: "Hours run",
  hoursHint: "As the hour meter shows. Leave empty when not known.",
  hoursWrong: "Write hours as a number from 0 to 100 000, such as 84.5.",
  serial: "Serial number",
  serialHint: "Only for your own notes and the dealer. May stay empty.",
  save: "Save",
  saved: "Machine saved on this phone",
  remove: "Remove this machine",
  removeAsk: "Jobs done on it stay. The machine itself is forgotten on this phone.",
  removeYes: "Yes, remove it",
  removeNo: "Keep it",
  gone: "This machine is not on this phone.",
  goneDo: "It may have been removed in another tab. Your jobs are on the bench.",
};

/** "Hobmoor Fell 250, 2023, with kick starter and skid plate". */
export function variantInWords(model: string, year: number, options: string[]): string {
  return `${model}, ${year}${options.length > 0 ? `, with ${listed(options)}` : ""}`;
}

export const hoursInWords = (hours: number | null): string => (hours === null ? "hours not known" : `${hours} h`);

export const ownName = (machine: Pick<Machine, "name" | "modelName">): string => (machine.name === "" ? machine.modelName : machine.name);

export const lostWords = {
  title: "No such page",
  happened: (path: string) => `Benchtrail has no page at ${path}.`,
  means: "The link is old, was cut short, or was mistyped. Nothing of yours is lost.",
  do: "Go to the bench, where your machines and jobs are.",
  go: "To the bench",
};
