// Edits of a YAML text that change only the lines concerned: comments, order and every other byte stay.
// Knows places in a text; nothing of what the keys mean. Each edit is read again and compared before it is given back.
import { isCollection, isMap, isPair, isScalar, isSeq, parseDocument, type Node, type Pair, type Scalar, type YAMLMap, type YAMLSeq } from "yaml";
import { folded, isFlag, onOneLine, scalar, valueOfKey, type Value } from "./yaml-words";

export type { Value } from "./yaml-words";
export type Place = (string | number)[];
export type Tree = { text: string; root: Node | null; data: Value | null };

const FOLDED_WIDTH = 120;

/** The form cannot make this edit without touching more than it should; the text itself can. */
export class CannotEdit extends Error {}

// the text as it stands and the one made from it: an edit reads no more than one text anew
let last: Tree[] = [];

/** The text as a tree of words; null when it is no YAML that can be read. */
export function readTree(text: string): Tree | null {
  const known = last.find((tree) => tree.text === text);
  if (known) return known;
  const doc = parseDocument(text, { schema: "failsafe", uniqueKeys: false, keepSourceTokens: false, prettyErrors: false, logLevel: "silent" });
  if (doc.errors.length > 0) return null;
  const root = doc.contents as Node | null;
  const data = root ? plain(root) : null;
  if (data === undefined) return null;
  const tree = { text, root, data };
  last = [tree, ...last.slice(0, 1)];
  return tree;
}

function plain(node: unknown): Value | undefined {
  if (node === null || node === undefined) return "";
  if (isScalar(node)) return node.value === null || node.value === undefined ? "" : String(node.value);
  if (isSeq(node)) {
    const items = node.items.map(plain);
    return items.some((item) => item === undefined) ? undefined : (items as Value[]);
  }
  if (!isMap(node)) return undefined;
  const found: { [key: string]: Value } = {};
  for (const pair of node.items) {
    const value = plain(pair.value);
    if (!isScalar(pair.key) || value === undefined || String(pair.key.value) in found) return undefined;
    found[String(pair.key.value)] = value;
  }
  return found;
}

/** What stands at a place; undefined when there is nothing. */
export function valueAt(data: Value | null | undefined, place: Place): Value | undefined {
  let at: Value | undefined = data ?? undefined;
  for (const key of place) {
    if (at === undefined || typeof at === "string") return undefined;
    at = Array.isArray(at) ? at[Number(key)] : at[key];
  }
  return at;
}

/** Puts a value at a place, or takes the key away (null). A new key goes where `order` says. */
export function setValue(text: string, place: Place, value: Value | null, order: readonly string[] = []): string {
  const tree = mustRead(text);
  const before = valueAt(tree.data, place);
  if (value === null && before === undefined) return text;
  if (value !== null && same(before, value)) return text;
  const parent = nodeAt(tree, place.slice(0, -1));
  const key = place.at(-1)!;
  let made: string;
  if (isMap(parent)) {
    const pair = pairOf(parent, String(key));
    if (value === null) made = withoutPair(text, parent, pair!);
    else made = pair ? withValue(text, parent, pair, value) : withPair(text, parent, String(key), valueOfKey(String(key), value, isFlow(parent)), order);
  } else if (isSeq(parent) && value !== null) made = replaced(text, parent.items[Number(key)] as Node, onOneLine(value, true));
  else throw new CannotEdit(`nothing can be put at ${place.join("/")}`);
  return proven(made, changed(tree.data, place, value));
}

