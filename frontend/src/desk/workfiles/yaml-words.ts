// Values written as YAML on one line. Knows when words need quotes; nothing of where they stand.

export type Value = string | Value[] | { [key: string]: Value };

const NOT_TEXT = /^(?:~|null|true|false)$/i;
const MARKS_AT_START = /^[-?:,[\]{}#&*!|>'"%@`\s]/;
const NEGATIVE = /^-\d/;

/** Words as a YAML scalar: plain when that says the same, else in double quotes. `inside`: between brackets or braces. */
export function scalar(words: string, inside: boolean, quote = false): string {
  return !quote && isPlain(words, inside) ? words : JSON.stringify(words);
}

function isPlain(words: string, inside: boolean): boolean {
  if (words === "" || words !== words.trim() || NOT_TEXT.test(words) || hasControl(words)) return false;
  if (MARKS_AT_START.test(words) && !NEGATIVE.test(words)) return false;
  if (words.includes(": ") || words.endsWith(":") || words.includes(" #")) return false;
  return !inside || !/[,[\]{}]|:(?=["'\s])/.test(words);
}

const hasControl = (words: string): boolean => [...words].some((sign) => sign < " " || (sign >= "\u007f" && sign <= "\u009f") || sign === "\u2028" || sign === "\u2029" || sign === "\ufeff");

// keys that stand for yes or no: what is behind them is no text, and takes no quotes
const FLAGS = new Set(["blind", "control", "hold", "inside", "invented", "own_place", "steady"]);
export const isFlag = (key: string, value: Value): value is string => FLAGS.has(key) && (value === "true" || value === "false");

/** A key's value on one line. */
export const valueOfKey = (key: string, value: Value, inside = false): string => (isFlag(key, value) ? value : onOneLine(value, inside));

/** Any value on one line: text, `[a, b]`, `{key: value}`. */
export function onOneLine(value: Value, inside = false): string {
  if (typeof value === "string") return scalar(value, inside);
  if (Array.isArray(value)) return `[${value.map((item) => onOneLine(item, true)).join(", ")}]`;
  const pairs = Object.entries(value).map(([key, item]) => `${key}: ${valueOfKey(key, item, true)}`);
  return `{${pairs.join(", ")}}`;
}

/** Long words in the folded form, `>-` and lines of at most `width`, each indented. */
export function folded(words: string, indent: string, width: number, eol: string): string {
  const lines: string[] = [];
  for (const word of words.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && `${indent}${last} ${word}`.length <= width) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return `>-${eol}${lines.map((line) => indent + line).join(eol)}`;
}
