// Words about jobs as files: taken in, taken out, and erasing what a job holds.
import { counted } from "./said";

export type TakenIn = {
  job: string;
  stored: number;
  known: number;
  quarantined: number;
  photos: number;
  photos_known: number;
  photos_missing: number;
  equal: boolean;
  pack_known: boolean;
};

export const fileWords = {
  title: "Take in a job from a file",
  about: "A phone without a network writes a job to a file: under “Sending”, “Make the file”. Another Benchtrail server's desk writes the same kind. Taking the same file in twice changes nothing.",
  file: "Job file (.json)",
  act: "Take it in",
  reading: "Reading the file …",
  onlyAuthors: "An author or owner takes files in; your account reads.",
  open: "Open the job",
  apart: "See the entries kept apart",
  done: (name: string): string => `${name} was taken in.`,
  out: "Take this job out as a file",
  outAbout: "its entries, its photos that arrived and its procedure",
};

/** What came of a file, a sentence each; what asks for a person last. */
export function takenInWords(found: TakenIn): string[] {
  const told: string[] = [];
  if (found.stored + found.photos === 0 && found.quarantined === 0) told.push("Nothing in it was new.");
  if (found.stored) told.push(`${counted(found.stored, "entry", "entries")} new.`);
  if (found.known) told.push(`${counted(found.known, "entry", "entries")} already here: ${found.known === 1 ? "it stays as it is" : "they stay as they are"} here, and what was erased stays erased.`);
  if (found.photos) told.push(`${counted(found.photos, "photo")} new.`);
  if (found.photos_known) told.push(`${counted(found.photos_known, "photo")} already here.`);
  if (found.quarantined) told.push(`${counted(found.quarantined, "entry", "entries")} cannot count as sent, kept apart for a person.`);
  if (found.photos_missing) told.push(`${counted(found.photos_missing, "photo")} named in the job ${found.photos_missing === 1 ? "is" : "are"} neither in the file nor here: let the phone send, or make the file again.`);
  if (!found.pack_known) told.push("The procedure that the job followed was not published here. Its entries are kept; its steps cannot be shown.");
  told.push(found.equal ? "The job here has the same entries as the file, no more and no fewer." : "The job here does not have the same entries as the file: it has more of them, or some cannot be named.");
  return told;
}

export const eraseWords = {
  title: "Erase what this job holds",
  ask: "Erase …",
  goes: "These go for good, on this server:",
  goesList: ["what was written in every entry: notes, readings, reasons, the machine's name and serial number", "the photos, unless another job shows them", "what was written in the entries kept apart of this job"],
  stays: "These stay:",
  staysList: [
    "the envelope of every entry: its number, kind, time, phone and hash, so that nothing is sent again and the chain still holds",
    "a line in the audit log with your name",
    "what stands on the customer's phone, in files taken out earlier and in copies of the server made earlier",
  ],
  later: "Entries that a phone sends later are kept again.",
  sure: "I know that this cannot be undone",
  act: "Erase it for good",
  leave: "Leave it",
  done: (at: string): string => `What this job held was erased ${at}. The envelopes of its entries stay. Whether a step was done is not known where its entry was erased.`,
  leftHow: "How the machine was left is not known here: entries were erased.",
  result: (events: number, photos: number): string => `${counted(events, "entry", "entries")} and ${counted(photos, "photo")} erased.`,
};
