/** Which screen the address asks for, and how to go to another. Knows the browser's history; nothing of the screens. */
import { computed, signal } from "@preact/signals";

const read = () => ({ path: location.pathname, query: location.search.slice(1), hash: location.hash.slice(1) });

export const where = signal(read());
export const path = computed(() => where.value.path);
/** What lies over the screen, named after "?" so that the phone's own way back closes it. */
export const sheet = computed(() => where.value.query);

let depth = 0;

/** Goes to an address of this app; `replace` leaves no way back to the present one. */
export function go(to: string, replace = false): void {
  if (!replace) depth += 1;
  history[replace ? "replaceState" : "pushState"]({ depth }, "", to);
  arrive();
}

/** One step back within the app, else to `otherwise`: a screen opened from a link has nothing of ours behind it. */
export function goBack(otherwise: string): void {
  if (depth > 0) history.back();
  else go(otherwise, true);
}

function arrive(): void {
  const before = where.peek().path;
  where.value = read();
  if (before !== where.peek().path) scrollTo?.(0, 0);
}

/** Follows the browser's own buttons, and links within the app. Call once. */
export function followAddress(): void {
  addEventListener("popstate", (event) => {
    depth = (event.state as { depth?: number } | null)?.depth ?? 0;
    arrive();
  });
  addEventListener("hashchange", () => (where.value = read()));
  document.addEventListener("click", onClick);
}

function onClick(event: MouseEvent): void {
  if (event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  const link = (event.target as Element).closest("a");
  if (!link || link.origin !== location.origin || link.hasAttribute("download") || link.target !== "") return;
  if (!link.getAttribute("href")?.startsWith("/") || link.dataset["away"] !== undefined) return;
  event.preventDefault();
  const to = link.pathname + link.search + link.hash;
  go(to, link.dataset["instead"] !== undefined || to === location.pathname + location.search);
}
