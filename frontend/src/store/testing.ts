/** What the tests of store/ and sync/ share: a fresh database, a localStorage, faults on demand. Not part of the app. */
import "fake-indexeddb/auto";
import { IDBFactory } from "fake-indexeddb";
import { closeDatabase } from "./database";
import { ensureDevice } from "./device";
import { loadMemory } from "./memory";

/** localStorage of a browser, with a switch that makes it refuse. */
export class FakeLocalStorage {
  refuse = false;
  private items = new Map<string, string>();
  getItem(key: string): string | null {
    return this.items.get(key) ?? null;
  }
  setItem(key: string, value: string): void {
    if (this.refuse) throw new DOMException("full", "QuotaExceededError");
    this.items.set(key, value);
  }
  removeItem(key: string): void {
    this.items.delete(key);
  }
  keys(): string[] {
    return [...this.items.keys()];
  }
}

/** A phone out of the box: empty database, empty localStorage, a device id. */
export async function freshPhone(): Promise<FakeLocalStorage> {
  await closeDatabase();
  globalThis.indexedDB = new IDBFactory();
  const local = new FakeLocalStorage();
  Object.defineProperty(globalThis, "localStorage", { value: local, configurable: true });
  await ensureDevice();
  await loadMemory();
  return local;
}

type PutFault = (store: string, value: unknown) => void;

/**
 * Makes every add and put in IndexedDB pass `fault` first. What it throws becomes the reason for which the browser aborts the transaction,
 * after the request itself had succeeded: the way a full disk or a dying storage process shows. Call what it returns to end it.
 */
export function failingPuts(fault: PutFault): () => void {
  const { put, add } = IDBObjectStore.prototype;
  const failing = (write: typeof put): typeof put => function (this: IDBObjectStore, value, key) {
    const request = key === undefined ? write.call(this, value) : write.call(this, value, key);
    const { transaction } = this;
    try {
      fault(this.name, value);
    } catch (error) {
      Object.defineProperty(transaction, "error", { get: () => error });
      request.addEventListener("success", () => transaction.abort());
    }
    return request;
  };
  Object.assign(IDBObjectStore.prototype, { put: failing(put), add: failing(add) });
  return () => Object.assign(IDBObjectStore.prototype, { put, add });
}

export const PACK = "a".repeat(64);

/** The body of a JobStarted as `startJob` makes it. */
export function startedBody(title = "Renew the seal"): Record<string, unknown> {
  const machine = { id: "m1", name: "Hill mule", model: "testbed-100", year: 2020, options: [], hours: 12.5, serial: null };
  return { machine, procedure: "renew-the-seal", revision: 1, title };
}
