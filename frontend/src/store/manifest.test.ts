import { beforeAll, describe, expect, test } from "vitest";
import { canonicalJson } from "../domain/canonical-json";
import { sha256Hex, toBase64, utf8 } from "./bytes";
import { signedBy, verifiedManifest, type Pinned } from "./manifest";
import { soundPack, verifiedPack } from "./pack-check";
import { BenchError } from "./refusal";
import type { ManifestPack } from "./types";

const NOW = Date.parse("2026-11-25T10:00:00Z");
let keys: CryptoKeyPair;
let other: CryptoKeyPair;
let jwk: JsonWebKey;
let pinned: Pinned;
const base64Url = (data: ArrayBuffer) => toBase64(data).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
const sign = async (bytes: Uint8Array<ArrayBuffer>, pair = keys) => base64Url(await crypto.subtle.sign({ name: "ECDSA", hash: "SHA-256" }, pair.privateKey, bytes));

beforeAll(async () => {
  const make = () => crypto.subtle.generateKey({ name: "ECDSA", namedCurve: "P-256" }, true, ["sign", "verify"]);
  [keys, other] = [await make(), await make()];
  jwk = await crypto.subtle.exportKey("jwk", keys.publicKey);
  pinned = { slug: "withen-bridge", kid: "k1", jwk, counter: 4, payloadSha256: null };
});

const pack = {
  format: "benchtrail.procedure/1", dealer: "withen-bridge", procedure: "renew-seal", revision: 3, title: "Renew the seal", steps: [{ id: "drain" }],
  parts: {}, joints: {}, figures: { t: { as_published: "10 N·m" } }, fluids: {}, tools: {}, supplies: {}, poses: {}, cautions: {}, checks: {}, pictures: {},
};
const bytesOf = (value: unknown) => utf8(canonicalJson(value));
async function entryOf(value: typeof pack = pack): Promise<ManifestPack> {
  const bytes = bytesOf(value);
  return {
    sha256: await sha256Hex(bytes), bytes: bytes.length, kind: "procedure", id: "renew-seal", title: "Renew the seal", summary: "s", revision: 3, issued: "2026-11-02",
    model: "hobmoor-fell-250", applies: null, safety: ["normal"], signature: await sign(bytes), pictures: [],
  };
}
const payload = { format: "benchtrail.manifest/1", dealer: "withen-bridge", counter: 5, issued_at: "2026-11-25T09:00:00Z", packs: [] as unknown[] };
async function signed(changes: object = {}, pair = keys, kid = "k1") {
  const text = canonicalJson({ ...payload, ...changes });
  return { payload: text, signature: await sign(utf8(text), pair), kid };
}
const codeOf = (work: Promise<unknown>) => work.then(() => "accepted", (error: unknown) => (error instanceof BenchError ? error.code : String(error)));

