/** Runs every case of every file in shared/vectors; the form of a case is told in tests/domain/test_vectors.py, which runs the same in Python. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { Refused } from "./refused";
import { FUNCTIONS } from "./vector-functions";

type Tolerance = number | { relative: number } | undefined;
type Case = { description: string; function: string; input: Record<string, unknown>; expect?: unknown; error?: string | { code: string; values?: object }; tolerance?: Tolerance; source: string };

const VECTORS = join(import.meta.dirname, "../../../shared/vectors");
const readJson = (path: string): unknown => JSON.parse(readFileSync(path, "utf8"));
const files = readdirSync(VECTORS).filter((name) => name.endsWith(".json")).sort();
const all = files.map((name): [string, Case[]] => [name, readJson(join(VECTORS, name)) as Case[]]);

function filled(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(filled);
  if (typeof value !== "object" || value === null) return value;
  if ("$fixture" in value) return { ...(readJson(join(VECTORS, "fixtures", `${value.$fixture}.json`)) as object), ...("$with" in value ? (value.$with as object) : {}) };
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, filled(item)]));
}

function numbersAgree(got: number, expected: number, tolerance: Tolerance): boolean {
  if (typeof tolerance === "object") return Math.abs(got - expected) <= tolerance.relative * Math.max(Math.abs(got), Math.abs(expected));
  return Math.abs(got - expected) <= (tolerance ?? 0);
}

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null && !Array.isArray(value);

/** Where and how `got` differs from `expected`, in words; null when they agree. */
function difference(got: unknown, expected: unknown, tolerance: Tolerance, at = "result"): string | null {
  const unlike = `${at}: ${JSON.stringify(got)}, expected ${JSON.stringify(expected)}`;
  if (Array.isArray(expected) && Array.isArray(got) && expected.length === got.length) {
    return first(expected.map((item, n) => difference(got[n], item, tolerance, `${at}[${n}]`)));
  }
  if (isRecord(expected) && isRecord(got)) {
    if (Object.keys(got).sort().join("\n") !== Object.keys(expected).sort().join("\n")) return unlike;
    return first(Object.keys(expected).map((key) => difference(got[key], expected[key], tolerance, `${at}.${key}`)));
  }
  if (typeof expected === "number" && typeof got === "number") return numbersAgree(got, expected, tolerance) ? null : unlike;
  return got === expected ? null : unlike;
}

const first = (found: (string | null)[]): string | null => found.find((line) => line !== null) ?? null;

async function refusalOf(run: () => unknown): Promise<Refused> {
  try {
    await run();
  } catch (error) {
    if (error instanceof Refused) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

async function check(item: Case): Promise<void> {
  const run = FUNCTIONS[item.function];
  if (!run) throw new Error(`no function ${item.function} in vector-functions.ts`);
  const input = filled(item.input);
  if (item.error !== undefined) {
    expect(await refusalOf(() => run(input))).toMatchObject(typeof item.error === "string" ? { code: item.error } : item.error);
    return;
  }
  const before = structuredClone(input);
  expect(difference(await run(input), item.expect, item.tolerance)).toBeNull();
  expect(input, "a pure function leaves what it was given as it was").toEqual(before);
}

describe.each(all)("%s", (_name, cases) => {
  for (const item of cases) test(item.description, () => check(item));
});

test("every registered function has a vector", () => {
  const called = new Set(all.flatMap(([, cases]) => cases.map((item) => item.function)));
  expect(Object.keys(FUNCTIONS).filter((name) => !called.has(name))).toEqual([]);
});

test("there are vectors to run", () => {
  expect(existsSync(VECTORS) && all.length > 0).toBe(true);
});

test("the comparison sees differences", () => {
  expect(difference({ a: [1] }, { a: [1.1] }, 0.05)).toBe("result.a[0]: 1, expected 1.1");
  expect(difference({ a: [1] }, { a: [1.04] }, 0.05)).toBeNull();
  expect(difference(1, 1.1, { relative: 0.1 })).toBeNull();
  expect(difference({ a: 1 }, { a: 1, b: null }, undefined)).not.toBeNull();
  expect(difference(true, 1, undefined)).not.toBeNull();
  expect(difference(NaN, 1, 1)).not.toBeNull();
  expect(difference([1], [1, 2], undefined)).not.toBeNull();
});
