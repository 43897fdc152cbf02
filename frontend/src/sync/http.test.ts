import { afterEach, describe, expect, test, vi } from "vitest";
import { getBytes, getJson, isJson, probe, retryAfterMs, Unreached } from "./http";
import { sameOriginPath } from "./transport";

afterEach(() => vi.unstubAllGlobals());
const answering = (body: BodyInit | null, init: ResponseInit) => vi.stubGlobal("fetch", vi.fn(async () => new Response(body, init)));
const JSON_TYPE = { headers: { "Content-Type": "application/json" } };

describe("an answer counts as the dealer's", () => {
  test("when it is JSON, whatever its status", async () => {
    answering('{"code":"server_busy"}', { ...JSON_TYPE, status: 503 });
    expect(await getJson("/x")).toMatchObject({ status: 503, body: { code: "server_busy" } });
  });

  test.each([
    ["a sign-in page with status 200", "<h1>Sign in</h1>", { headers: { "Content-Type": "text/html" } }],
    ["JSON that calls itself a page", "{}", { headers: { "Content-Type": "text/html" } }],
    ["a page without a type", "hello", {}],
    ["JSON that is cut short", '{"a":', JSON_TYPE],
  ])("but not when it is %s", async (_, body, init) => {
    answering(body, init);
    await expect(getJson("/x")).rejects.toBeInstanceOf(Unreached);
  });

  test("but not when nothing comes in time", async () => {
    vi.stubGlobal("fetch", (_: string, init: RequestInit) => new Promise((_, fail) => init.signal!.addEventListener("abort", () => fail(new DOMException("", "AbortError")))));
    await expect(getJson("/x", 20)).rejects.toBeInstanceOf(Unreached);
  });

  test("to a probe only when it repeats this very word and tells a time", async () => {
    answering('{"benchtrail":"word","now":"2026-11-25T10:00:00Z"}', JSON_TYPE);
    expect(await probe("word")).toBe(Date.parse("2026-11-25T10:00:00Z"));
    await expect(probe("another")).rejects.toBeInstanceOf(Unreached);
    answering('{"benchtrail":"word"}', JSON_TYPE);
    await expect(probe("word")).rejects.toBeInstanceOf(Unreached);
  });
});

describe("bytes", () => {
  test("are counted as they come", async () => {
    answering(new Uint8Array(1000), {});
    let counted = 0;
    expect((await getBytes("/x", 1000, (n) => (counted += n)))?.byteLength).toBe(1000);
    expect(counted).toBe(1000);
  });

  test("beyond what was announced are not read to their end", async () => {
    const endless = new ReadableStream({ pull: (control) => control.enqueue(new Uint8Array(65_536)) });
    answering(endless, {});
    expect((await getBytes("/x", 100_000, () => undefined))?.byteLength).toBeLessThan(200_000);
  });

  test("that are not there give null, other answers are no answer", async () => {
    answering("{}", { status: 404 });
    expect(await getBytes("/x", 1, () => undefined)).toBeNull();
    answering("{}", { status: 500 });
    await expect(getBytes("/x", 1, () => undefined)).rejects.toBeInstanceOf(Unreached);
  });
});

/** Source: RFC 9110, section 10.2.3 (delay in seconds, or an HTTP date as in its example). */
test.each([
  ["120", 120_000], ["0", 0], ["Fri, 31 Dec 1999 23:59:59 GMT", 59_000], ["Fri, 31 Dec 1999 23:00:00 GMT", 0], ["999999", 3600_000], ["soon", null], [null, null],
])("Retry-After %j is %j ms", (header, waitMs) => {
  expect(retryAfterMs(header, Date.parse("Fri, 31 Dec 1999 23:59:00 GMT"))).toBe(waitMs);
});

test.each([["application/json", true], ["application/json; charset=utf-8", true], ["application/problem+json", true], ["text/html", false], ["text/json-not", false], [null, false]])("%j counts as JSON: %j", (type, json) => {
  expect(isJson(type)).toBe(json);
});

test.each([
  ["/api/v1/photos/abc", "/api/v1/photos/abc"], ["https://bench.example/api/v1/photos/abc", "/api/v1/photos/abc"],
  ["https://elsewhere.example/api/v1/photos/abc", null], ["//elsewhere.example/api/v1/photos/abc", null], ["/api/v1/session", null],
  ["/api/v1/photos/../session", null], ["http://[", null], [null, null],
])("an upload at %j is followed to %j", (location, path) => {
  expect(sameOriginPath(location, "https://bench.example/job/1")).toBe(path);
});
