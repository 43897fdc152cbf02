import { expect, test } from "vitest";
import { writeRelaxed, writeStrict } from "./database";
import { freshPhone } from "./testing";

/** What every write of `work` asked the browser for. */
async function durabilities(work: () => Promise<unknown>): Promise<(string | undefined)[]> {
  const asked: (string | undefined)[] = [];
  const { transaction } = IDBDatabase.prototype;
  IDBDatabase.prototype.transaction = function (stores, mode, options) {
    asked.push(options?.durability);
    return transaction.call(this, stores, mode, options);
  };
  await work();
  IDBDatabase.prototype.transaction = transaction;
  return asked;
}

test("what a person made is flushed to the disk, what can be fetched again need not be", async () => {
  await freshPhone();
  expect(await durabilities(() => writeStrict(["drafts"], (tx) => tx.objectStore("drafts").put({ key: "a", text: "b", atMs: 1 })))).toEqual(["strict"]);
  expect(await durabilities(() => writeRelaxed(["ballast"], (tx) => tx.objectStore("ballast").put(new ArrayBuffer(1), "x")))).toEqual(["relaxed"]);
});

test("a write whose transaction is aborted after its requests succeeded did not happen, and says so", async () => {
  await freshPhone();
  const aborted = writeStrict(["drafts"], async (tx) => {
    await tx.objectStore("drafts").put({ key: "a", text: "b", atMs: 1 });
    tx.abort();
  });
  await expect(aborted).rejects.toThrow();
});
