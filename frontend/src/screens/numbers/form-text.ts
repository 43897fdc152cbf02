/** A form as the text of a draft, and back. */
import type { Form } from "./fields";

/** The draft as a form; one that cannot be read is nothing typed. */
export function formOf(draft: string): Form {
  try {
    const read: unknown = JSON.parse(draft);
    if (typeof read !== "object" || read === null) return {};
    return Object.fromEntries(Object.entries(read).filter((pair): pair is [string, string] => typeof pair[1] === "string"));
  } catch {
    return {};
  }
}
