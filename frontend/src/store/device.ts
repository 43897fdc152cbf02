/** Which device this is: an id made at the first start and kept, never taken from a backup that another phone went on from. */
import { read, writeStrict } from "./database";
import { message } from "./refusal";
import type { EnrolmentRow, Head } from "./schema";

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
 * would give the same number to two facts. What was written stays under its old id; the phone must join the dealer again.
 */
export async function renewDevice(): Promise<void> {
  const told = { id: "device-restored", job: null, what: "phone" as const, message: message("device_restored") };
  const device = crypto.randomUUID();
  await writeStrict(["meta", "attention"], async (tx) => {
    const meta = tx.objectStore("meta");
    const [head, enrolment] = (await Promise.all([meta.get("head"), meta.get("enrolment")])) as [Head | undefined, EnrolmentRow | undefined];
    await Promise.all([
      meta.put({ device, seq: 0, prev: null, hlc: head?.hlc ?? null } satisfies Head, "head"),
      tx.objectStore("attention").put(told),
      ...(enrolment ? [meta.put({ ...enrolment, revoked: true }, "enrolment")] : []),
    ]);
  });
}

export async function deviceId(): Promise<string> {
  return ((await read(["meta"], (tx) => tx.objectStore("meta").get("head"))) as Head | undefined)?.device ?? (await ensureDevice()).device;
}
