/**
 * The reserve: 5 MB of random bytes that are given up so that notes still fit when the phone's storage is full.
 * Only the failing write tells the truth about space (estimate() does not, offline.md 2.2), so space must be held in advance.
 */
import { isStorageFull, read, writeRelaxed } from "./database";

export const RESERVE_BYTES = 5 * 1024 * 1024;
const KEY = "reserve";

/** True while the reserve stands. */
export async function reserveHeld(): Promise<boolean> {
  return (await read(["ballast"], (tx) => tx.objectStore("ballast").count(KEY))) > 0;
}

/** Lays the reserve in when it is missing; false when there is no room for it. */
export async function holdReserve(): Promise<boolean> {
  if (await reserveHeld()) return true;
  const bytes = randomBytes(RESERVE_BYTES);
  try {
    await writeRelaxed(["ballast"], (tx) => tx.objectStore("ballast").put(bytes, KEY));
    return true;
  } catch (error) {
    if (isStorageFull(error)) return false;
    throw error;
  }
}

/** Gives the reserve up; true when there was one. */
export async function spendReserve(): Promise<boolean> {
  const held = await reserveHeld();
  if (held) await writeRelaxed(["ballast"], (tx) => tx.objectStore("ballast").delete(KEY));
  return held;
}

/** Random, because the browser compresses values before it counts them: zeros would hold no room. */
function randomBytes(size: number): ArrayBuffer {
  const bytes = new Uint8Array(size);
  for (let at = 0; at < size; at += 65_536) crypto.getRandomValues(bytes.subarray(at, at + 65_536));
  return bytes.buffer;
}
