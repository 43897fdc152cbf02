/**
 * The last room on the phone: a megabyte of random bytes in Cache Storage, and the question whether the disk has room at all.
 *
 * A disk with not one byte left is the one thing that made Chromium 156 lose what it had called durable. A write that finds no room leaves
 * half a record in the database's log; the next start finds it, calls the database corrupt, and empties it: every note of the phone. Opening
 * a database on a full disk can do the same. So before each write and each opening a small file is put into Cache Storage and taken away
 * again (2 ms); where it does not fit, the database is not touched. And there the database could not even delete, while a cached file can
 * still be taken away: so the last of the reserve lies here.
 * Only for Chromium, and only once Cache Storage was seen to work on this phone: a fault in it must not shut the app.
 */
import { message } from "./refusal";
import { storage } from "./signals";

const CACHE = "reserve";
const LAST = "/reserve";
const TRY = "/room";
const LAST_BYTES = 1024 * 1024;
const TRY_BYTES = 128 * 1024;
const SEEN_TO_WORK = "benchtrail.reserve";

/** Lays the last megabyte in when it is missing; false when there is no room for it. */
export async function holdLast(): Promise<boolean> {
  try {
    if (!isChromium()) return true;
    const cache = await caches.open(CACHE);
    if (!(await cache.match(LAST))) await cache.put(LAST, new Response(randomBytes(LAST_BYTES)));
    localStorage.setItem(SEEN_TO_WORK, "1");
    return true;
  } catch (error) {
    return !isQuota(error) && !watched();
  }
}

/** Gives the last megabyte up; true when there was one. */
export async function spendLast(): Promise<boolean> {
  try {
    const cache = await globalThis.caches?.open(CACHE);
    if (!(await cache?.delete(LAST))) return false;
    sayReserveSpent();
    return true;
  } catch {
    return false;
  }
}

export function sayReserveSpent(): void {
  storage.value = { ...storage.peek(), reserve: "spent", problem: message("storage_reserve_spent") };
}

/** True when the database may be written. */
export async function roomToWrite(): Promise<boolean> {
  return !watched() || diskHasRoom();
}

/** True when the database may be opened; gives the last megabyte up when that is what it takes. */
export async function roomToOpen(): Promise<boolean> {
  return (await roomToWrite()) || spendLast();
}

/** Asked of Cache Storage, whose failing leaves the notes alone. A quota that is used up says nothing of the disk. */
async function diskHasRoom(): Promise<boolean> {
  try {
    const cache = await caches.open(CACHE);
    await cache.put(TRY, new Response(randomBytes(TRY_BYTES)));
    await cache.delete(TRY);
    return true;
  } catch (error) {
    return isQuota(error);
  }
}

function watched(): boolean {
  try {
    return isChromium() && localStorage.getItem(SEEN_TO_WORK) !== null;
  } catch {
    return false;
  }
}

/** By what only Chromium has. Firefox and WebKit keep their databases in another way. */
function isChromium(): boolean {
  return "caches" in globalThis && "userAgentData" in navigator;
}

function isQuota(error: unknown): boolean {
  return (error as Error).name === "QuotaExceededError";
}

/** Random, because the browser compresses values before it counts them: zeros would hold no room. */
export function randomBytes(size: number): ArrayBuffer {
  const bytes = new Uint8Array(size);
  for (let at = 0; at < size; at += 65_536) crypto.getRandomValues(bytes.subarray(at, at + 65_536));
  return bytes.buffer;
}
