import { beforeEach, describe, expect, test } from "vitest";
import { canonicalJson } from "../domain/canonical-json";
import { sha256Hex, utf8, type Bytes } from "../store/bytes";
import { read, readMeta, writeMeta, writeStrict } from "../store/database";
import { newFact, recordFact } from "../store/journal";
import { itemKnown, journalOf } from "../store/memory";
import type { JournalEvent } from "../store/pack-types";
import { outbox } from "../store/signals";
import { freshPhone, PACK } from "../store/testing";
import { jobDigest } from "../domain/event-hash";
import type { Result } from "./engine-types";
import { outboxStorage } from "./outbox";
import type { SyncStorage } from "./storage-port";
import { MemoryStorage } from "./testing/memory-storage";

/** One phone over one kind of storage, as the contract sees it. */
type Subject = { storage: SyncStorage; note(job: string, text: string): Promise<JournalEvent>; photo(job: string, data: Bytes): Promise<string>; ids(job: string): Promise<string[]> };

async function onIndexedDb(): Promise<Subject> {
  await freshPhone();
  await writeMeta("enrolment", { dealer: "d", label: "l", device: "x", enrolledWall: "w", revoked: false });
  const photo = async (job: string, data: Bytes) => {
    const sha256 = await sha256Hex(data);
    await writeStrict(["photos", "outbox"], (tx) => Promise.all([
      tx.objectStore("photos").put({ sha256, mime: "image/jpeg", job, data: data.slice().buffer }),
      tx.objectStore("outbox").put({ id: sha256, kind: "photo", job, device: "", order: Date.now(), bytes: data.length, mime: "image/jpeg", upload: null, attention: null }),
    ]));
    return sha256;
  };
  const ids = async (job: string) => (await read(["events"], (tx) => tx.objectStore("events").index("job").getAllKeys(job))).sort();
  return { storage: outboxStorage, photo, ids, note: (job, text) => recordFact(newFact(job, "NoteWritten", { step: null, text }, PACK)) };
}

async function inMemory(): Promise<Subject> {
  const storage = new MemoryStorage("aaaaaaaa-0000-4000-8000-000000000001");
  return { storage, photo: (job, data) => storage.addPhoto(job, data), ids: async (job) => storage.idsOf(job), note: (job, text) => storage.record(job, "NoteWritten", { step: null, text }) };
}

const JOB = "11111111-0000-4000-8000-000000000000";
const receiptFor = async (event: JournalEvent, changes: Partial<Result> = {}): Promise<Result> => ({
  id: event.id, status: "stored", sha256: await sha256Hex(canonicalJson(event)), received_at: "2026-11-25T09:00:00Z", reason: null, ...changes,
});

