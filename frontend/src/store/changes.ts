/** Tells the other tabs of this phone what was written, so that all show the same. Knows no storage. */

export type Change =
  | { type: "changed"; part: "journal"; job: string }
  | { type: "changed"; part: "outbox" | "library" | "machines" | "enrolment" | "prefs" | "in_hand" | "tools" }
  | { type: "sync-wanted"; why: string }
  | { type: "sync-alive"; sending: { what: "notes" | "photos"; done: number; total: number } | null; reached: boolean | null };

const listeners = new Set<(change: Change) => void>();
let channel: BroadcastChannel | null = null;

/** Listens for what other tabs say. Browsers without BroadcastChannel have one tab that knows only itself. */
export function onChange(listener: (change: Change) => void): void {
  listeners.add(listener);
  if (channel !== null || typeof BroadcastChannel === "undefined") return;
  channel = new BroadcastChannel("benchtrail");
  channel.onmessage = (event: MessageEvent<Change>) => listeners.forEach((hear) => hear(event.data));
}

export function announce(change: Change): void {
  channel?.postMessage(change);
}

/** Stops listening (tests, and a page that ends). */
export function stopListening(): void {
  channel?.close();
  channel = null;
  listeners.clear();
}