/** Adds an entry to a table or an item to a list of whole lines; `source` may have several lines, without their indent. */
export function insertItem(text: string, place: Place, at: number, value: Value, source: string[]): string {
  const tree = mustRead(text);
  const node = nodeAt(tree, place);
  if (!isSeq(node)) throw new CannotEdit("there is no list");
  const eol = eolOf(text);
  const list = (valueAt(tree.data, place) as Value[]).slice();
  list.splice(at, 0, value);
  let made: string;
  if (isFlow(node) && node.items.length > 0) {
    const items = node.items as Node[];
    const one = onOneLine(value, true);
    const spot = at < items.length ? startOf(items[at])! : endOf(items.at(-1)!);
    made = at < items.length ? splice(text, spot, spot, `${one}, `) : splice(text, spot, spot, `, ${one}`);
  } else if (isFlow(node)) {
    const indent = `${" ".repeat(indentOf(text, startOf(node)!))}  `;
    const from = text.slice(0, startOf(node)!).replace(/[ \t]+$/, "").length;
    made = splice(text, from, node.range![1], eol + asItem(source, indent, eol));
  } else {
    const rows = itemRows(text, node);
    const indent = " ".repeat(rows[0]!.indent);
    const spot = at < rows.length ? rows[at]!.from : rows.at(-1)!.to;
    const lines = asItem(source, indent, eol);
    made = spot > 0 && text[spot - 1] !== "\n" ? splice(text, spot, spot, eol + lines) : splice(text, spot, spot, lines + eol);
  }
  return proven(made, changed(tree.data, place, list));
}

/** Takes an item out of a list, with the comments right above it. */
export function removeItem(text: string, place: Place, at: number): string {
  const tree = mustRead(text);
  const node = nodeAt(tree, place);
  const list = (valueAt(tree.data, place) as Value[] | undefined)?.slice();
  if (!isSeq(node) || !list || at < 0 || at >= list.length) throw new CannotEdit("there is no such item");
  list.splice(at, 1);
  const items = node.items as Node[];
  let made: string;
  if (isFlow(node)) {
    if (items.length === 1) made = splice(text, startOf(items[0])!, endOf(items[0]!), "");
    else if (at > 0) made = splice(text, endOf(items[at - 1]!), endOf(items[at]!), "");
    else made = splice(text, startOf(items[0])!, startOf(items[1])!, "");
  } else {
    const row = itemRows(text, node)[at]!;
    if (items.length > 1) made = splice(text, row.from, row.to, "");
    else {
      const colon = text.lastIndexOf(":", row.from);
      made = splice(text, colon + 1, row.to, ` []${text.slice(0, row.to).endsWith("\n") ? eolOf(text) : ""}`);
    }
  }
  return proven(made, changed(tree.data, place, list));
}

/** Moves an item of a list of whole lines, with the comments right above it. */
export function moveItem(text: string, place: Place, from: number, to: number): string {
  const tree = mustRead(text);
  const node = nodeAt(tree, place);
  const list = (valueAt(tree.data, place) as Value[] | undefined)?.slice();
  if (!isSeq(node) || !list || !list[from] || to < 0 || to >= list.length) throw new CannotEdit("it cannot go there");
  if (from === to) return text;
  list.splice(to, 0, list.splice(from, 1)[0]!);
  if (isFlow(node)) return setValue(text, place, list);
  const rows = itemRows(text, node);
  const eol = eolOf(text);
  const blocks = rows.map((row) => text.slice(row.from, row.to)).map((block) => (block.endsWith("\n") ? block : block + eol));
  blocks.splice(to, 0, blocks.splice(from, 1)[0]!);
  let all = blocks.join("");
  const end = rows.at(-1)!.to;
  if (text[end - 1] !== "\n") all = all.slice(0, -eol.length);
  return proven(splice(text, rows[0]!.from, end, all), changed(tree.data, place, list));
}

