import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { asLeader, heardLeader } from "./leader";

type Grant = (lock: object | null) => Promise<void>;
let held: boolean;
let stolen: number;

/** Web Locks with one other tab that may hold the lock. */
beforeEach(() => {
  [held, stolen] = [false, 0];
  const request = async (_name: string, options: { ifAvailable?: boolean; steal?: boolean }, grant: Grant) => {
    if (options.steal) stolen += 1;
    await grant(held && !options.steal ? null : {});
  };
  vi.stubGlobal("navigator", { locks: { request } });
  heardLeader(-Infinity);
});
afterEach(() => vi.unstubAllGlobals());

const rounds = async (atMs: number) => {
  let ran = 0;
  await asLeader("saved", atMs, async () => void (ran += 1));
  return ran;
};

test("the only tab sends", async () => expect(await rounds(0)).toBe(1));

test("a tab does not send while another holds the lock and is heard of", async () => {
  held = true;
  for (let atMs = 0; atMs < 300_000; atMs += 10_000) {
    heardLeader(atMs);
    expect(await rounds(atMs)).toBe(0);
  }
});

test("a holder that is silent for a minute is frozen: its lock is taken", async () => {
  held = true;
  expect(await rounds(0)).toBe(0);
  expect(await rounds(59_000)).toBe(0);
  expect(await rounds(61_000)).toBe(1);
  expect(stolen).toBe(1);
});

test("without Web Locks a tab sends: every request may be repeated without harm", async () => {
  vi.stubGlobal("navigator", {});
  expect(await rounds(0)).toBe(1);
});
