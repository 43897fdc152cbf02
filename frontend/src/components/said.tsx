/** The quiet line that says what became of the last act; read aloud by screen readers. */
import { signal } from "@preact/signals";

export const said = signal("");

const SHOWN_MS = 8000;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Says it for eight seconds: what was saved a while ago is told by the sending page. */
export function say(words: string): void {
  said.value = words;
  clearTimeout(timer);
  timer = setTimeout(() => (said.value = ""), SHOWN_MS);
}

export function Said() {
  return (
    <p class="said" role="status" aria-live="polite">
      {said.value}
    </p>
  );
}
