import { beforeEach, describe, expect, test, vi } from "vitest";
import { sha256Hex } from "./bytes";
import { read, writeStrict } from "./database";
import { newFact, recordFact } from "./journal";
import { itemKnown, journalOf, loadMemory } from "./memory";
import { addPhoto, discardPhoto, photoUrl, recoverPhotos, setShrink } from "./photos";
import { pictureSize } from "./picture-size";
import { outbox, photosInHand } from "./signals";
import { sniffed } from "./sniff";
import { failingPuts, freshPhone, PACK, startedBody } from "./testing";

vi.mock("./shrink", () => ({ shrink: () => Promise.reject(new Error("no worker in this test")) }));

const JOB = "0190a000-0000-7000-8000-000000000001";
const JPEG = new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
const SMALL = new Uint8Array([0xff, 0xd8, 0xff, 0xdb, 42]);
const photo = (bytes: Uint8Array<ArrayBuffer> = JPEG, type = "image/jpeg") => new Blob([bytes], { type });
const count = (store: "photos" | "in_hand" | "originals" | "events" | "outbox") => read([store], (tx) => tx.objectStore(store).count());

beforeEach(async () => {
  await freshPhone();
  await recordFact(newFact(JOB, "JobStarted", startedBody(), PACK));
  setShrink(async () => ({ data: SMALL.slice().buffer, width: 20, height: 10 }));
});

