import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { canonicalJson } from "../domain/canonical-json";
import { sha256Hex } from "./bytes";
import { closeDatabase, database, read, readMeta } from "./database";
import { newFact, record, recordFact, recoverRescued } from "./journal";
import { itemKnown, journalOf } from "./memory";
import type { JournalEvent } from "./pack-types";
import { BenchError } from "./refusal";
import { rescue, rescued } from "./rescue";
import { holdReserve, reserveHeld } from "./reserve";
import { storage } from "./signals";
import { failingPuts, FakeLocalStorage, freshPhone, PACK, startedBody } from "./testing";

let local: FakeLocalStorage;
let endFault = () => {};
beforeEach(async () => void (local = await freshPhone()));
afterEach(() => (endFault(), (endFault = () => {})));

const JOB = "0190a000-0000-7000-8000-000000000001";
const start = () => recordFact(newFact(JOB, "JobStarted", startedBody(), PACK));
const rows = () => read(["events"], (tx) => tx.objectStore("events").getAll());
const full = () => {
  throw new DOMException("no room", "QuotaExceededError");
};

describe("an event", () => {
  test("has the next number and the hash of the one before, whole envelope, in canonical form", async () => {
    const first = await start();
    const second = await record(JOB, "NoteWritten", { step: null, text: "worn" });
    expect([first.seq, second.seq]).toEqual([1, 2]);
    expect(first.prev).toBeNull();
    expect(second.prev).toBe(await sha256Hex(canonicalJson(first)));
    expect(second.pack).toBe(PACK);
  });

  test("is in the database, the outbox and the journal when record resolves, and counts as saved", async () => {
    await start();
    const event = await record(JOB, "StepDone", { step: "drain" });
    await closeDatabase();
    expect((await rows()).map((row) => row.id)).toContain(event.id);
    expect(await read(["outbox"], (tx) => tx.objectStore("outbox").get(event.id))).toMatchObject({ kind: "event", order: 2 });
    expect(journalOf(JOB).value.at(-1)).toEqual(event);
    expect(itemKnown(event.id).state).toBe("saved");
  });

  test("of a job this phone does not have is refused", async () => {
    expect(() => record("elsewhere", "StepDone", { step: "x" })).toThrow(BenchError);
  });

  test("with half an emoji in its text is still one that can be hashed", async () => {
    await start();
    const event = await record(JOB, "NoteWritten", { step: null, text: "loose \ud83d" });
    expect(event.body.text).toBe("loose \ufffd");
  });
});

describe("an entry that is not well-formed", () => {
  const counts = () => read(["events", "outbox"], (tx) => Promise.all([tx.objectStore("events").count(), tx.objectStore("outbox").count()]));

  test.each([
    ["a number that is none", "ReadingTaken", { step: "s", check: "c", value: NaN, unit: "mm", as_typed: "x", verdict: "unknown" }, "body.value"],
    ["a verdict that is none", "ReadingTaken", { step: "s", check: "c", value: 1, unit: "mm", as_typed: "1", verdict: "good" }, "body.verdict"],
    ["no step", "StepDone", {}, "body.step"],
    ["an outcome that is none", "JobClosed", { outcome: "done", words: "" }, "body.outcome"],
    ["a number beyond all bounds in a field that nobody knows", "NoteWritten", { step: null, text: "x", more: Infinity }, "event_no_canonical_form"],
    ["lists in lists, forty deep", "NoteWritten", { step: null, text: "x", more: JSON.parse("[".repeat(40) + "]".repeat(40)) }, "event_too_deep"],
    ["a kind that is no name", "Note Written", { step: null, text: "x" }, "kind"],
  ])("%s is refused in three parts that name the place, and nothing is written", async (_, kind, body, field) => {
    await start();
    const problem = await record(JOB, kind, body).then(() => null, (error: BenchError) => error.shown);
    expect(problem).toMatchObject({ code: "entry_not_sound", values: { field } });
    for (const part of [problem!.happened, problem!.means, problem!.do]) expect(part).not.toBe("");
    expect(problem!.happened).toContain(field);
    expect(await counts()).toEqual([1, 1]);
    expect(await readMeta("head")).toMatchObject({ seq: 1 });
    await expect(record(JOB, "NoteWritten", { step: null, text: "next" })).resolves.toMatchObject({ seq: 2 });
  });

  test("by its envelope is refused as well: a pack that is no hash, a time that is none", async () => {
    await expect(recordFact(newFact(JOB, "JobStarted", startedBody(), "pack 7"))).rejects.toMatchObject({ shown: { values: { field: "pack" } } });
    await expect(recordFact({ ...newFact(JOB, "JobStarted", startedBody(), PACK), wall: "+012026-11-25T09:00:00+00:00" })).rejects.toMatchObject({ shown: { values: { field: "wall" } } });
    expect(await counts()).toEqual([0, 0]);
  });

  test("in the rescue slot stays there and does not hold up those behind it", async () => {
    await start();
    rescue({ ...newFact(JOB, "ReadingTaken", { step: "s" }, PACK) });
    rescue(newFact(JOB, "NoteWritten", { step: null, text: "behind it" }, PACK));
    expect(await recoverRescued()).toBe(1);
    expect(journalOf(JOB).value.at(-1)?.body.text).toBe("behind it");
    expect(rescued()).toMatchObject([{ kind: "ReadingTaken" }]);
  });
});