/** Adds entries to a table at its end; an empty or missing table gets lines of its own. */
export function addEntries(text: string, table: string, entries: [string, Value][], order: readonly string[]): string {
  if (entries.length === 0) return text;
  const tree = mustRead(text);
  const eol = eolOf(text);
  const node = nodeAt(tree, [table]);
  const expected = changed(tree.data, [table], { ...tableAt(tree, table), ...Object.fromEntries(entries) });
  const lines = (indent: string) => entries.map(([id, value]) => `${indent}${id}: ${onOneLine(value)}`).join(eol);
  let made: string;
  if (isMap(node) && isFlow(node) && node.items.length > 0) {
    const inside = entries.map(([id, value]) => `, ${id}: ${onOneLine(value, true)}`).join("");
    const end = pairEnd(text, node.items.at(-1)!);
    made = splice(text, end, end, inside);
  } else if (isMap(node) && node.items.length > 0) {
    const end = lineEnd(text, pairEnd(text, node.items.at(-1)!));
    const block = lines(" ".repeat(columnOf(text, startOf(node.items[0]!.key)!)));
    made = end > 0 && text[end - 1] !== "\n" ? splice(text, end, end, eol + block) : splice(text, end, end, block + eol);
  } else if (node && isCollection(node)) {
    const from = text.slice(0, startOf(node)!).replace(/[ \t]+$/, "").length;
    made = splice(text, from, node.range![1], eol + lines("  "));
  } else if (isMap(tree.root) && (!node || isScalar(node))) {
    const pair = pairOf(tree.root, table);
    const colon = pair ? text.indexOf(":", endOf(pair.key as Node)) + 1 : 0;
    made = pair ? splice(text, colon, colon, eol + lines("  ")) : withPair(text, tree.root, table, eol + lines("  "), order);
  } else throw new CannotEdit(`${table} is no table`);
  return proven(made, expected);
}

export const addEntry = (text: string, table: string, id: string, value: Value, order: readonly string[]): string => addEntries(text, table, [[id, value]], order);

/** Puts one key into many entries of a table, where it is not there yet; one reading for all of them. */
export function addKeys(text: string, table: string, key: string, values: [string, string][], order: readonly string[]): string {
  const tree = mustRead(text);
  const nodes = values.map(([id, value]) => ({ id, value, node: nodeAt(tree, [table, id]) }));
  let made = text;
  let expected = tree.data;
  // from the last place to the first: what stands before a place has not moved
  for (const { id, value, node } of nodes.sort((a, b) => (startOf(b.node) ?? 0) - (startOf(a.node) ?? 0))) {
    if (!isMap(node) || pairOf(node, key)) throw new CannotEdit(`${key} cannot be put into ${id}`);
    made = withPair(made, node, key, onOneLine(value, isFlow(node)), order);
    expected = changed(expected, [table, id, key], value);
  }
  return proven(made, expected);
}

const tableAt = (tree: Tree, table: string): { [key: string]: Value } => {
  const found = valueAt(tree.data, [table]);
  return found && typeof found === "object" && !Array.isArray(found) ? found : {};
};

// ---- how an edit is made

function withValue(text: string, parent: YAMLMap, pair: Pair, value: Value): string {
  const node = pair.value as Node | null;
  const flow = isFlow(parent);
  if (!node || !node.range || node.range[0] === node.range[1]) {
    const colon = text.indexOf(":", endOf(pair.key as Node));
    return splice(text, colon + 1, colon + 1, ` ${valueOfKey(nameOf(pair), value, flow)}`);
  }
  if (isFlag(nameOf(pair), value)) return replaced(text, node, value);
  if (typeof value === "string" && isScalar(node)) return replacedScalar(text, node, value, flow, indentOf(text, startOf(pair.key)!));
  if (isCollection(node) && !isFlow(node)) {
    const from = text.slice(0, startOf(node)!).replace(/[ \t\r\n-]+$/, "").length;
    const [start, end] = [Math.max(from, text.indexOf(":", endOf(pair.key as Node)) + 1), deepEnd(text, node)];
    return splice(text, start, end, ` ${onOneLine(value, flow)}`);
  }
  return replaced(text, node, onOneLine(value, flow));
}