describe("a photo", () => {
  test("is recorded by the hash of its small copy, with its place and words, and waits to be sent", async () => {
    const event = await addPhoto(JOB, "drain", photo(), "the seal");
    const sha256 = await sha256Hex(SMALL);
    expect(event).toMatchObject({ kind: "PhotoTaken", body: { step: "drain", sha256, mime: "image/jpeg", bytes: 5, width: 20, height: 10, caption: "the seal" } });
    expect(await read(["photos"], (tx) => tx.objectStore("photos").get(sha256))).toMatchObject({ job: JOB, mime: "image/jpeg" });
    expect(itemKnown(sha256).state).toBe("saved");
    expect(outbox.value).toMatchObject({ notes: 2, photos: 1 });
    expect([await count("originals"), await count("in_hand")]).toEqual([0, 0]);
  });

  test("is safe before its copy exists", async () => {
    let safeWith: number[] = [];
    let shrinkCalled = false;
    setShrink(async () => {
      shrinkCalled = true;
      return { data: SMALL.slice().buffer, width: 1, height: 1 };
    });
    await addPhoto(JOB, null, photo(), "", () => (safeWith = [photosInHand.value.length, shrinkCalled ? 1 : 0]));
    expect(safeWith).toEqual([1, 0]);
  });

  test("whose page died before the copy was made is finished at the next start, at its place and time", async () => {
    setShrink(() => new Promise(() => undefined));
    void addPhoto(JOB, "drain", photo(), "before the end");
    await vi.waitFor(async () => expect(await count("in_hand")).toBe(1));
    const [row] = await read(["in_hand"], (tx) => tx.objectStore("in_hand").getAll());
    setShrink(async () => ({ data: SMALL.slice().buffer, width: 20, height: 10 }));
    await loadMemory();
    await recoverPhotos();
    expect(journalOf(JOB).value.at(-1)).toMatchObject({ id: row!.id, wall: row!.wall, body: { step: "drain", caption: "before the end" } });
    await recoverPhotos();
    expect(journalOf(JOB).value).toHaveLength(2);
  });

  test("that cannot be opened stays with its bytes and a message, records nothing, and can be saved or put away", async () => {
    setShrink(() => Promise.reject(new Error("cannot decode")));
    await expect(addPhoto(JOB, null, photo(), "")).rejects.toMatchObject({ shown: { code: "photo_not_readable" } });
    const [held] = photosInHand.value;
    expect(held?.message?.code).toBe("photo_not_readable");
    expect(outbox.value.attention).toHaveLength(1);
    expect(await photoUrl(held!.id)).toMatch(/^blob:/);
    expect(journalOf(JOB).value).toHaveLength(1);
    await discardPhoto(held!.id);
    expect([photosInHand.value.length, await count("originals")]).toEqual([0, 0]);
  });

  test("is tried again at the next starts, three times in all", async () => {
    let tries = 0;
    setShrink(() => (tries++, Promise.reject(new Error("cannot decode"))));
    await addPhoto(JOB, null, photo(), "").catch(() => undefined);
    for (let start = 0; start < 5; start++) await recoverPhotos();
    expect(tries).toBe(3);
    expect(await count("originals")).toBe(1);
  });

  test("in HEIC that this browser cannot open says so, and keeps the bytes", async () => {
    setShrink(() => Promise.reject(new Error("cannot decode")));
    const heic = new Uint8Array([0, 0, 0, 24, 0x66, 0x74, 0x79, 0x70, 0x68, 0x65, 0x69, 0x63, 0, 0, 0, 0]);
    await expect(addPhoto(JOB, null, photo(heic), "")).rejects.toMatchObject({ shown: { code: "photo_heic" } });
    expect(await count("originals")).toBe(1);
  });

  test.each([
    ["an SVG", "<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "photo_kind"],
    ["a web page named .jpg", "<!doctype html><p>", "photo_kind"],
    ["a GIF", "GIF89a............", "photo_kind"],
    ["nothing", "", "photo_empty"],
  ])("that is %s is refused, whatever it says it is", async (_, text, code) => {
    await expect(addPhoto(JOB, null, new Blob([text], { type: "image/jpeg" }), "")).rejects.toMatchObject({ shown: { code } });
    expect(await count("originals")).toBe(0);
  });

  test("for which there is no room is refused, and the note's reserve is not touched", async () => {
    const end = failingPuts((store) => {
      if (store === "originals") throw new DOMException("full", "QuotaExceededError");
    });
    await expect(addPhoto(JOB, null, photo(), "")).rejects.toMatchObject({ shown: { code: "storage_full_photo" } });
    end();
    expect(await read(["ballast"], (tx) => tx.objectStore("ballast").count())).toBe(1);
    await expect(recordFact(newFact(JOB, "NoteWritten", { step: null, text: "fits" }, PACK))).resolves.toBeDefined();
  });

  test("whose copy does not fit stays in hand and is not half recorded", async () => {
    const end = failingPuts((store) => {
      if (store === "photos") throw new DOMException("full", "QuotaExceededError");
    });
    await expect(addPhoto(JOB, null, photo(), "")).rejects.toMatchObject({ shown: { code: "photo_waits_for_room" } });
    end();
    expect([await count("originals"), await count("photos"), await count("events")]).toEqual([1, 0, 1]);
    expect(photosInHand.value).toMatchObject([{ message: { code: "photo_waits_for_room" } }]);
    await recoverPhotos();
    expect(photosInHand.value).toEqual([]);
    expect([await count("originals"), await count("photos"), await count("events")]).toEqual([0, 1, 2]);
  });

  test("that cannot be stored because the storage stopped answering is refused with what to do, and nothing is half there", async () => {
    const end = failingPuts((store) => {
      if (store === "originals") throw new DOMException("no space left", "UnknownError");
    });
    await expect(addPhoto(JOB, null, photo(), "")).rejects.toMatchObject({ shown: { code: "storage_lost_photo" } });
    end();
    expect([await count("originals"), await count("in_hand"), await count("events")]).toEqual([0, 0, 1]);
  });

  test("that another tab finished is neither called damaged nor put back in hand", async () => {
    setShrink(() => new Promise(() => undefined));
    void addPhoto(JOB, "drain", photo(), "");
    await vi.waitFor(async () => expect(await count("in_hand")).toBe(1));
    const [row] = await read(["in_hand"], (tx) => tx.objectStore("in_hand").getAll());
    setShrink(async () => {
      await discardPhoto(row!.id); // as if it had been finished elsewhere
      throw new Error("cannot decode");
    });
    await recoverPhotos();
    expect([await count("in_hand"), photosInHand.value.length]).toEqual([0, 0]);
  });

  test("with one byte flipped in the store is not shown as good", async () => {
    await addPhoto(JOB, null, photo(), "");
    const sha256 = await sha256Hex(SMALL);
    await writeStrict(["photos"], (tx) => tx.objectStore("photos").put({ sha256, mime: "image/jpeg", job: JOB, data: new Uint8Array([1]).buffer }));
    expect(await photoUrl(sha256)).toBe("damaged");
    expect(await photoUrl("0".repeat(64))).toBe("missing");
  });

  test("taken in twice is two events and one picture", async () => {
    await Promise.all([addPhoto(JOB, "a", photo(), ""), addPhoto(JOB, "b", photo(), "")]);
    expect([await count("photos"), await count("originals"), await count("events")]).toEqual([1, 0, 3]);
  });
});

test.each([
  ["JPEG", [0xff, 0xd8, 0xff, 0xe1], "image/jpeg"],
  ["PNG", [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a], "image/png"],
  ["WebP", [0x52, 0x49, 0x46, 0x46, 1, 2, 3, 4, 0x57, 0x45, 0x42, 0x50], "image/webp"],
  ["another RIFF", [0x52, 0x49, 0x46, 0x46, 1, 2, 3, 4, 0x57, 0x41, 0x56, 0x45], null],
  ["two bytes of JPEG", [0xff, 0xd8], null],
])("%s is told by its first bytes", (_, bytes, kind) => expect(sniffed(new Uint8Array(bytes))).toBe(kind));

describe("the size in a header", () => {
  const jpeg = (...segments: number[][]) => new Uint8Array([0xff, 0xd8, ...segments.flat()]);
  const frame = (marker: number) => [0xff, marker, 0, 11, 8, 0x0b, 0xb8, 0x0f, 0xa0, 1, 1];
  test.each([
    ["a baseline JPEG", jpeg([0xff, 0xe0, 0, 4, 1, 2], frame(0xc0)), { width: 4000, height: 3000 }],
    ["a progressive JPEG behind tables", jpeg([0xff, 0xc4, 0, 3, 0], [0xff, 0xff, 0xdb, 0, 3, 0], frame(0xc2)), { width: 4000, height: 3000 }],
    ["a JPEG cut before its frame", jpeg([0xff, 0xe0, 0, 40, 1]), null],
    ["a PNG", new Uint8Array([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, 73, 72, 68, 82, 0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30]), { width: 30000, height: 30000 }],
    ["a PNG cut short", new Uint8Array([0x89, 0x50, 0x4e, 0x47]), null],
  ])("of %s is read before decoding", (_, bytes, size) => expect(pictureSize(bytes)).toEqual(size));
});
