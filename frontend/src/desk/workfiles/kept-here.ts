// Texts that the server does not have yet, kept in this browser. Knows its storage; nothing of what the texts say.
// One place for each tab: two tabs on one workfile never write over one another.

export type Kept = { base: number; text: string; at: string; tab: string; own: boolean };

const START = "benchtrail-workfile";
const tab = (): string => {
  const known = sessionStorage.getItem(`${START}-tab`);
  if (known) return known;
  const made = crypto.randomUUID();
  sessionStorage.setItem(`${START}-tab`, made);
  return made;
};
const placeOf = (dealer: string, id: string, of = tab()): string => `${START}:${dealer}:${id}:${of}`;

/** False when the browser will not keep it: the person must then not leave before the server has it. */
export function keepHere(dealer: string, id: string, base: number, text: string): boolean {
  try {
    localStorage.setItem(placeOf(dealer, id), JSON.stringify({ base, text, at: new Date().toISOString() }));
    return true;
  } catch {
    return false;
  }
}

export function forget(dealer: string, id: string, of?: string): void {
  localStorage.removeItem(placeOf(dealer, id, of));
}

/** What was kept of a workfile and never reached the server: this tab's first, then the newest. */
export function keptOf(dealer: string, id: string): Kept[] {
  const start = placeOf(dealer, id, "");
  const own = tab();
  const found: Kept[] = [];
  for (let at = 0; at < localStorage.length; at += 1) {
    const key = localStorage.key(at)!;
    if (!key.startsWith(start)) continue;
    const kept = read(localStorage.getItem(key));
    const of = key.slice(start.length);
    if (kept) found.push({ ...kept, tab: of, own: of === own });
  }
  return found.sort((a, b) => Number(b.own) - Number(a.own) || (a.at < b.at ? 1 : -1));
}

function read(source: string | null): Omit<Kept, "tab" | "own"> | null {
  try {
    const found = JSON.parse(source ?? "") as Partial<Kept>;
    return typeof found.text === "string" && typeof found.base === "number" ? { base: found.base, text: found.text, at: String(found.at ?? "") } : null;
  } catch {
    return null;
  }
}
