/** Text being typed that outlives the page: kept at every key, given back when the form is opened again. */
import { useSignal, type ReadonlySignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { clearDraft, readDraft, writeDraft } from "../store/bench";

export type Draft = { text: ReadonlySignal<string>; type: (text: string) => void; clear: () => Promise<void> };

/** A stored draft never replaces what was typed before it arrived. */
export function useDraft(key: string, start = ""): Draft {
  const text = useSignal(start);
  useEffect(() => {
    void readDraft(key).then((stored) => stored !== "" && text.peek() === start && (text.value = stored));
  }, [key]);
  const type = (next: string): void => {
    text.value = next;
    writeDraft(key, next);
  };
  return { text, type, clear: () => clearDraft(key) };
}
