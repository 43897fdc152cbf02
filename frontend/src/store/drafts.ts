/**
 * Text being typed. It reaches the database within 300 ms of the last key, and localStorage at once when the page is hidden:
 * a phone may end a hidden page without another word, and only localStorage is written before the event handler returns.
 */
import { read, writeRelaxed } from "./database";

const SLOT = "benchtrail.drafts";
const PAUSE_MS = 300;

type Draft = { key: string; text: string; atMs: number };
const unwritten = new Map<string, Draft>();
let timer: ReturnType<typeof setTimeout> | undefined;

/** The newest text under a key, wherever it is: typed and not yet written, in the hidden-page slot, or in the database. */
export async function readDraft(key: string): Promise<string> {
  const typed = unwritten.get(key);
  if (typed) return typed.text;
  const stored = await read(["drafts"], (tx) => tx.objectStore("drafts").get(key));
  const slot = readSlot().find((draft) => draft.key === key);
  const newest = [stored, slot].filter((draft) => draft !== undefined).sort((a, b) => b.atMs - a.atMs)[0];
  return newest?.text ?? "";
}

export function writeDraft(key: string, text: string): void {
  unwritten.set(key, { key, text, atMs: Date.now() });
  clearTimeout(timer);
  timer = setTimeout(() => void flushDrafts().catch(() => saveDraftsNow()), PAUSE_MS);
}

/** Removes a draft, once what it held is recorded or thrown away by the person. */
export async function clearDraft(key: string): Promise<void> {
  unwritten.delete(key);
  writeSlot(readSlot().filter((draft) => draft.key !== key));
  await writeRelaxed(["drafts"], (tx) => tx.objectStore("drafts").delete(key));
}

/** Writes all that is typed to the database; resolves when it is there. Never throws: what the database refuses goes to the slot. */
export async function flushDrafts(): Promise<void> {
  clearTimeout(timer);
  const drafts = [...unwritten.values()];
  if (drafts.length === 0) return;
  try {
    await writeRelaxed(["drafts"], (tx) => Promise.all(drafts.map((draft) => tx.objectStore("drafts").put(draft))));
    for (const draft of drafts) if (unwritten.get(draft.key) === draft) unwritten.delete(draft.key);
  } catch {
    saveDraftsNow();
  }
}

/** Writes all that is typed to localStorage before returning. */
export function saveDraftsNow(): void {
  if (unwritten.size === 0) return;
  const kept = readSlot().filter((draft) => !unwritten.has(draft.key));
  writeSlot([...kept, ...unwritten.values()]);
}

/** At start: moves what a hidden page left in the slot into the database, unless something newer stands there. */
export async function recoverDrafts(): Promise<void> {
  const left = readSlot();
  if (left.length === 0) return;
  await writeRelaxed(["drafts"], async (tx) => {
    const store = tx.objectStore("drafts");
    for (const draft of left) {
      const stored = await store.get(draft.key);
      if (!stored || stored.atMs < draft.atMs) await store.put(draft);
    }
  });
  const taken = new Set(left.map((draft) => `${draft.key} ${draft.atMs}`));
  writeSlot(readSlot().filter((draft) => !taken.has(`${draft.key} ${draft.atMs}`)));
}

function readSlot(): Draft[] {
  try {
    const drafts: unknown = JSON.parse(localStorage.getItem(SLOT) ?? "[]");
    return Array.isArray(drafts) ? drafts.filter(isDraft) : [];
  } catch {
    return [];
  }
}

function isDraft(item: unknown): item is Draft {
  const made = item as Partial<Draft> | null;
  return typeof made?.key === "string" && typeof made.text === "string" && typeof made.atMs === "number";
}

function writeSlot(drafts: Draft[]): void {
  try {
    if (drafts.length === 0) localStorage.removeItem(SLOT);
    else localStorage.setItem(SLOT, JSON.stringify(drafts));
  } catch {
    // full or forbidden: the database copy of 300 ms ago is then the newest there is
  }
}