function replacedScalar(text: string, node: Scalar, words: string, flow: boolean, indent: number): string {
  const kind = node.type;
  if ((kind === "BLOCK_FOLDED" || kind === "BLOCK_LITERAL") && /^\S+(?: \S+)*$/.test(words)) {
    const lines = folded(words, " ".repeat(indent + 2), FOLDED_WIDTH, eolOf(text));
    return splice(text, node.range![0], trimmedEnd(text, node.range![1]), lines);
  }
  if (kind === "QUOTE_SINGLE" && !words.includes("'") && !/[\n\r\t]/.test(words)) return replaced(text, node, `'${words}'`);
  const made = scalar(words, flow, kind === "QUOTE_DOUBLE" || kind === "QUOTE_SINGLE");
  const end = kind === "BLOCK_FOLDED" || kind === "BLOCK_LITERAL" ? trimmedEnd(text, node.range![1]) : node.range![1];
  return splice(text, node.range![0], end, made);
}

function withPair(text: string, parent: YAMLMap, key: string, source: string, order: readonly string[]): string {
  const items = parent.items;
  const rank = order.indexOf(key);
  const above = rank < 0 ? items : items.filter((pair) => order.indexOf(nameOf(pair)) < rank);
  const after = above.at(-1);
  const space = source.startsWith("\n") || source.startsWith("\r") ? "" : " ";
  const written = `${key}:${space}${source}`;
  if (isFlow(parent)) {
    if (items.length === 0) return splice(text, parent.range![0], parent.range![1], `{${written}}`);
    if (after) return splice(text, pairEnd(text, after), pairEnd(text, after), `, ${written}`);
    const first = startOf(items[0]!.key)!;
    return splice(text, first, first, `${written}, `);
  }
  const eol = eolOf(text);
  const column = columnOf(text, startOf(items[0]!.key)!);
  if (!after) {
    const first = startOf(items[0]!.key)!;
    return splice(text, first, first, `${written}${eol}${" ".repeat(column)}`);
  }
  const end = lineEnd(text, pairEnd(text, after));
  const line = " ".repeat(column) + written;
  return end > 0 && text[end - 1] !== "\n" ? splice(text, end, end, eol + line) : splice(text, end, end, line + eol);
}

function withoutPair(text: string, parent: YAMLMap, pair: Pair): string {
  const items = parent.items;
  const at = items.indexOf(pair);
  if (isFlow(parent)) {
    if (items.length === 1) return splice(text, startOf(pair.key)!, pairEnd(text, pair), "");
    if (at > 0) return splice(text, pairEnd(text, items[at - 1]!), pairEnd(text, pair), "");
    return splice(text, startOf(pair.key)!, startOf(items[1]!.key)!, "");
  }
  const start = startOf(pair.key)!;
  const head = text.slice(lineStart(text, start), start);
  if (head.trim() !== "") {
    if (items.length === 1) throw new CannotEdit("the last key of an item cannot be taken away");
    return splice(text, start, startOf(items[1]!.key)!, "");
  }
  if (items.length === 1) throw new CannotEdit("the last key of a table cannot be taken away");
  return splice(text, lineStart(text, start), lineEnd(text, pairEnd(text, pair)), "");
}

const replaced = (text: string, node: Node, source: string): string => splice(text, node.range![0], node.range![1], source);

/** An item's lines as a list wants them: a dash before the first. */
function asItem(source: string[], indent: string, eol: string): string {
  return source.map((line, at) => `${indent}${at === 0 ? "- " : "  "}${line}`).join(eol);
}

type Row = { from: number; to: number; indent: number };

/** Whole lines of each item, comments right above included; without a gap between one item and the next. */
function itemRows(text: string, node: YAMLSeq): Row[] {
  const starts = (node.items as Node[]).map((item) => {
    const line = lineStart(text, startOf(item)!);
    const dash = text.indexOf("-", line);
    if (text.slice(line, dash).trim() !== "" || dash >= startOf(item)!) throw new CannotEdit("an item does not begin a line");
    return { line, indent: dash - line };
  });
  const floor = lineStart(text, starts[0]!.line - 1) + 0;
  const from = starts.map(({ line }) => withComments(text, line, Math.max(floor, 0)));
  return starts.map(({ indent }, at) => ({
    from: from[at]!,
    to: at + 1 < starts.length ? from[at + 1]! : lineEnd(text, deepEnd(text, node.items[at] as Node)),
    indent,
  }));
}

