import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { APP_PATHS, isAppPath } from "./app-paths";

/** Read as text: the worker must not import screens, and neither may its test pull them in. */
const patterns = [...readFileSync(new URL("../routes.ts", import.meta.url), "utf8").matchAll(/route\("(\/[^"]*)"/g)].map((found) => found[1]!);

test("every address of routes.ts is answered from the phone", () => {
  expect(patterns.length).toBeGreaterThan(5);
  expect(patterns.filter((pattern) => !isAppPath(pattern))).toEqual([]);
});

test("the list names nothing that routes.ts does not have", () => {
  const firsts = new Set(patterns.map((pattern) => pattern.split("/")[1]));
  expect(APP_PATHS.filter((path) => !firsts.has(path))).toEqual([]);
});

test.each(["/api/v1/events", "/packs/abc.json", "/pictures/abc", "/desk", "/desk/jobs", "/healthz", "/sw.js", "/version.json", "/jobs", "/job.html", "//job"])("%s goes to the server", (path) => {
  expect(isAppPath(path)).toBe(false);
});
