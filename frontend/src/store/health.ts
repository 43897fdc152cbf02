/** The state of this phone's storage: protected or not, how full, installed or in a tab, reserve held or spent. */
import { holdReserve } from "./reserve";
import { storage } from "./signals";
import { message } from "./refusal";

/** Reads what the browser says. Its figures are estimates: Chromium said 10 GiB over a real 300 kB (offline.md 2.2), so nothing is decided by them. */
export async function showStorage(): Promise<void> {
  const manager: StorageManager | undefined = globalThis.navigator?.storage;
  const [persisted, estimate] = await Promise.all([manager?.persisted?.().catch(() => null) ?? null, manager?.estimate?.().catch(() => null) ?? null]);
  storage.value = { ...storage.peek(), persisted, usage: estimate?.usage ?? null, quota: estimate?.quota ?? null, installed: isInstalled() };
}

function isInstalled(): boolean {
  const shown = ["standalone", "fullscreen", "minimal-ui"].some((mode) => globalThis.matchMedia?.(`(display-mode: ${mode})`).matches);
  return shown || (globalThis.navigator as { standalone?: boolean } | undefined)?.standalone === true;
}

export async function askToPersist(): Promise<boolean> {
  const granted = (await globalThis.navigator?.storage?.persist?.().catch(() => false)) ?? false;
  await showStorage();
  return granted;
}

/** Lays the reserve in again when there is room; says so when there is none. True when it stands. */
export async function layReserve(): Promise<boolean> {
  const held = await holdReserve();
  const { problem } = storage.peek();
  const about = problem?.code === "storage_reserve_spent" || problem === null;
  storage.value = { ...storage.peek(), reserve: held ? "held" : "spent", problem: about ? (held ? null : message("storage_reserve_spent")) : problem };
  return held;
}