describe.each([["IndexedDB", onIndexedDb], ["memory", inMemory]] as const)("the engine's storage in %s", (_, make) => {
  let phone: Subject;
  let storage: SyncStorage;
  beforeEach(async () => {
    phone = await make();
    storage = phone.storage;
  });

  test("gives events in the order of their numbers, at most as many as asked, and counts what is left", async () => {
    for (let n = 0; n < 5; n++) await phone.note(JOB, String(n));
    await phone.photo(JOB, utf8("photo"));
    const batch = await storage.batch(3);
    expect(batch.events.map((event) => event.seq)).toEqual([1, 2, 3]);
    expect([batch.left, batch.photos, batch.enrolled]).toEqual([2, 1, true]);
  });

  test("gives at most 64 kB at once, but one event however large it is", async () => {
    for (let n = 0; n < 3; n++) await phone.note(JOB, "x".repeat(40_000));
    expect((await storage.batch(100)).events).toHaveLength(1);
    await phone.note(JOB, "y".repeat(100_000));
    await storage.keepResults(await Promise.all((await Promise.all([storage.batch(1)]))[0]!.events.map((event) => receiptFor(event))), 0);
    expect((await storage.batch(100)).events).toHaveLength(1);
  });

  test("takes an event out of the outbox only for a receipt that names its hash", async () => {
    const event = await phone.note(JOB, "kept");
    expect(await storage.keepResults([await receiptFor(event, { sha256: "0".repeat(64) })], 0)).toBe(0);
    expect((await storage.batch(9)).events).toHaveLength(1);
    expect(await storage.keepResults([await receiptFor(event)], 1)).toBe(1);
    expect((await storage.batch(9)).events).toHaveLength(0);
  });

  test("settles nothing for an event it never had", async () => {
    const event = await phone.note(JOB, "mine");
    expect(await storage.keepResults([await receiptFor({ ...event, id: "elsewhere" })], 0)).toBe(0);
  });

  test("holds a refused event back without losing it", async () => {
    const event = await phone.note(JOB, "refused");
    await phone.note(JOB, "next");
    await storage.hold("note", event.id, "note_refused");
    const batch = await storage.batch(9);
    expect([batch.events.map((one) => one.seq), batch.left]).toEqual([[2], 1]);
    expect(await phone.ids(JOB)).toContain(event.id);
  });

  test("gives photos one by one, remembers their upload, cuts pieces with their hash", async () => {
    const data = crypto.getRandomValues(new Uint8Array(1000));
    const sha256 = await phone.photo(JOB, data);
    await storage.keepUpload(sha256, "/api/v1/photos/u1");
    expect((await storage.photo([])).photo).toMatchObject({ sha256, bytes: 1000, job: JOB, upload: "/api/v1/photos/u1" });
    expect((await storage.photo([sha256])).photo).toBeNull();
    const piece = await storage.piece(sha256, 900, 500);
    expect(piece?.data).toEqual(data.slice(900));
    expect(piece?.sha256).toBe(await sha256Hex(data.slice(900)));
  });

  test("lets a photo go only for a receipt with its hash and its size", async () => {
    const sha256 = await phone.photo(JOB, utf8("photo"));
    expect(await storage.keepReceipt({ sha256, bytes: 4, received_at: "t" })).toBe(false);
    expect(await storage.keepReceipt({ sha256: "0".repeat(64), bytes: 5, received_at: "t" })).toBe(false);
    expect((await storage.photo([])).photo?.sha256).toBe(sha256);
    expect(await storage.keepReceipt({ sha256, bytes: 5, received_at: "t" })).toBe(true);
    expect((await storage.photo([])).photo).toBeNull();
  });

  const foreign = (n: number, text = "theirs"): JournalEvent => ({
    id: `99999999-0000-4000-8000-00000000000${n}`, device: "ffffffff-0000-4000-8000-000000000000", seq: n, job: JOB, kind: "SomethingNew", body: { text },
    hlc: `00000000000000${n}-0000-ffffffff`, wall: "2026-11-25T08:00:00+00:00", pack: PACK, prev: null, schema: 1,
  });

  test("keeps pulled events of unknown kind with the cursor, once, and never sends them", async () => {
    await storage.keepPulled({ events: [foreign(1), foreign(2)], cursor: "c2", epoch: "e1", more: false });
    await storage.keepPulled({ events: [foreign(2), foreign(1)], cursor: "c2", epoch: "e1", more: false });
    expect(await storage.cursor()).toBe("c2");
    expect(await phone.ids(JOB)).toHaveLength(2);
    expect((await storage.batch(9)).events).toEqual([]);
  });

  test("keeps its own words when the server has others under the same id", async () => {
    await storage.keepPulled({ events: [foreign(1)], cursor: "c1", epoch: "e1", more: false });
    await storage.keepPulled({ events: [foreign(1, "changed")], cursor: "c2", epoch: "e1", more: false });
    expect(await phone.ids(JOB)).toHaveLength(1);
  });

  test("offers a job for comparison only when nothing of it waits, and not again until it changes or the server was restored", async () => {
    await storage.keepPulled({ events: [], cursor: "c0", epoch: "e1", more: false });
    const event = await phone.note(JOB, "one");
    expect(await storage.compare()).toEqual([]);
    await storage.keepResults([await receiptFor(event)], 1);
    const [mine] = await storage.compare();
    expect(mine).toEqual({ job: JOB, ...(await jobDigest([event.id])) });
    await storage.settle(mine!);
    expect(await storage.compare()).toEqual([]);
    await storage.keepPulled({ events: [], cursor: "c1", epoch: "e2", more: false });
    expect(await storage.compare()).toHaveLength(1);
  });

  test("heals by sending again what it sent once, and by reading from the beginning; the same difference only once", async () => {
    const event = await phone.note(JOB, "one");
    await storage.keepResults([await receiptFor(event)], 1);
    await storage.keepPulled({ events: [foreign(1)], cursor: "c1", epoch: "e1", more: false });
    const [mine] = await storage.compare();
    expect(await storage.heal(mine!, { count: 0, sha256: "" })).toBe(true);
    expect((await storage.batch(9)).events.map((one) => one.id)).toEqual([event.id]);
    expect(await storage.cursor()).toBeNull();
    expect(await storage.heal(mine!, { count: 0, sha256: "" })).toBe(false);
  });

  test("heals also by bringing back what the dealer answered: nobody else holds it", async () => {
    const reply = { ...foreign(1), kind: "ReplyWritten", body: { to: null, step: null, text: "Yes.", by: "anna", proof: "p" } };
    await storage.keepPulled({ events: [reply, foreign(2)], cursor: "c1", epoch: "e1", more: false });
    const [mine] = await storage.compare();
    expect(await storage.heal(mine!, { count: 1, sha256: "" })).toBe(true);
    expect((await storage.batch(9)).events).toEqual([reply]);
  });

  test("asks again for the receipts of its photos when the server was restored", async () => {
    await storage.keepPulled({ events: [], cursor: "c0", epoch: "e1", more: false });
    const sha256 = await phone.photo(JOB, utf8("photo"));
    await storage.keepReceipt({ sha256, bytes: 5, received_at: "t" });
    await storage.keepPulled({ events: [], cursor: "c0", epoch: "e1", more: false });
    expect((await storage.photo([])).photo).toBeNull();
    await storage.keepPulled({ events: [], cursor: "c1", epoch: "e2", more: false });
    expect((await storage.photo([])).photo).toMatchObject({ sha256, bytes: 5, upload: null });
  });
});

