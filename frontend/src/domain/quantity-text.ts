/**
 * Reads the numbers, bounds and separators of a typed quantity: `30–40 mm`, `10 ± 1`, `at least 1.0`, `1 1/2 in`.
 * Knows how people write numbers; knows no unit and converts nothing.
 */
import { Refused } from "./refused";

export const LONGEST_TEXT = 120;

const SPACES = /[\t\n\r\v\f\u0085\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]/g;
const VULGAR: readonly (readonly [string, string])[] = [
  ["½", "1/2"], ["¼", "1/4"], ["¾", "3/4"], ["⅓", "1/3"], ["⅔", "2/3"], ["⅛", "1/8"], ["⅜", "3/8"], ["⅝", "5/8"], ["⅞", "7/8"],
];
const ALIKE: readonly (readonly [string, string])[] = [
  ["\u2212", "-"], ["\u2010", "-"], ["\u2011", "-"], ["\u2012", "–"], ["\u2014", "–"], ["\u2015", "–"], ["\u22c5", "·"],
  ["\u2219", "·"], ["\u2022", "·"], ["\u2027", "·"], ["\u2044", "/"], ["\u2215", "/"], ["\u03bc", "µ"], ["\u00ba", "°"],
  ["\u2032", "'"], ["\u2019", "'"], ["\u2033", '"'], ["\u201c", '"'], ["\u201d", '"'], ["\u2103", "°C"], ["\u2109", "°F"],
  ["\u2236", ":"], ["\u2026", "..."], ["\u200b", ""], ["\u2060", ""], ["\ufeff", ""],
];

