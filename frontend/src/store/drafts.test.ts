import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { closeDatabase, read } from "./database";
import { clearDraft, flushDrafts, readDraft, recoverDrafts, saveDraftsNow, writeDraft } from "./drafts";
import { failingPuts, freshPhone, type FakeLocalStorage } from "./testing";

let local: FakeLocalStorage;
const stored = (key: string) => read(["drafts"], (tx) => tx.objectStore("drafts").get(key)).then((row) => row?.text);
beforeEach(async () => void (local = await freshPhone()));
afterEach(async () => {
  for (const key of ["note", "other"]) await clearDraft(key);
});

test("typed text is in the database 300 ms after the last key, once", async () => {
  writeDraft("note", "se");
  writeDraft("note", "seal wo");
  expect(await stored("note")).toBeUndefined();
  await vi.waitFor(async () => expect(await stored("note")).toBe("seal wo"), { timeout: 1000 });
});

test("what is typed is read back before it is written", async () => {
  writeDraft("note", "not yet");
  expect(await readDraft("note")).toBe("not yet");
});

test("before a camera opens everything typed is written", async () => {
  writeDraft("note", "before the camera");
  await flushDrafts();
  expect(await stored("note")).toBe("before the camera");
});

test("a page that is hidden and never comes back leaves its text for the next start", async () => {
  writeDraft("note", "last words");
  saveDraftsNow();
  await clearInMemory();
  await recoverDrafts();
  expect(await stored("note")).toBe("last words");
  expect(local.keys()).toEqual([]);
});

/** The next start knows nothing of what was typed: a fresh copy of the module. */
async function clearInMemory(): Promise<void> {
  const slot = local.getItem("benchtrail.drafts");
  await clearDraft("note");
  local.setItem("benchtrail.drafts", slot!);
  await closeDatabase();
}

test("an older text left behind by a hidden page does not replace a newer one", async () => {
  local.setItem("benchtrail.drafts", JSON.stringify([{ key: "note", text: "old", atMs: 1 }]));
  writeDraft("note", "new");
  await flushDrafts();
  await recoverDrafts();
  expect(await readDraft("note")).toBe("new");
});

test("a cleared draft is gone from every place", async () => {
  writeDraft("note", "sent");
  saveDraftsNow();
  await flushDrafts();
  await clearDraft("note");
  expect(await readDraft("note")).toBe("");
  expect(local.keys()).toEqual([]);
});

test("when the database refuses, the text goes to the other store", async () => {
  const end = failingPuts(() => {
    throw new DOMException("full", "QuotaExceededError");
  });
  writeDraft("note", "no room");
  await flushDrafts();
  end();
  expect(JSON.parse(local.getItem("benchtrail.drafts")!)).toMatchObject([{ key: "note", text: "no room" }]);
});

test("a slot that cannot be read hurts nothing", async () => {
  local.setItem("benchtrail.drafts", "{broken");
  await recoverDrafts();
  expect(await readDraft("note")).toBe("");
});
