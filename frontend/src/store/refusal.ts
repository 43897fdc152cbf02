/** The one family of errors the data layer throws on purpose. Knows codes and messages; nothing of what failed. */
import { messageParts } from "../text/messages";
import type { Message, Values } from "./types";

/** A refusal with its message ready to be shown: `shown` holds what happened, what it means, what to do. */
export class BenchError extends Error {
  readonly shown: Message;
  constructor(shown: Message) {
    super(shown.happened);
    this.name = "BenchError";
    this.shown = shown;
  }
  get code(): string {
    return this.shown.code;
  }
}

/** The message of a code with its values. */
export function message(code: string, values: Values = {}): Message {
  return { code, values, ...messageParts(code, values) };
}

/** The error of a code with its values, to be thrown. */
export function refused(code: string, values: Values = {}): BenchError {
  return new BenchError(message(code, values));
}

/** The message of anything that was thrown: a refusal's own, else `fallback` with the engine's words as `detail`. */
export function messageOf(error: unknown, fallback: string, values: Values = {}): Message {
  if (error instanceof BenchError) return error.shown;
  const detail = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  return message(fallback, { detail, ...values });
}
