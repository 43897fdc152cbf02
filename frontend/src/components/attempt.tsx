/** Acts that can be refused: one at a time, said in words while they run, and their message shown where they were asked for. */
import { useSignal, type Signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Refused } from "../domain/refused";
import { BenchError, type Message, type Values } from "../store/bench";
import { messageParts } from "../text/messages";

const message = (code: string, values: Values): Message => ({ code, values, ...messageParts(code, values) });

/** A refusal of a screen's own. */
export const refusal = (code: string, values: Values = {}): BenchError => new BenchError(message(code, values));

/** The message of whatever was thrown. A fault that is no refusal is reported with the engine's own words. */
export function shownOf(error: unknown): Message {
  if (error instanceof BenchError) return error.shown;
  if (error instanceof Refused) return message(error.code, error.values);
  return message("screen_failed", { detail: error instanceof Error ? `${error.name}: ${error.message}` : String(error) });
}

export type Attempt = {
  busy: Signal<boolean>;
  problem: Signal<Message | null>;
  /** Runs the act; true when it went through. A second press while it runs does nothing. */
  run: (act: () => Promise<unknown>) => Promise<boolean>;
};

export function useAttempt(): Attempt {
  const busy = useSignal(false);
  const problem = useSignal<Message | null>(null);
  const run = async (act: () => Promise<unknown>): Promise<boolean> => {
    if (busy.peek()) return false;
    busy.value = true;
    problem.value = null;
    try {
      await act();
      return true;
    } catch (error) {
      problem.value = shownOf(error);
      return false;
    } finally {
      busy.value = false;
    }
  };
  return { busy, problem, run };
}

/** What happened, what it means, what to do; brought into sight when it comes up away from where the press was. */
export function Problem({ message }: { message: Message | null }) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView?.({ block: "nearest" }), [message]);
  if (message === null) return null;
  return (
    <div class="problem" role="alert" ref={box}>
      <p class="problem-happened">{message.happened}</p>
      <p>{message.means}</p>
      <p class="problem-do">{message.do}</p>
    </div>
  );
}