function withComments(text: string, line: number, floor: number): number {
  let at = line;
  while (at > floor) {
    const above = lineStart(text, at - 1);
    if (!text.slice(above, at).trimStart().startsWith("#")) break;
    at = above;
  }
  return at;
}

// ---- places

function nodeAt(tree: Tree, place: Place): Node | undefined {
  let node: unknown = tree.root;
  for (const key of place) {
    if (isMap(node)) node = pairOf(node, String(key))?.value;
    else if (isSeq(node)) node = node.items[Number(key)];
    else return undefined;
  }
  return (node as Node | null) ?? undefined;
}

const pairOf = (map: YAMLMap, key: string): Pair | undefined => map.items.find((pair) => nameOf(pair) === key);
const nameOf = (pair: Pair): string => (isScalar(pair.key) ? String(pair.key.value) : "");
const startOf = (node: unknown): number | null => (node as Node | null)?.range?.[0] ?? null;
const endOf = (node: Node): number => node.range![1];
const isFlow = (node: unknown): boolean => isCollection(node) && node.flow === true;
const lineStart = (text: string, at: number): number => text.lastIndexOf("\n", at - 1) + 1;
const eolOf = (text: string): string => (text.includes("\r\n") ? "\r\n" : "\n");
const columnOf = (text: string, at: number): number => at - lineStart(text, at);
const splice = (text: string, from: number, to: number, source: string): string => text.slice(0, from) + source + text.slice(to);
const trimmedEnd = (text: string, end: number): number => text.slice(0, end).replace(/[ \t\r\n]+$/, "").length;

function lineEnd(text: string, at: number): number {
  if (at > 0 && text[at - 1] === "\n") return at;
  const end = text.indexOf("\n", at);
  return end < 0 ? text.length : end + 1;
}

function indentOf(text: string, at: number): number {
  const line = text.slice(lineStart(text, at));
  return /^ */.exec(line)![0].length;
}

function pairEnd(text: string, pair: Pair): number {
  const value = pair.value as Node | null;
  if (!value?.range || (value.range[0] === value.range[1] && !isCollection(value))) return text.indexOf(":", endOf(pair.key as Node)) + 1;
  return deepEnd(text, value);
}

/** Where a value really ends: that of the last thing in it, without the white space behind. */
function deepEnd(text: string, node: Node): number {
  if (isCollection(node) && !isFlow(node)) {
    const inner = node.items.at(-1);
    if (isPair(inner)) return pairEnd(text, inner);
    if (inner) return deepEnd(text, inner as Node);
  }
  return trimmedEnd(text, node.range![1]);
}

// ---- proof

function mustRead(text: string): Tree {
  const tree = readTree(text);
  if (!tree) throw new CannotEdit("the text cannot be read");
  return tree;
}

function proven(made: string, expected: Value | null): string {
  const tree = readTree(made);
  if (!tree || !same(tree.data, expected)) throw new CannotEdit("the edit would change something else");
  return made;
}

function changed(data: Value | null, place: Place, value: Value | null): Value {
  if (place.length === 0) return value!;
  const [key, ...rest] = place as [string | number, ...Place];
  if (Array.isArray(data)) return data.map((item, at) => (at === Number(key) ? changed(item, rest, value) : item));
  const table = { ...(typeof data === "string" ? {} : data) } as { [key: string]: Value };
  if (rest.length > 0) table[key] = changed(table[key] ?? {}, rest, value);
  else if (value === null) delete table[key];
  else table[key] = value;
  return table;
}

export function same(a: Value | null | undefined, b: Value | null | undefined): boolean {
  if (a === b) return true;
  if (!a || !b || typeof a === "string" || typeof b === "string" || Array.isArray(a) !== Array.isArray(b)) return false;
  const [left, right] = [Object.entries(a), Object.keys(b)];
  return left.length === right.length && left.every(([key, value]) => key in b && same(value, (b as { [key: string]: Value })[key]));
}
