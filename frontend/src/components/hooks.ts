/** What screens ask of the page around them: a title, the focus, keys, an awake screen. */
import { useSignal, type ReadonlySignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { shownOf } from "./attempt";
import type { Message } from "../store/bench";

/** Names the page and puts the focus on its heading, so that a screen reader begins there. */
export function useHeading(title: string) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    document.title = `${title} · Benchtrail`;
    heading.current?.focus({ preventScroll: true });
  }, [title]);
  return heading;
}

export type Loading<T> = { value: T | null; problem: Message | null; settled: boolean };

const UNSETTLED = { value: null, problem: null, settled: false };

/** Loads something whenever `key` changes; an answer that comes late for an older key is dropped. */
export function useLoaded<T>(key: string, load: () => Promise<T>): ReadonlySignal<Loading<T>> {
  const found = useSignal<Loading<T>>(UNSETTLED);
  useEffect(() => {
    let current = true;
    found.value = UNSETTLED;
    load().then(
      (value) => current && (found.value = { value, problem: null, settled: true }),
      (error: unknown) => current && (found.value = { value: null, problem: shownOf(error), settled: true }),
    );
    return () => void (current = false);
  }, [key]);
  return found;
}

const TYPES_TEXT = "input, textarea, select, [contenteditable]";
const ANSWERS_ENTER = `${TYPES_TEXT}, a, button, summary`;

/** PageDown, PageUp and Enter, as a keyboard, a pedal or a remote sends them; never while something is typed. */
export function useKeys(keys: { PageUp?: () => void; PageDown?: () => void; Enter?: () => void }): void {
  const latest = useRef(keys);
  latest.current = keys;
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      const act = latest.current[event.key as keyof typeof keys];
      const target = event.target instanceof Element ? event.target : document.body;
      if (!act || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
      if (target.closest(event.key === "Enter" ? ANSWERS_ENTER : TYPES_TEXT)) return;
      event.preventDefault();
      act();
    };
    addEventListener("keydown", onKey);
    return () => removeEventListener("keydown", onKey);
  }, []);
}

export type Awake = "awake" | "may_sleep";

/** Keeps the screen on while the component is shown, and says whether the phone lets it. The phone drops the lock when the page is hidden. */
export function useAwake(): ReadonlySignal<Awake> {
  const state = useSignal<Awake>("may_sleep");
  useEffect(() => {
    let lock: WakeLockSentinel | null = null;
    let left = false;
    const ask = async () => {
      if (document.visibilityState !== "visible" || !navigator.wakeLock) return;
      lock = await navigator.wakeLock.request("screen").catch(() => null);
      if (left) return void lock?.release();
      state.value = lock ? "awake" : "may_sleep";
      lock?.addEventListener("release", () => (state.value = "may_sleep"));
    };
    void ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      left = true;
      document.removeEventListener("visibilitychange", ask);
      void lock?.release();
    };
  }, []);
  return state;
}

/** The time in whole seconds, ticking while `running`. */
export function useNowMs(running: boolean): number {
  const now = useSignal(Date.now());
  useEffect(() => {
    if (!running) return;
    now.value = Date.now();
    const timer = setInterval(() => (now.value = Date.now()), 1000);
    return () => clearInterval(timer);
  }, [running]);
  return now.value;
}
