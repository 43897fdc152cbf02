// A warning that may stand, with its reason, as the text keeps it: by its check and the step, or the object that it names.
import { HEAD_KEYS } from "./steps";
import type { Finding } from "./types";
import { insertItem, readTree, setValue, valueAt, type Value } from "./yaml-text";
import { onOneLine } from "./yaml-words";

/** The text with one more accepted warning. */
export function withReason(text: string, finding: Finding, reason: string): string {
  const entry: { [key: string]: Value } = { check: finding.check, ...placeOf(finding), reason };
  const there = valueAt(readTree(text)?.data, ["accepted"]);
  if (Array.isArray(there) && there.length > 0) return insertItem(text, ["accepted"], there.length, entry, [onOneLine(entry)]);
  return setValue(text, ["accepted"], [entry], HEAD_KEYS);
}

function placeOf({ step, values }: Finding): { [key: string]: Value } {
  if (step !== null) return { step };
  const words = Object.values(values).map(String);
  const named = words.map((word) => /\(([a-z][a-z0-9_]*)\)/.exec(word)?.[1]).find(Boolean) ?? words.find((word) => /^[a-z][a-z0-9_]*$/.test(word));
  return named ? { object: named } : {};
}
