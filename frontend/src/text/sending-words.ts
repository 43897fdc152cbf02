/** The words of sending, storage and joining a dealer. */
import type { Connection, Enrolment, ItemState, Outbox } from "../store/bench";
import { counted, waitingInWords, whenInWords } from "./say";

export const sendingWords = {
  title: "Sending",
  now: "Send now",
  nothing: "Nothing waits to be sent.",
  states: "Where your entries stand",
  entries: (n: number) => counted(n, "entry", "entries"),
  photos: (n: number) => counted(n, "photo"),
  none: "none",
  attention: "Needs your attention",
  read: "I have read this",
  keepFile: "Save the photo as a file",
  putAway: "Put this photo away",
  putAwayAsk: "It will be gone from Benchtrail. Keep it in the phone’s own gallery first if you need it.",
  putAwayYes: "Yes, put it away",
  putAwayNo: "Leave it here",
  makingReady: "Being made ready",
  jobs: "A whole job as one file",
  jobsWhy: "Made without any connection. Give it to the dealer by cable, mail or memory card when sending does not work.",
  file: "Make the file",
  making: "Making the file …",
  made: "File handed to the phone",
  erase: "Delete it at the dealer’s",
  eraseAsk: "Words, readings and photos that this phone sent of this job are deleted on the dealer’s server. This phone keeps its own copy; the dealer can then no longer help with it. It cannot be taken back.",
  eraseYes: "Yes, delete it there",
  eraseNo: "Leave it there",
  erased: (entries: number, photos: number) => `Deleted at the dealer’s: ${counted(entries, "entry", "entries")}, ${counted(photos, "photo")}.`,
  joined: (dealer: string, { label, enrolledWall }: NonNullable<Enrolment>) =>
    `This phone is joined to ${dealer} as “${label}” since ${whenInWords(enrolledWall)}.`,
  revoked: (dealer: string) => `${dealer} has stopped taking notes from this phone. Your notes stay here; ask the dealer for a new code.`,
  notJoined: "This phone is not joined to a dealer. Procedures work; notes and photos stay on this phone until you join.",
  join: "Join a dealer",
  storage: "Storage",
  persist: "Ask the phone to protect the notes",
  persistNo: "The phone has not agreed. Installing Benchtrail usually changes its mind.",
  reserveSpent: "The room kept back for notes is in use. Free some space on the phone, and send.",
};

export const enrolWords = {
  title: "Join a dealer",
  sub: "The dealer gives you a code of eight characters. It holds for ten minutes and for one phone.",
  code: "Code",
  codeHint: "Capitals, small letters and dashes make no difference.",
  codeMissing: "Write the code the dealer gave you.",
  label: "Name of this phone",
  labelHint: "So that the dealer knows whose notes these are, such as “Ann, blue phone”.",
  labelMissing: "Give this phone a name.",
  sends: "What is sent, and to whom",
  sendsLines: [
    "Once joined, this phone sends its jobs to the dealer who gave you the code, and to nobody else.",
    "Sent are: the machine’s name, year, options, hours and serial number; steps done or skipped with their times; readings; notes; photos without their place and camera data; the name of this phone.",
    "Your place is never asked for. Nothing is sent before you press Join.",
    "What you sent stays in view here; under Sending you can have it deleted at the dealer’s, job by job.",
  ],
  join: "Join",
  joining: "Asking the dealer …",
  joined: "This phone is joined",
};

export function connectionInWords(connection: Connection, lastSent: string | null): string {
  const last = lastSent === null ? "" : ` Last sent ${whenInWords(lastSent)}.`;
  if (connection === "reached") return `The dealer’s server can be reached.${last}`;
  if (connection === "not_reached") return `No connection to the dealer’s server. Everything stays on this phone.${last}`;
  return `Connection not tried yet.${last}`;
}

/** One quiet line for any screen: what is being sent, what waits, or when all was sent. */
export function outboxInWords({ notes, photos, sending, lastSent }: Outbox): string {
  if (sending) return `Sending ${sending.done} of ${sending.total} ${sending.what === "notes" ? "entries" : "photos"}`;
  const waiting = waitingInWords(notes, photos);
  if (waiting) return waiting;
  return lastSent === null ? sendingWords.nothing : `Sent ${whenInWords(lastSent)}`;
}

export const STATES: ItemState[] = ["draft", "saved", "sending", "received", "attention"];