// mixed fraction | fraction | digit groups parted by spaces | digits with points and commas
const NUMBER =
  /[0-9]+[ -][0-9]+\/[0-9]+|[0-9]+\/[0-9]+|[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?(?![0-9])|[0-9][0-9.,]*[0-9]|[0-9]|[.,][0-9]+/g;
const BOUND_BEFORE =
  /^(?:(at least|not less than|no less than|minimum|min\.?|more than|over|above|from|>=|≥|>)|(at most|not more than|no more than|up to|maximum|max\.?|less than|under|below|<=|≤|<))?\s*([+-]?)$/i;
const BOUND_AFTER = /^(.*?[^ ])[ ,]+(?:(min\.?|minimum|or more|at least|and over)|(max\.?|maximum|or less|at most))$/i;
const BETWEEN = /^(.*?)\s*(±|\+\/-|\+-|-|–|\bto\b|\band\b|\.\.\.?)\s*([+-]?)$/i;
const OPENING_RANGE = /^(between|from|range)?\s*([+-]?)$/i;
const UP = /^(.*?)\s*\(?\s*\+$/;
const DOWN = /^(.*?)\s*[/,]?\s*-$/;
const PLUS_MINUS = ["±", "+/-", "+-"];

/** A quantity before units: numbers as written (`value` or `low`, `high`), unit words, text with a decimal point. */
export type Reading = {
  value: number | null; low: number | null; high: number | null; unit_text: string; text: string; clock: boolean;
};
type Piece = { value: number; text: string };

/** `text` with one kind of space, minus, dash, middle dot and quote, fractions spelled out, trimmed. */
export function plainText(text: string): string {
  let plain = text.replace(SPACES, " ");
  for (const [char, written] of VULGAR) plain = plain.replaceAll(char, ` ${written}`);
  for (const [char, written] of ALIKE) plain = plain.replaceAll(char, written);
  plain = plain.replace(/([A-Za-z])\^?([23])(?![0-9])/g, (_, letter: string, power: string) => letter + (power === "2" ? "²" : "³"));
  return trim(plain.replace(/ +/g, " "));
}

/** `text` without spaces at its ends. */
export function trim(text: string): string {
  return text.replace(/^ +| +$/g, "");
}

/** The number that `token` stands for. Throws `number_ambiguous` for `1,500`, `number_unreadable` otherwise. */
export function numberPiece(token: string): Piece {
  if (token.includes("/")) return fractionPiece(token);
  const plain = decimalPoint(token.replaceAll(" ", ""));
  return { value: Number(plain), text: plain.startsWith(".") ? `0${plain}` : plain };
}

function fractionPiece(token: string): Piece {
  const words = token.replaceAll("-", " ").split(" ");
  const fraction = words.pop() ?? "";
  const whole = words.join(" ");
  const [top = 0, bottom = 0] = fraction.split("/").map(Number);
  if (bottom === 0 || (whole !== "" && top >= bottom)) throw new Refused("number_unreadable", { written: token });
  return { value: Number(whole) + top / bottom, text: trim(`${whole} ${fraction}`) };
}

/** Digits with points and commas → digits with at most one point. */
function decimalPoint(token: string): string {
  if (/^[1-9][0-9]{0,2},[0-9]{3}$/.test(token)) {
    const candidates = `${token.replace(",", ".")} or ${token.replace(",", "")}`;
    throw new Refused("number_ambiguous", { written: token, candidates });
  }
  if (/^[0-9]*[.,]?[0-9]+$/.test(token)) return token.replace(",", ".");
  if (/^[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?$/.test(token)) return token.replaceAll(",", "");
  if (/^[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]+)?$/.test(token)) return token.replaceAll(".", "").replace(",", ".");
  throw new Refused("number_unreadable", { written: token });
}

/**
 * Numbers and unit words of `text`. Throws `quantity_empty`, `quantity_too_long`, `quantity_unreadable`,
 * `number_unreadable`, `number_ambiguous`, `range_backwards`, `units_mixed`.
 */
export function readQuantityText(text: string): Reading {
  if ([...text].length > LONGEST_TEXT) throw new Refused("quantity_too_long", { limit: String(LONGEST_TEXT) });
  const plain = plainText(text);
  if (plain === "") throw new Refused("quantity_empty");
  const found = [...plain.matchAll(NUMBER)];
  const pieces = found.map((match) => numberPiece(match[0]));
  const others = plain.split(NUMBER).map(trim);
  const [first, second, third] = pieces;
  if (first && pieces.length === 1) return readOne(plain, first, others);
  if (first && second && pieces.length === 2) return readTwo(plain, first, second, others);
  if (first && second && third && pieces.length === 3) return readThree(plain, [first, second, third], others);
  throw new Refused("quantity_unreadable", { written: plain });
}

function signed(piece: Piece, sign: string | undefined): Piece {
  return sign === "-" ? { value: -piece.value, text: `-${piece.text}` } : piece;
}

function read(value: number | null, low: number | null, high: number | null, unit_text: string, text: string, clock = false): Reading {
  return { value, low, high, unit_text, text, clock };
}

function readOne(plain: string, piece: Piece, [before = "", after = ""]: string[]): Reading {
  const bound = BOUND_BEFORE.exec(before);
  if (!bound) throw new Refused("quantity_unreadable", { written: plain });
  const number = signed(piece, bound[3]);
  let [low, high, unit] = [bound[1] !== undefined, bound[2] !== undefined, after];
  const ending = BOUND_AFTER.exec(unit);
  if (ending && !(low || high)) [low, high, unit] = [ending[2] !== undefined, ending[3] !== undefined, ending[1] ?? ""];
  if (low) return read(null, number.value, null, unit, `at least ${number.text}`);
  if (high) return read(null, null, number.value, unit, `at most ${number.text}`);
  return read(number.value, null, null, unit, number.text);
}

function readTwo(plain: string, a: Piece, b: Piece, [before = "", mid = "", after = ""]: string[]): Reading {
  const opening = OPENING_RANGE.exec(before);
  if (mid === ":" && before === "") return readColon(a, b, after);
  const between = BETWEEN.exec(mid);
  if (!opening || !between) throw new Refused("quantity_unreadable", { written: plain });
  const [first, second] = [signed(a, opening[2]), signed(b, between[3])];
  if (PLUS_MINUS.includes(between[2] ?? "")) return readTolerance(first, second, between[1] ?? "", after);
  const unit = oneUnit(between[1] ?? "", after);
  if (first.value > second.value) throw new Refused("range_backwards", { low: first.text, high: second.text });
  return read(null, first.value, second.value, unit, `${first.text} to ${second.text}`);
}

function readTolerance(value: Piece, tolerance: Piece, firstUnit: string, secondUnit: string): Reading {
  const percent = secondUnit.startsWith("%");
  const unit = percent ? firstUnit || trim(secondUnit.slice(1)) : oneUnit(firstUnit, secondUnit);
  const room = percent ? (Math.abs(value.value) * tolerance.value) / 100 : tolerance.value;
  const text = `${value.text} ± ${tolerance.text}${percent ? " %" : ""}`;
  return read(value.value, value.value - room, value.value + room, unit, text);
}

/** `10 +2/-1 N·m`: a value with unlike tolerances. */
function readThree(plain: string, [a, b, c]: [Piece, Piece, Piece], others: string[]): Reading {
  const [before = "", firstMid = "", secondMid = "", after = ""] = others;
  const [up, down, opening] = [UP.exec(firstMid), DOWN.exec(secondMid), /^[+-]?$/.exec(before)];
  if (!up || !down || !opening) throw new Refused("quantity_unreadable", { written: plain });
  const unit = oneUnit(oneUnit(up[1] ?? "", down[1] ?? ""), trim(after.replaceAll(")", "")));
  const value = signed(a, before);
  const text = `${value.text} +${b.text}/-${c.text}`;
  return read(value.value, value.value - c.value, value.value + b.value, unit, text);
}

/** `32:1` and `1:32` are the ratio 32; `12:30 h` is twelve and a half hours. */
function readColon(first: Piece, second: Piece, unit: string): Reading {
  const written = `${first.text}:${second.text}`;
  if (unit !== "") {
    if (second.value >= 60 || second.text.length !== 2) throw new Refused("number_unreadable", { written });
    return read(first.value + second.value / 60, null, null, unit, written, true);
  }
  if (second.value === 0 || first.value === 0) throw new Refused("number_unreadable", { written });
  const [big, small] = first.value === 1 && second.value > 1 ? [second, first] : [first, second];
  return read(big.value / small.value, null, null, ":1", small.value === 1 ? big.text : `${big.text}:${small.text}`);
}

/** The one unit of two places where it may stand; `units_mixed` if they differ. */
function oneUnit(a: string, b: string): string {
  const [first, second] = [trim(a), trim(b)];
  if (first && second && first.toLowerCase() !== second.toLowerCase()) throw new Refused("units_mixed", { first, second });
  return second || first;
}
