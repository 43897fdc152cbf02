/**
 * The reserve: room held in advance, given up so that notes still fit when the phone's storage is full. Only the failing write tells the
 * truth about space (estimate() does not, offline.md 2.2). 5 MB in the database are for the day when the browser allows no more; the last
 * megabyte (room.ts) is for a disk that is full.
 */
import { isLostHandle, isStorageFull, read, writeRelaxed } from "./database";
import { holdLast, randomBytes, sayReserveSpent, spendLast } from "./room";

export const RESERVE_BYTES = 5 * 1024 * 1024;
const KEY = "reserve";

/** True while the reserve in the database stands. */
export async function reserveHeld(): Promise<boolean> {
  return (await read(["ballast"], (tx) => tx.objectStore("ballast").count(KEY))) > 0;
}

/** Lays in what is missing of the reserve; false when there is no room for it. */
export async function holdReserve(): Promise<boolean> {
  try {
    if (!(await holdLast())) return false;
    if (await reserveHeld()) return true;
    const bytes = randomBytes(RESERVE_BYTES);
    await writeRelaxed(["ballast"], (tx) => tx.objectStore("ballast").put(bytes, KEY));
    return true;
  } catch (error) {
    if (isStorageFull(error) || isLostHandle(error)) return false;
    throw error;
  }
}

/** Gives up the next part of the reserve that helps against `error`; false when there is none, or when room is not what is missing. */
export async function makeRoom(error: unknown): Promise<boolean> {
  if (isStorageFull(error)) return (await spendReserve()) || spendLast();
  return isLostHandle(error) && spendLast();
}

async function spendReserve(): Promise<boolean> {
  try {
    if (!(await reserveHeld())) return false;
    await writeRelaxed(["ballast"], (tx) => tx.objectStore("ballast").delete(KEY));
    sayReserveSpent();
    return true;
  } catch {
    return false; // even to delete takes room: the last megabyte is for that
  }
}