test("fifty events recorded at once are numbered 1 to 50 without gaps, each on the hash of the last", async () => {
  await start();
  await Promise.all(Array.from({ length: 49 }, (_, n) => record(JOB, "NoteWritten", { step: null, text: String(n) })));
  const events = (await rows()).map((row) => row.event).sort((a, b) => a.seq - b.seq);
  expect(events.map((event) => event.seq)).toEqual(Array.from({ length: 50 }, (_, n) => n + 1));
  for (const [at, event] of events.entries()) expect(event.prev).toBe(at === 0 ? null : await sha256Hex(canonicalJson(events[at - 1])));
});

test("when another tab wrote in between, the event is built anew on what that tab wrote", async () => {
  await start();
  let once = true;
  endFault = failingPuts(() => undefined);
  const foreign = async () => {
    const head = (await readMeta("head"))!;
    const db = await database();
    await db.put("meta", { ...head, seq: head.seq + 1, prev: "f".repeat(64) }, "head");
  };
  const digest = crypto.subtle.digest.bind(crypto.subtle);
  crypto.subtle.digest = async (...args) => {
    if (once) (once = false), await foreign();
    return digest(...args);
  };
  const event = await record(JOB, "StepDone", { step: "drain" });
  crypto.subtle.digest = digest;
  expect([event.seq, event.prev]).toEqual([3, "f".repeat(64)]);
});

describe("when the storage connection is lost", () => {
  test("the same event is written after reopening, once", async () => {
    await start();
    let times = 2;
    endFault = failingPuts((store) => {
      if (store === "events" && times-- > 0) throw new DOMException("Connection to Indexed Database server lost", "UnknownError");
    });
    const event = await record(JOB, "NoteWritten", { step: null, text: "kept" });
    expect((await rows()).filter((row) => row.event.body.text === "kept")).toHaveLength(1);
    expect(event.seq).toBe(2);
  });

  test("a closed handle is reopened without a word", async () => {
    await start();
    (await database()).close();
    await expect(record(JOB, "StepDone", { step: "drain" })).resolves.toMatchObject({ seq: 2 });
  });

  test("an event that did complete before the connection broke is not written twice", async () => {
    await start();
    const fact = newFact(JOB, "NoteWritten", { step: null, text: "once" }, PACK);
    const first = await recordFact(fact);
    const again = await recordFact(fact);
    expect(again).toEqual(first);
    expect(await readMeta("head")).toMatchObject({ seq: 2 });
  });

  test("for good, the words go to the rescue slot, the person is told, and the next start records them", async () => {
    await start();
    endFault = failingPuts((store) => {
      if (store === "events") throw new DOMException("lost", "UnknownError");
    });
    await expect(record(JOB, "NoteWritten", { step: null, text: "precious" })).rejects.toMatchObject({ shown: { code: "storage_lost_note" } });
    expect(rescued()).toMatchObject([{ body: { text: "precious" } }]);
    endFault();
    expect(await recoverRescued()).toBe(0);
    expect(journalOf(JOB).value.at(-1)?.body.text).toBe("precious");
    expect(rescued()).toEqual([]);
  }, 10_000);
});

