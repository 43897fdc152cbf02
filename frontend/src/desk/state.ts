// Who is signed in and which page of the desk is open. Knows the address bar; nothing of what the pages show.
import { signal } from "@preact/signals";
import { call, Problem } from "./api";

export type Session = { user: { name: string; role: "owner" | "author" | "reviewer" | "reader" }; dealer: { slug: string; name: string; invented: boolean } };

/** undefined: not asked yet; null: nobody is signed in. */
export const session = signal<Session | null | undefined>(undefined);
export const path = signal(location.pathname);

export function go(to: string): void {
  history.pushState(null, "", to);
  path.value = location.pathname;
  window.scrollTo(0, 0);
}

addEventListener("popstate", () => {
  path.value = location.pathname;
});

export async function askSession(): Promise<void> {
  try {
    session.value = await call<Session>("GET", "/session");
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    session.value = null;
  }
}

export async function signOut(): Promise<void> {
  await call("DELETE", "/session");
  session.value = null;
}

export const mayWrite = (): boolean => ["owner", "author"].includes(session.value?.user.role ?? "");
export const mayReview = (): boolean => session.value !== null && session.value?.user.role !== "reader";
export const mayOwn = (): boolean => session.value?.user.role === "owner";