describe("a manifest", () => {
  test("that is whole, ours, newer and signed is accepted with its entries", async () => {
    const manifest = await verifiedManifest(await signed({ packs: [await entryOf()] }), pinned, NOW);
    expect(manifest).toMatchObject({ counter: 5, packs: [{ id: "renew-seal", revision: 3 }] });
  });

  test("with the same counter and the same content is accepted again", async () => {
    const again = { ...pinned, counter: 5, payloadSha256: await sha256Hex((await signed()).payload) };
    expect(await codeOf(verifiedManifest(await signed(), again, NOW))).toBe("accepted");
  });

  const refusals: [string, () => Promise<unknown>, string, (() => Pinned)?][] = [
    ["nothing", async () => null, "manifest_unreadable"],
    ["a text", async () => "<html>sign in</html>", "manifest_unreadable"],
    ["no signature", async () => ({ ...(await signed()), signature: undefined }), "manifest_unreadable"],
    ["an empty signature", async () => ({ ...(await signed()), signature: "" }), "manifest_signature"],
    ["a signature of 63 bytes", async () => ({ ...(await signed()), signature: base64Url(new Uint8Array(63).buffer) }), "manifest_signature"],
    ["a signature that is not base64url", async () => ({ ...(await signed()), signature: "***" }), "manifest_signature"],
    ["a signature in DER form", async () => ({ ...(await signed()), signature: `MEU${(await signed()).signature}` }), "manifest_signature"],
    ["another dealer's key under our kid", () => signed({}, undefined, "k1").then(async (m) => ({ ...m, signature: await sign(utf8(m.payload), other) })), "manifest_signature"],
    ["another kid", () => signed({}, other, "k2"), "manifest_key_changed"],
    ["one changed character", async () => ({ ...(await signed()), payload: (await signed()).payload.replace('"counter":5', '"counter":6') }), "manifest_signature"],
    ["a cut payload", async () => ({ ...(await signed()), payload: (await signed()).payload.slice(0, -10) }), "manifest_signature"],
    ["another format", () => signed({ format: "benchtrail.manifest/2" }), "manifest_format"],
    ["no format", () => signed({ format: null }), "manifest_format"],
    ["another dealer", () => signed({ dealer: "elsewhere" }), "manifest_foreign"],
    ["a lower counter", () => signed({ counter: 3 }), "manifest_rolled_back"],
    ["a counter that is no number", () => signed({ counter: "5" }), "manifest_unreadable"],
    ["a negative counter", () => signed({ counter: -1 }), "manifest_unreadable"],
    ["a counter with a fraction", () => signed({ counter: 5.5 }), "manifest_unreadable"],
    ["the same counter with other content", () => signed({ counter: 4 }), "manifest_counter_reused", () => ({ ...pinned, payloadSha256: "0".repeat(64) })],
    ["a date two days ahead", () => signed({ issued_at: "2026-11-27T10:00:01Z" }), "manifest_from_the_future"],
    ["no date", () => signed({ issued_at: "soon" }), "manifest_unreadable"],
    ["packs that are no list", () => signed({ packs: {} }), "manifest_unreadable"],
    ["an entry without a hash", async () => signed({ packs: [{ ...(await entryOf()), sha256: "abc" }] }), "manifest_unreadable"],
    ["an entry with a path for a hash", async () => signed({ packs: [{ ...(await entryOf()), sha256: `../${"a".repeat(61)}` }] }), "manifest_unreadable"],
    ["an entry of unknown kind", async () => signed({ packs: [{ ...(await entryOf()), kind: "script" }] }), "manifest_unreadable"],
    ["a picture that is a web page", async () => signed({ packs: [{ ...(await entryOf()), pictures: [{ sha256: "b".repeat(64), bytes: 1, mime: "text/html" }] }] }), "manifest_unreadable"],
    ["an entry that is null", () => signed({ packs: [null] }), "manifest_unreadable"],
  ];
  test.each(refusals)("with %s is refused", async (_, make, code, hold) => {
    expect(await codeOf(verifiedManifest(await make(), hold?.() ?? pinned, NOW))).toBe(code);
  });

  test("a day ahead is still accepted: clocks differ", async () => {
    expect(await codeOf(verifiedManifest(await signed({ issued_at: "2026-11-26T09:59:00Z" }), pinned, NOW))).toBe("accepted");
  });
});

