import { describe, expect, test } from "vitest";
import { canonicalJson, wellFormed } from "./canonical";
import { fromBase64Url, hexToBase64, sha256Hex, toBase64 } from "./bytes";
import { uuidV7, wallText } from "./uuid";

describe("canonical JSON", () => {
  /** Source: RFC 8785, section 3.2.2 (example of literals, strings and numbers) and its output in section 3.2.3. */
  test("writes the example of RFC 8785", () => {
    const value = {
      numbers: [333333333.33333329, 1e30, 4.5, 2e-3, 0.000000000000000000000000001],
      string: "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      literals: [null, true, false],
    };
    expect(canonicalJson(value)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  /** Source: RFC 8785, section 3.2.3 (sorting of property names by UTF-16 code units). */
  test("sorts keys as RFC 8785 does, an emoji before a Hebrew presentation form", () => {
    const keys = { "\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis" };
    expect([...canonicalJson(keys).matchAll(/:"([^"]+)"/g)].map((m) => m[1])).toEqual([
      "Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign", "Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh",
    ]);
  });

  test.each([undefined, NaN, Infinity, () => 1, "\ud83d", { a: undefined }])("has no word for %s", (value) => {
    expect(() => canonicalJson(value)).toThrow(TypeError);
  });

  test("writes minus zero as zero", () => expect(canonicalJson(-0)).toBe("0"));
  test("mends half characters in keys and values", () => expect(wellFormed({ "a\ud83d": ["\udc00b", 1, null] })).toEqual({ "a\ufffd": ["\ufffdb", 1, null] }));
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
