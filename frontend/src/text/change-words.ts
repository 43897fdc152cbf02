/** Changes between two revisions in sentences; the same words as the server's (backend domain/difference/words.py). */
import texts from "../../../shared/texts/difference.en.json";
import type { BulletinChange } from "../store/bench";

const WHAT: Record<string, string> = texts.what;
const OWN: Record<string, string> = texts.own;

/** One change as one sentence; a code that this version does not know is told by its name and its two texts. */
export function changeInWords({ code, name, old, new: now }: BulletinChange): string {
  const own = OWN[code];
  if (own) return filled(own, { name, old: old ?? "", new: now ?? "" });
  const values = { name, old: ended(old), new: ended(now) };
  const what = filled(WHAT[code] ?? "{name}", values);
  const way = old && now ? texts.ways.both : now ? texts.ways.added : old ? texts.ways.gone : texts.ways.none;
  return filled(way, { ...values, what: what.charAt(0).toUpperCase() + what.slice(1) });
}

export const severityInWords = (severity: BulletinChange["severity"]): string => texts.severities[severity];

export const changesWords = {
  title: "What changed",
  sub: (from: number, to: number): string => `This job follows revision ${from}; revision ${to} is in force.`,
  none: "This job follows the revision in force.",
  toSee: "Finished steps that changed",
  toSeeWhy: "Do each again as the newer revision says, or say why it stays as it is. Your answer goes to the dealer.",
  added: "New step",
  redone: "I did it again",
  keep: "It stays as it is",
  reason: "Why it stays as it is",
  reasonMissing: "Say why in a few words: the dealer reads it.",
  answered: { redone: "Done again.", accepted: "Stays as it is:" },
  all: "All changes for this machine",
  ahead: "Steps that you have not done yet are shown with both figures. The job keeps its own revision; its figures never change under your hands.",
  read: "I have read this",
  wasRead: "Read on this job.",
  words: (count: number): string => `${count === 1 ? "One change" : `${count} changes`} of words only.`,
  back: "Back to the job",
};

function ended(text: string | null): string {
  return (text ?? "").replace(/[. ]+$/, "");
}

function filled(template: string, values: Record<string, string>): string {
  return template.replace(/\{(\w+)\}/g, (_, key: string) => values[key] ?? "");
}