test("words in the rescue slot that did reach the database are not recorded twice", async () => {
  await start();
  const fact = newFact(JOB, "NoteWritten", { step: null, text: "both" }, PACK);
  await recordFact(fact);
  rescue(fact);
  expect(await recoverRescued()).toBe(0);
  expect((await rows()).filter((row) => row.event.body.text === "both")).toHaveLength(1);
});

describe("when the storage is full", () => {
  test("the reserve is given up for a note", async () => {
    await start();
    await holdReserve();
    let times = 1;
    endFault = failingPuts((store) => void (store === "events" && times-- > 0 && full()));
    await expect(record(JOB, "NoteWritten", { step: null, text: "fits" })).resolves.toMatchObject({ seq: 2 });
    expect(await reserveHeld()).toBe(false);
  });

  test("and the reserve is gone, the words go to the rescue slot and nothing is called saved", async () => {
    await start();
    endFault = failingPuts((store) => void (store === "events" && full()));
    await expect(record(JOB, "NoteWritten", { step: null, text: "waits" })).rejects.toMatchObject({ shown: { code: "storage_full_note" } });
    expect(journalOf(JOB).value).toHaveLength(1);
    expect(rescued()).toHaveLength(1);
  });

  test("and there is room again, the words in the rescue slot follow the next saved note by themselves", async () => {
    await start();
    endFault = failingPuts((store) => void (store === "events" && full()));
    await record(JOB, "NoteWritten", { step: null, text: "waits" }).catch(() => undefined);
    expect(storage.value.problem?.code).toBe("storage_full_note");
    endFault();
    await record(JOB, "NoteWritten", { step: null, text: "next" });
    await vi.waitFor(() => expect(rescued()).toEqual([]));
    expect(journalOf(JOB).value.map((event) => event.body.text)).toEqual([undefined, "next", "waits"]);
    await vi.waitFor(() => expect(storage.value.problem).toBeNull());
  });

  test("and the rescue slot refuses too, the person is told that nothing holds the words", async () => {
    await start();
    local.refuse = true;
    endFault = failingPuts((store) => void (store === "events" && full()));
    await expect(record(JOB, "NoteWritten", { step: null, text: "lost?" })).rejects.toMatchObject({ shown: { code: "note_not_saved" } });
  });

  test("one refused event does not hold up the next", async () => {
    await start();
    endFault = failingPuts((_store, value) => void ((value as { event?: JournalEvent }).event?.body.text === "big" && full()));
    await expect(record(JOB, "NoteWritten", { step: null, text: "big" })).rejects.toThrow();
    await expect(record(JOB, "NoteWritten", { step: null, text: "small" })).resolves.toMatchObject({ seq: 2 });
    endFault();
    await vi.waitFor(async () => expect(await recoverRescued()).toBe(0));
  });
});

test("a transaction that aborts after its puts is not a saved note", async () => {
  await start();
  const { put } = IDBObjectStore.prototype;
  endFault = () => Object.assign(IDBObjectStore.prototype, { put });
  // aborts once the last put of the burst has succeeded: requests succeed, the transaction never completes
  IDBObjectStore.prototype.put = function (value, key) {
    const request = key === undefined ? put.call(this, value) : put.call(this, value, key);
    if (this.name === "meta") request.addEventListener("success", () => this.transaction.abort());
    return request;
  };
  await expect(record(JOB, "NoteWritten", { step: null, text: "half" })).rejects.toThrow();
  endFault();
  expect((await rows()).map((row) => row.event.body.text)).not.toContain("half");
  expect(await read(["outbox"], (tx) => tx.objectStore("outbox").count())).toBe(1);
}, 10_000);

test("an unreadable rescue slot is moved aside, not thrown away", () => {
  local.setItem("benchtrail.rescue", "{broken");
  expect(rescued()).toEqual([]);
  expect(local.keys().some((key) => key.startsWith("benchtrail.rescue.unreadable."))).toBe(true);
});