describe("a pack", () => {
  const check = async (bytes: Uint8Array<ArrayBuffer>, changes: Partial<ManifestPack> = {}, dealer = "withen-bridge") =>
    codeOf(verifiedPack(bytes.slice().buffer, { ...(await entryOf()), ...changes }, dealer, jwk));
  const resigned = async (value: object): Promise<[Uint8Array<ArrayBuffer>, Partial<ManifestPack>]> => {
    const bytes = bytesOf(value);
    return [bytes, { sha256: await sha256Hex(bytes), bytes: bytes.length, signature: await sign(bytes) }];
  };

  test("that is what the manifest says is accepted", async () => expect(await check(bytesOf(pack))).toBe("accepted"));
  test("cut short is refused", async () => expect(await check(bytesOf(pack).slice(0, -1))).toBe("pack_cut_short"));
  test("with one figure changed is refused, though its length is the same", async () => {
    expect(await check(bytesOf({ ...pack, figures: { t: { as_published: "90 N·m" } } }))).toBe("pack_hash");
  });
  test("with another signature is refused", async () => expect(await check(bytesOf(pack), { signature: await sign(utf8("other")) })).toBe("pack_signature"));
  test("signed with another key is refused", async () => expect(await check(bytesOf(pack), { signature: await sign(bytesOf(pack), other) })).toBe("pack_signature"));
  test("unsigned is refused", async () => expect(await check(bytesOf(pack), { signature: "" })).toBe("pack_signature"));
  test("of another dealer is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, dealer: "elsewhere" })))).toBe("pack_foreign"));
  test("of another procedure is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, procedure: "brakes" })))).toBe("pack_misnamed"));
  test("of another revision is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, revision: 2 })))).toBe("pack_misnamed"));
  test("of another format is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, format: "benchtrail.procedure/9" })))).toBe("pack_format"));
  test("without steps is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, steps: null })))).toBe("pack_format"));
  test("without its table of figures is refused, though signed", async () => expect(await check(...(await resigned({ ...pack, figures: null })))).toBe("pack_format"));
  test("that is not text is refused, though signed", async () => {
    const bytes = new Uint8Array([0x7b, 0xff, 0xfe, 0x7d]);
    expect(await check(bytes, { sha256: await sha256Hex(bytes), bytes: 4, signature: await sign(bytes) })).toBe("pack_encoding");
  });
  test("whose stored text changed by one character is not handed out", async () => {
    const text = canonicalJson(pack);
    expect(await codeOf(soundPack(text, await sha256Hex(text)))).toBe("accepted");
    expect(await codeOf(soundPack(text.replace("10 N·m", "16 N·m"), await sha256Hex(text)))).toBe("pack_damaged");
  });
});

describe("a manifest's bulletins", () => {
  const change = { id: "c1", code: "figure_changed", severity: "safety", object: "nut", name: "axle nut", old: "70 N·m", new: "80 N·m", steps: ["a"], redo: true, when: null };
  const bulletin = {
    kind: "procedure", id: "renew-seal", title: "t", from: { sha256: "a".repeat(64), revision: 1 }, to: { sha256: "b".repeat(64), revision: 2 },
    issued_at: "2026-11-25T09:00:00Z", text: "", changes: [change],
  };
  const kept = async (bulletins: unknown) => (await verifiedManifest(await signed({ bulletins }), pinned, NOW)).bulletins;
  test("are kept as signed", async () => expect(await kept([bulletin])).toEqual([bulletin]));
  test("are none in a manifest of an older server", async () => expect((await verifiedManifest(await signed(), pinned, NOW)).bulletins).toEqual([]));
  test.each([
    ["no list", "x"], ["one without its packs", [{ ...bulletin, from: null }]], ["one with a change that is no record", [{ ...bulletin, changes: [null] }]],
    ["one with a change without its steps", [{ ...bulletin, changes: [{ ...change, steps: null }] }]],
    ["one with a figure that is a number", [{ ...bulletin, changes: [{ ...change, old: 70 }] }]],
  ])("that are %s refuse the whole", async (_, bulletins) => expect(await codeOf(kept(bulletins))).toBe("manifest_unreadable"));
});

/** Source: RFC 7515, appendix A.3 (ES256 example: key, signing input, signature). */
test("the signature of a published example is verified, and not over one changed byte", async () => {
  const key = { kty: "EC", crv: "P-256", x: "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU", y: "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0" };
  const input = "eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
  const signature = "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q";
  expect(await signedBy(key, utf8(input), signature)).toBe(true);
  expect(await signedBy(key, utf8(input.replace("e", "f")), signature)).toBe(false);
});
