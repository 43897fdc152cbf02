import { beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import { canonicalJson } from "../domain/canonical-json";
import { sha256Hex, toBase64, utf8, type Bytes } from "./bytes";
import { closeDatabase } from "./database";
import { keepOnPhone, loadPack, refreshLibrary, showLibrary } from "./library";
import type { ProcedurePack } from "./pack-types";
import { library } from "./signals";
import { freshPhone } from "./testing";

/**
 * The corpus of bad packs and manifests, each through the whole library of a phone that holds revision 1 and is offered a bad revision 2:
 * it is refused, revision 1 stays in force or at hand, and the reason is said in three parts.
 */
const SLUG = "withen-bridge";
let keys: CryptoKeyPair;
let other: CryptoKeyPair;
let jwk: JsonWebKey;
type Served = { manifest: unknown; packs: Map<string, Bytes>; type?: string; status?: number };
let served: Served;

const base64Url = (data: ArrayBuffer) => toBase64(data).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
const sign = async (bytes: Bytes, pair = keys) => base64Url(await crypto.subtle.sign({ name: "ECDSA", hash: "SHA-256" }, pair.privateKey, bytes));
const now = () => new Date().toISOString();

beforeAll(async () => {
  const make = () => crypto.subtle.generateKey({ name: "ECDSA", namedCurve: "P-256" }, true, ["sign", "verify"]);
  [keys, other] = [await make(), await make()];
  jwk = await crypto.subtle.exportKey("jwk", keys.publicKey);
});

const tables = Object.fromEntries(["parts", "joints", "fluids", "tools", "supplies", "poses", "cautions", "checks", "pictures"].map((name) => [name, {}]));
const packOf = (revision: number, changes: object = {}) => ({
  format: "benchtrail.procedure/1", dealer: SLUG, procedure: "renew-seal", revision, title: "Renew the seal", steps: [{ id: "drain" }], ...tables,
  figures: { nut: { as_published: revision === 1 ? "22 N·m" : "25 N·m" } }, ...changes,
});
async function entryOf(bytes: Bytes, revision: number, changes: object = {}) {
  return {
    sha256: await sha256Hex(bytes), bytes: bytes.length, kind: "procedure", id: "renew-seal", title: "Renew the seal", summary: "s", revision,
    issued: "2026-11-02", model: null, applies: null, safety: ["normal"], signature: await sign(bytes), pictures: [], ...changes,
  };
}
async function manifestOf(entries: unknown[], changes: object = {}, pair = keys, kid = "k1") {
  const text = canonicalJson({ format: "benchtrail.manifest/1", dealer: SLUG, counter: 2, issued_at: now(), packs: entries, ...changes });
  return { payload: text, signature: await sign(utf8(text), pair), kid };
}

/** A good revision 2, to be spoiled. */
async function second(changes: object = {}, entry: object = {}) {
  const bytes = utf8(canonicalJson(packOf(2, changes)));
  return { bytes, entry: await entryOf(bytes, 2, entry) };
}
async function serve(bytes: Bytes, entry: { sha256: string }, manifest?: unknown): Promise<Served> {
  return { manifest: manifest ?? (await manifestOf([entry])), packs: new Map([[entry.sha256, bytes]]) };
}

beforeEach(async () => {
  vi.stubGlobal("fetch", async (path: string) => {
    const json = (value: unknown, status = 200, type = "application/json") => new Response(typeof value === "string" ? value : JSON.stringify(value), { status, headers: { "Content-Type": type } });
    if (path.startsWith("/api/v1/probe")) return json({ benchtrail: new URL(path, "http://x").searchParams.get("nonce"), now: now() });
    if (path === "/api/v1/dealers") return json([{ slug: SLUG, name: "Withen Bridge", invented: true, key: { kid: "k1", jwk } }]);
    if (path.endsWith("/manifest")) return json(served.manifest, served.status, served.type);
    const bytes = served.packs.get(path.slice("/packs/".length, -".json".length));
    return bytes ? new Response(bytes) : json({}, 404);
  });
  await freshPhone();
  library.value = { ...library.peek(), dealer: null, entries: [], kept: {}, keptCount: 0, problem: null, older: {} };
  const bytes = utf8(canonicalJson(packOf(1)));
  const entry = await entryOf(bytes, 1);
  served = await serve(bytes, entry, await manifestOf([entry], { counter: 1 }));
  await refreshLibrary();
  await keepOnPhone(null);
  expect(library.peek()).toMatchObject({ keptCount: 1, problem: null });
});

const at = (bytes: Bytes, place: number, value: number) => bytes.map((byte, index) => (index === place ? value : byte)) as Bytes;
const signedPack = async (changes: object): Promise<Served> => second(changes).then(({ bytes, entry }) => serve(bytes, entry));
const spoiled = async (spoil: (bytes: Bytes) => Bytes): Promise<Served> => second().then(({ bytes, entry }) => serve(spoil(bytes), entry));
const inManifest = async (changes: object, pair?: CryptoKeyPair, kid?: string): Promise<Served> =>
  second().then(async ({ bytes, entry }) => serve(bytes, entry, await manifestOf([entry], changes, pair, kid)));
const inEntry = async (changes: object): Promise<Served> => second({}, changes).then(({ bytes, entry }) => serve(bytes, entry));
const whole = async (change: (manifest: { payload: string; signature: string; kid: string }) => unknown): Promise<Served> =>
  second().then(async ({ bytes, entry }) => serve(bytes, entry, change(await manifestOf([entry]))));

const BAD_PACKS: [string, () => Promise<Served>][] = [
  ["one figure changed", () => spoiled((bytes) => utf8(new TextDecoder().decode(bytes).replace("25 N", "95 N")))],
  ["one bit changed", () => spoiled((bytes) => at(bytes, 40, bytes[40]! ^ 1))],
  ["the last byte missing", () => spoiled((bytes) => bytes.slice(0, -1))],
  ["half of it missing", () => spoiled((bytes) => bytes.slice(0, bytes.length / 2))],
  ["nothing in it", () => spoiled(() => new Uint8Array(0))],
  ["a byte behind its end", () => spoiled((bytes) => new Uint8Array([...bytes, 32]))],
  ["a sign-in page in its place", () => spoiled(() => utf8("<!doctype html><h1>Sign in</h1>"))],
  ["zeros of the same length", () => spoiled((bytes) => new Uint8Array(bytes.length))],
  ["revision 1 under its name", () => spoiled(() => utf8(canonicalJson(packOf(1))))],
  ["not served at all", async () => ({ ...(await spoiled((bytes) => bytes)), packs: new Map() })],
  ["another signature", async () => inEntry({ signature: await sign(utf8("other")) })],
  ["a signature of another key", async () => second().then(async ({ bytes, entry }) => serve(bytes, { ...entry, signature: await sign(bytes, other) } as typeof entry))],
  ["no signature", () => inEntry({ signature: "" })],
  ["a signature that is no base64url", () => inEntry({ signature: "****" })],
  ["a signature of 63 bytes", () => inEntry({ signature: base64Url(new Uint8Array(63).buffer) })],
  ["a signature of zeros", () => inEntry({ signature: base64Url(new Uint8Array(64).buffer) })],
  ["signed, of another dealer", () => signedPack({ dealer: "elsewhere" })],
  ["signed, of another procedure", () => signedPack({ procedure: "brakes" })],
  ["signed, of another revision", () => signedPack({ revision: 3 })],
  ["signed, of a later format", () => signedPack({ format: "benchtrail.procedure/9" })],
  ["signed, of no format", () => signedPack({ format: null })],
  ["signed, a model's format", () => signedPack({ format: "benchtrail.model/1" })],
  ["signed, without steps", () => signedPack({ steps: null })],
  ["signed, without its figures", () => signedPack({ figures: null })],
  ["signed, with figures as a list", () => signedPack({ figures: [] })],
  ["signed, without its cautions", () => signedPack({ cautions: null })],
  ["signed, no text", async () => {
    const bytes = new Uint8Array([0x7b, 0xff, 0xfe, 0x7d]) as Bytes;
    return serve(bytes, await entryOf(bytes, 2));
  }],
  ["signed, no JSON", async () => serve(utf8("{"), await entryOf(utf8("{"), 2))],
  ["signed, the word null", async () => serve(utf8("null"), await entryOf(utf8("null"), 2))],
];

const BAD_MANIFESTS: [string, () => Promise<Served>][] = [
  ["no record", () => whole(() => "null")],
  ["a text", () => whole(() => "\"sign in\"")],
  ["no signature", () => whole(({ payload, kid }) => ({ payload, kid }))],
  ["an empty signature", () => whole((made) => ({ ...made, signature: "" }))],
  ["one changed character", () => whole((made) => ({ ...made, payload: made.payload.replace('"counter":2', '"counter":3') }))],
  ["a cut payload", () => whole((made) => ({ ...made, payload: made.payload.slice(0, -9) }))],
  ["another key under our name", () => inManifest({}, other)],
  ["another key's name", () => inManifest({}, other, "k2")],
  ["another format", () => inManifest({ format: "benchtrail.manifest/2" })],
  ["another dealer", () => inManifest({ dealer: "elsewhere" })],
  ["a lower counter", () => inManifest({ counter: 0 })],
  ["the same counter with another content", () => inManifest({ counter: 1 })],
  ["a counter in words", () => inManifest({ counter: "2" })],
  ["a counter below nothing", () => inManifest({ counter: -1 })],
  ["a date two days ahead", () => inManifest({ issued_at: new Date(Date.now() + 2 * 86_400_000).toISOString() })],
  ["a date ten years ahead", () => inManifest({ issued_at: new Date(Date.now() + 3650 * 86_400_000).toISOString() })],
  ["no date", () => inManifest({ issued_at: "soon" })],
  ["packs that are no list", () => inManifest({ packs: {} })],
  ["an entry that is nothing", () => inManifest({ packs: [null] })],
  ["an entry with a path for a hash", () => inEntry({ sha256: `../${"a".repeat(61)}` })],
  ["an entry of unknown kind", () => inEntry({ kind: "script" })],
  ["an entry with a size below nothing", () => inEntry({ bytes: -5 })],
  ["an entry with a revision that is no number", () => inEntry({ revision: "2" })],
  ["a picture that is a page", () => inEntry({ pictures: [{ sha256: "b".repeat(64), bytes: 1, mime: "text/html" }] })],
  ["an answer of the server's own fault", async () => ({ ...(await whole((made) => made)), status: 500 })],
  ["an answer that is a page", async () => ({ ...(await whole((made) => made)), type: "text/html" })],
];

const torque = async (sha256: string) => ((await loadPack(sha256)) as unknown as ProcedurePack & { figures: { nut: { as_published: string } } }).figures.nut.as_published;

/** What the phone had in force, still usable after a restart without any network. */
async function oldOneStays(first: string): Promise<void> {
  vi.stubGlobal("fetch", async () => Promise.reject(new TypeError("no network")));
  await closeDatabase();
  await showLibrary();
  expect(await torque(first)).toBe("22 N·m");
}

describe("a bad pack offered to a phone is refused, the old one stays, the reason is said", () => {
  test.each(BAD_PACKS)("%s", async (_, make) => {
    const first = library.peek().entries[0]!.sha256;
    served = await make();
    await refreshLibrary();
    const { problem, older, kept, entries } = library.peek();
    expect(problem?.happened && problem.means && problem.do, "three parts").toBeTruthy();
    expect(kept).not.toHaveProperty(entries[0]!.sha256);
    expect(Object.values(older).map((entry) => entry.sha256)).toEqual([first]);
    await oldOneStays(first);
  });
});

describe("a bad manifest offered to a phone is refused, the old one stays in force, the reason is said", () => {
  test.each(BAD_MANIFESTS)("%s", async (name, make) => {
    const first = library.peek().entries[0]!.sha256;
    served = await make();
    await refreshLibrary();
    const { problem, entries, kept } = library.peek();
    // a page in place of an answer is no answer: the phone is out of reach, and says that at the connection
    if (name !== "an answer that is a page") expect(problem?.happened && problem.means && problem.do, "three parts").toBeTruthy();
    expect(entries.map((entry) => entry.sha256)).toEqual([first]);
    expect(Object.keys(kept)).toEqual([first]);
    await oldOneStays(first);
  });
});

test("the corpus has at least forty kinds, and the good one is taken", async () => {
  expect(BAD_PACKS.length + BAD_MANIFESTS.length).toBeGreaterThanOrEqual(40);
  served = await whole((made) => made);
  await refreshLibrary();
  expect(library.peek().problem).toBeNull();
  expect(await torque(library.peek().entries[0]!.sha256)).toBe("25 N·m");
});
