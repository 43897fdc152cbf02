/** The quiet line that says what became of the last act; read aloud by screen readers. */
import { signal } from "@preact/signals";

export const said = signal("");

export function say(words: string): void {
  said.value = words;
}

export function Said() {
  return (
    <p class="said" role="status" aria-live="polite">
      {said.value}
    </p>
  );
}
