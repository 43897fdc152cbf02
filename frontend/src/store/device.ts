/** Which device this is: an id made at the first start and kept, never taken from a backup that another phone went on from. */
import { read, writeStrict } from "./database";
import { message } from "./refusal";
import type { EnrolmentRow, EventRow, Head } from "./schema";
import { waitingAgain } from "./waiting";

/** The device's head of journal; made at the first start. */
export function ensureDevice(): Promise<Head> {
  const fresh = newHead(null);
  return writeStrict(["meta"], async (tx) => {
    const known = (await tx.objectStore("meta").get("head")) as Head | undefined;
    if (known) return known;
    await tx.objectStore("meta").put(fresh, "head");
    return fresh;
  });
}

function newHead(hlc: Head["hlc"]): Head {
  return { device: crypto.randomUUID(), seq: 0, prev: null, hlc };
}

/**
 * A new id for a phone that was restored from an older copy: the server already holds later numbers of the old id, so going on counting
 * would give the same number to two facts. What was written stays under its old id; the phone must join the dealer again. Then it sends
 * everything written under the old id once more: what the server holds already makes the new id take part in those jobs.
 */
export async function renewDevice(): Promise<void> {
  const told = { id: "device-restored", job: null, what: "phone" as const, message: message("device_restored") };
  const device = crypto.randomUUID();
  await writeStrict(["meta", "attention", "events", "outbox"], async (tx) => {
    const meta = tx.objectStore("meta");
    const [head, enrolment, rows] = (await Promise.all([meta.get("head"), meta.get("enrolment"), tx.objectStore("events").getAll()])) as [Head | undefined, EnrolmentRow | undefined, EventRow[]];
    await Promise.all([
      ...rows.filter((row) => row.event.device === head?.device).map((row) => tx.objectStore("outbox").put(waitingAgain(row.event))),
      meta.put({ device, seq: 0, prev: null, hlc: head?.hlc ?? null } satisfies Head, "head"),
      tx.objectStore("attention").put(told),
      ...(enrolment ? [meta.put({ ...enrolment, revoked: true }, "enrolment")] : []),
    ]);
  });
}

export async function deviceId(): Promise<string> {
  return ((await read(["meta"], (tx) => tx.objectStore("meta").get("head"))) as Head | undefined)?.device ?? (await ensureDevice()).device;
}
