// @vitest-environment jsdom
import { describe, expect, test } from "vitest";
import { ROUTES } from "./routes";
import { parametersOf } from "./routes-read";

const answers = (path: string) => ROUTES.flatMap(([pattern]) => (parametersOf(pattern, path) ? [pattern] : []));

describe("addresses", () => {
  test.each([
    ["/", "/"],
    ["/library", "/library"],
    ["/machine/new", "/machine/:id"],
    ["/procedure/abc", "/procedure/:sha"],
    ["/procedure/abc/for/m1", "/procedure/:sha/for/:machine"],
    ["/job/j1", "/job/:job"],
    ["/job/j1/step/cap-off", "/job/:job/step/:step"],
    ["/job/j1/ledger", "/job/:job/ledger"],
    ["/enrol", "/enrol"],
    ["/library/", "/library"],
  ])("%s is answered by one screen", (path, pattern) => expect(answers(path)).toEqual([pattern]));

  test.each(["/nowhere", "/job", "/job/j1/step", "/job//ledger", "/machine", "/procedure/%E0%A4%A", "/library/extra"])(
    "%s is answered by none",
    (path) => expect(answers(path)).toEqual([]),
  );
  test("parameters are decoded", () => expect(parametersOf("/procedure/:sha", "/procedure/renew%20seal")).toEqual({ sha: "renew seal" }));
});