describe("on IndexedDB, what the person sees", () => {
  let phone: Subject;
  beforeEach(async () => void (phone = await onIndexedDb()));

  test("follows an event from saved to received, with the server's time", async () => {
    const event = await phone.note(JOB, "one");
    expect(itemKnown(event.id).state).toBe("saved");
    expect(outbox.value.notes).toBe(1);
    await outboxStorage.keepResults([await receiptFor(event)], 1);
    expect(itemKnown(event.id)).toEqual({ state: "received", receivedAt: "2026-11-25T09:00:00Z" });
    expect(outbox.value).toMatchObject({ notes: 0, attention: [] });
  });

  test("an event set aside by the server needs attention, and says why", async () => {
    const event = await phone.note(JOB, "one");
    await outboxStorage.keepResults([await receiptFor(event, { status: "quarantined", reason: "event_number_reused" })], 1);
    expect(itemKnown(event.id).state).toBe("attention");
    expect(outbox.value.attention).toMatchObject([{ id: event.id, what: "note", message: { code: "note_aside_twice" } }]);
  });

  test("a photo whose stored bytes changed gives no piece", async () => {
    const sha256 = await phone.photo(JOB, utf8("photo"));
    await writeStrict(["photos"], (tx) => tx.objectStore("photos").put({ sha256, mime: "image/jpeg", job: JOB, data: utf8("phota").buffer }));
    expect(await outboxStorage.piece(sha256, 0, 5)).toBeNull();
  });

  test("when the server knows later numbers of this device, the phone goes on as a new one and says so", async () => {
    const event = await phone.note(JOB, "one");
    const before = (await readMeta("head"))!.device;
    await outboxStorage.keepResults([await receiptFor(event)], 40);
    expect((await readMeta("head"))!).toMatchObject({ seq: 0, prev: null });
    expect((await readMeta("head"))!.device).not.toBe(before);
    expect((await outboxStorage.batch(9)).enrolled).toBe(false);
    expect(outbox.value.attention.map((item) => item.message.code)).toContain("device_restored");
    expect((await outboxStorage.batch(9)).events.map((one) => one.id)).toEqual([event.id]);
    expect(journalOf(JOB).value).toHaveLength(1);
  });

  test("a pulled event that makes no sense is counted and said, and the others are kept", async () => {
    const sound = { id: "99999999-0000-4000-8000-000000000001", device: "f", seq: 1, job: JOB, kind: "K", body: {}, hlc: "000000000000001-0000-ffffffff", wall: "w", pack: PACK, prev: null, schema: 1 };
    await outboxStorage.keepPulled({ events: [{ nonsense: true } as unknown as JournalEvent, sound as JournalEvent], cursor: "c", epoch: "e", more: false });
    expect(await phone.ids(JOB)).toHaveLength(1);
    expect(outbox.value.attention.map((item) => item.message.values)).toContainEqual({ count: 1 });
  });

  test("if the cursor cannot be written, neither are the events", async () => {
    const { put } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = function (value, key) {
      const request = key === undefined ? put.call(this, value) : put.call(this, value, key);
      if (this.name === "meta" && key === "sync") request.addEventListener("success", () => this.transaction.abort());
      return request;
    };
    const sound = { id: "99999999-0000-4000-8000-000000000001", device: "f", seq: 1, job: JOB, kind: "K", body: {}, hlc: "000000000000001-0000-ffffffff", wall: "w", pack: PACK, prev: null, schema: 1 };
    await expect(outboxStorage.keepPulled({ events: [sound as JournalEvent], cursor: "c", epoch: "e", more: false })).rejects.toThrow();
    IDBObjectStore.prototype.put = put;
    expect(await phone.ids(JOB)).toEqual([]);
    expect(await outboxStorage.cursor()).toBeNull();
  });
});
