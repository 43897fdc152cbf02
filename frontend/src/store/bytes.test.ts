import { describe, expect, test } from "vitest";
import { wellFormed } from "./well-formed";
import { fromBase64Url, hexToBase64, sha256Hex, toBase64 } from "./bytes";
import { uuidV7, wallText } from "./uuid";

test("half characters are mended in keys and values", () => {
  expect(wellFormed({ "a\ud83d": ["\udc00b", 1, null] })).toEqual({ "a\ufffd": ["\ufffdb", 1, null] });
});

describe("bytes", () => {
  /** Source: FIPS 180-4 example "abc" (NIST, SHA-256 examples). */
  test("hash as the published example does", async () => {
    expect(await sha256Hex("abc")).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  });
  /** Source: RFC 4648, section 10. */
  test.each([["", ""], ["f", "Zg=="], ["foobar", "Zm9vYmFy"]])("%j is base64 %j", (text, base64) => {
    expect(toBase64(new TextEncoder().encode(text))).toBe(base64);
  });
  test("of a megabyte survive base64", () => {
    const bytes = crypto.getRandomValues(new Uint8Array(65536));
    expect(fromBase64Url(toBase64(bytes).replace(/\+/g, "-").replace(/\//g, "_"))).toEqual(bytes);
  });
  test("a hash in hex is the same in base64", () => expect(hexToBase64("00ff10")).toBe("AP8Q"));
  test("text that is not base64url gives nothing", () => expect(fromBase64Url("a+b")).toBeNull());
});

describe("identifiers and times", () => {
  /** Source: RFC 9562, appendix A.6 (UUIDv7 of 2022-02-22T19:22:22Z). */
  test("a UUID version 7 is the published example when its random bits are", () => {
    const random = [0, 0, 0, 0, 0, 0, 0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f];
    expect(uuidV7(0x017f22e279b0, (bytes) => bytes.set(random))).toBe("017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
  });
  test.each([[60, "2026-11-25T08:15:00+01:00"], [0, "2026-11-25T07:15:00+00:00"], [-210, "2026-11-25T03:45:00-03:30"], [345, "2026-11-25T13:00:00+05:45"]])("the wall clock with an offset of %i min", (offset, text) => {
    expect(wallText(Date.parse("2026-11-25T07:15:00Z"), offset)).toBe(text);
  });
});
