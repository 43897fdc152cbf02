/**
 * The rescue slot: what could not be written to the database, kept in localStorage until it can.
 * localStorage because it is the only store that is synchronous and independent of the database's process.
 */
export type Rescued = { id: string; job: string; kind: string; body: Record<string, unknown>; wall: string; pack: string };

const SLOT = "benchtrail.rescue";

/** Keeps one event; false when even this store refuses. */
export function rescue(item: Rescued): boolean {
  return writeSlot([...rescued().filter((kept) => kept.id !== item.id), item]);
}

/** What waits in the slot, oldest first; an unreadable slot is moved aside, never deleted. */
export function rescued(): Rescued[] {
  const text = slotText();
  if (text === null) return [];
  try {
    const items: unknown = JSON.parse(text);
    if (Array.isArray(items)) return items.filter(isRescued);
  } catch {
    // falls through to moving it aside
  }
  localStorage.setItem(`${SLOT}.unreadable.${Date.now()}`, text);
  localStorage.removeItem(SLOT);
  return [];
}

/** Takes one item out, once it is durable in the database. */
export function rescueDone(id: string): void {
  writeSlot(rescued().filter((item) => item.id !== id));
}

function isRescued(item: unknown): item is Rescued {
  const made = item as Partial<Rescued> | null;
  return typeof made?.id === "string" && typeof made.job === "string" && typeof made.kind === "string" && typeof made.body === "object";
}

function slotText(): string | null {
  try {
    return localStorage.getItem(SLOT);
  } catch {
    return null;
  }
}

function writeSlot(items: Rescued[]): boolean {
  try {
    if (items.length === 0) localStorage.removeItem(SLOT);
    else localStorage.setItem(SLOT, JSON.stringify(items));
    return true;
  } catch {
    return false;
  }
}
