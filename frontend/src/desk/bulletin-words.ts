// Words about bulletins at the desk: what a job used, who read it, who answered.
import { counted, when } from "./said";

export type Seen = { device: string; wall: string };
export type Answer = Seen & { answer: string; reason: string };

export const bulletinWords = {
  title: "Bulletins",
  about: "Each revision that replaced another, newest first, with the jobs that followed an older one. A job keeps the revision that it began with.",
  none: "No revision has replaced another yet. Once one does, the jobs that went by the older one stand here.",
  noJobs: "No job followed an older revision.",
  noneOpen: "No open job followed an older revision.",
  openOnly: "Only open jobs",
  askingOnly: "Only jobs that ask for a person",
  noneAsking: "No job asks for a person.",
  columns: ["Job", "Phone of", "Followed", "State", "Changed figures used", "Read", "Finished steps that changed"],
  head: (title: string, from: number, to: number): string => `${title}: revision ${to} in place of ${from}`,
  issued: (at: string, by: string): string => `Issued ${when(at)} by ${by}`,
  changes: (safety: number, work: number, words: number): string =>
    [safety && `${counted(safety, "change")} that may hurt someone`, work && `${counted(work, "change")} of the work`, words && `${counted(words, "change")} of words`].filter(Boolean).join(", ") ||
    "No change that a job would notice",
  seen: (seen: Seen | null): string => (seen ? `${seen.device}, ${when(seen.wall)}` : "Not read yet"),
  used: (count: number): string => (count ? counted(count, "figure") : "none"),
  left: (left: number, steps: number): string => (steps === 0 ? "none" : left === 0 ? `${counted(steps, "step")}, all answered` : `${left} of ${counted(steps, "step")} not answered`),
  onJob: (from: number, to: number): string => `Revision ${to} is in force; this job follows ${from}`,
  usedHere: "Figures that this job used and that have changed",
  usedNone: "No figure that a finished step went by has changed.",
  others: "Other changes for this machine",
  steps: "Finished steps that changed, and the answers",
  stepsNone: "No finished step has to be done again or accepted.",
  added: "New step: ",
  noAnswer: "Nobody has answered yet.",
  readBy: (seen: Seen | null): string => (seen ? `Read on the phone of ${seen.device}, ${when(seen.wall)}.` : "Nobody on this job has read it yet."),
};

const ANSWERS: Record<string, string> = { redone: "Done again", accepted: "Stays as it is" };

export const answerInWords = ({ answer, reason, device, wall }: Answer): string =>
  `${ANSWERS[answer] ?? answer}${reason ? `: ${reason}` : ""} (${device}, ${when(wall)})`;
