/** Comparing a job with the server's: which jobs are due, which were found equal, and what to do about a difference. */
import { read, readMeta, writeStrict } from "../store/database";
import { allJobs, rereadOutbox } from "../store/memory";
import { message } from "../store/refusal";
import type { SyncRow } from "../store/schema";
import { waitingAgain } from "../store/waiting";
import { jobDigest } from "../domain/event-hash";
import type { JobDigest } from "./engine-types";

export async function compare(): Promise<JobDigest[]> {
  const settled = (await readMeta("settled")) ?? {};
  const waiting = await read(["outbox"], (tx) => tx.objectStore("outbox").getAll());
  const open = new Set(waiting.filter((row) => row.kind === "event").map((row) => row.job));
  const due: JobDigest[] = [];
  for (const job of allJobs().filter((candidate) => !open.has(candidate))) {
    const mine = await digestOf(job);
    if (mine !== null && settled[job] !== mine.sha256) due.push(mine);
  }
  return due;
}

/** Over all events of the job on this phone, those set aside at the dealer's included: the server counts them too. Null without events. */
async function digestOf(job: string): Promise<JobDigest | null> {
  const ids = await read(["events"], (tx) => tx.objectStore("events").index("job").getAllKeys(job));
  return ids.length === 0 ? null : { job, ...(await jobDigest(ids)) };
}

export async function settle(mine: JobDigest): Promise<void> {
  await writeStrict(["meta", "attention"], async (tx) => {
    const store = tx.objectStore("meta");
    const [settled, healed] = (await Promise.all([store.get("settled"), store.get("healed")])) as (Record<string, string> | undefined)[];
    // equal again: should the same difference come back later (the server restored twice), it is to be treated anew
    const { [mine.job]: _, ...stillOpen } = healed ?? {};
    await Promise.all([
      store.put({ ...settled, [mine.job]: mine.sha256 }, "settled"),
      store.put(stillOpen, "healed"),
      tx.objectStore("attention").delete(`job:${mine.job}`),
    ]);
  });
  await rereadOutbox();
}

/**
 * Sends again what this phone once sent, and what the dealer answered (the server knows duplicates and keeps them once), and reads again
 * from the beginning.
 * The same difference twice is beyond what repeating can mend: it is shown to the person.
 */
export async function heal(mine: JobDigest, theirs: { count: number; sha256: string }): Promise<boolean> {
  const difference = `${mine.count} ${mine.sha256} ${theirs.count} ${theirs.sha256}`;
  const healed = (await readMeta("healed")) ?? {};
  const again = healed[mine.job] !== difference;
  await writeStrict(["meta", "outbox", "attention", "events", "receipts"], async (tx) => {
    if (!again) return void (await tx.objectStore("attention").put(differs(mine, theirs.count)));
    const meta = tx.objectStore("meta");
    const rows = await tx.objectStore("events").index("job").getAll(mine.job);
    const receipts = await Promise.all(rows.map((row) => tx.objectStore("receipts").get(row.id)));
    const sync = (await meta.get("sync")) as SyncRow | undefined;
    // what the desk wrote nobody else can bring back to a server that lost it; it knows its own words again by their proof
    const toSend = rows.filter(({ event }, at) => receipts[at] !== undefined || event.kind === "ReplyWritten");
    await Promise.all([
      ...toSend.map((row) => tx.objectStore("outbox").put(waitingAgain(row.event))),
      meta.put({ epoch: null, lastSent: null, ...sync, cursor: null }, "sync"),
      meta.put({ ...healed, [mine.job]: difference }, "healed"),
    ]);
  });
  await rereadOutbox();
  return again;
}

function differs(mine: JobDigest, theirCount: number) {
  return { id: `job:${mine.job}`, job: mine.job, what: "job" as const, message: message("job_differs", { here: mine.count, there: theirCount }) };
}
