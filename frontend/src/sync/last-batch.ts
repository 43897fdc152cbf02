/**
 * What still waits when the page is put away goes out in one small request that outlives the page. Its reply is not read: nothing counts
 * as sent by it, the next round sends the same events again and gets their receipts. Photos never go this way.
 */
import { outbox, enrolment } from "../store/signals";
import { waitingEvents } from "../store/memory";

/** A browser lets requests that outlive their page carry 64 KiB in all (Fetch Standard, keepalive); half of it leaves room for another tab. */
const MOST_BYTES = 32_000;
const MOST_EVENTS = 100;

export function sendLastBatch(): void {
  const { notes, photos } = outbox.peek();
  const joined = enrolment.peek();
  if (!joined || joined.revoked || notes === 0) return;
  const events = waitingEvents(MOST_BYTES).slice(0, MOST_EVENTS);
  if (events.length === 0) return;
  const headers = { "Content-Type": "application/json", Accept: "application/json", "X-Benchtrail": "1" };
  const body = JSON.stringify({ events, waiting: notes + photos - events.length });
  void fetch("/api/v1/events", { method: "POST", headers, body, keepalive: true, cache: "no-store", credentials: "same-origin", redirect: "error" })
    .catch(() => undefined); // no connection: the events still wait, and the next round sends them
}
