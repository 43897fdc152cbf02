import "fake-indexeddb/auto";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { takeEvents, takeWaiting } from "../store/memory";
import type { JournalEvent } from "../store/pack-types";
import { enrolment } from "../store/signals";
import { sendLastBatch } from "./last-batch";

const JOB = "0190a000-0000-7000-8000-0000000000aa";
const sent = vi.fn(async () => new Response("{}"));
let seq = 0;

function waits(text: string): void {
  seq += 1;
  const event = { id: `0190a000-0000-7000-8000-${String(seq).padStart(12, "0")}`, job: JOB, seq, kind: "NoteWritten", body: { step: null, text } } as unknown as JournalEvent;
  takeEvents([event]);
  takeWaiting([{ id: event.id, kind: "event", job: JOB, device: "d", order: seq, bytes: text.length, attention: null }]);
}
const bodyOf = (call: number) => JSON.parse((sent.mock.calls[call] as unknown as [string, RequestInit])[1].body as string) as { events: JournalEvent[]; waiting: number };

beforeEach(() => {
  vi.stubGlobal("fetch", sent);
  enrolment.value = { dealer: "d", label: "l", device: "x", enrolledWall: "", revoked: false };
});
afterEach(() => {
  sent.mockClear();
  vi.unstubAllGlobals();
});

test("what waits goes out once more when the page is put away, in a request that outlives it", () => {
  waits("one");
  waits("two");
  sendLastBatch();
  const [path, init] = sent.mock.calls[0] as unknown as [string, RequestInit];
  expect([path, init.keepalive, init.method]).toEqual(["/api/v1/events", true, "POST"]);
  expect(bodyOf(0).events.map(({ body }) => (body as { text: string }).text)).toEqual(["one", "two"]);
});

test("never more than half of what a browser lets outlive a page, the oldest first", () => {
  for (let n = 0; n < 5; n += 1) waits("x".repeat(9000));
  sendLastBatch();
  const { events, waiting } = bodyOf(0);
  expect((sent.mock.calls[0] as unknown as [string, RequestInit])[1].body!.toString().length).toBeLessThan(64 * 1024);
  expect(events.map(({ seq: number }) => number)).toEqual([1, 2, 3, 4, 5]);
  expect(waiting).toBe(2);
});

test("nothing goes out of a phone that is not joined or was shut out", () => {
  enrolment.value = null;
  sendLastBatch();
  enrolment.value = { dealer: "d", label: "l", device: "x", enrolledWall: "", revoked: true };
  sendLastBatch();
  expect(sent).not.toHaveBeenCalled();
});
