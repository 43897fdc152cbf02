/** Turns a code and its values into the three sentences a person reads. Knows the message tables of the phone; no storage, no network. */
import phone from "../../../shared/messages/phone.en.json";

export type MessageParts = { happened: string; means: string; do: string };
export type MessageValues = Record<string, string | number>;

const tables: Record<string, MessageParts>[] = [phone];

/** The three sentences for a code; an unknown code is said as such, with the code, so that it can be reported. */
export function messageParts(code: string, values: MessageValues = {}): MessageParts {
  const parts = tables.find((table) => Object.hasOwn(table, code))?.[code] ?? { ...phone.unknown_code };
  const all = { code, ...values };
  return { happened: fill(parts.happened, all), means: fill(parts.means, all), do: fill(parts.do, all) };
}

/** Whether a code has its message already. */
export function isMessage(code: string): boolean {
  return tables.some((table) => Object.hasOwn(table, code));
}

/** Adds a table of messages (the desk brings its own); a code standing in two tables is a fault of the build. */
export function addMessages(table: Record<string, MessageParts>): void {
  const twice = Object.keys(table).find((code) => tables.some((known) => Object.hasOwn(known, code)));
  if (twice !== undefined) throw new Error(`message code ${twice} stands in two tables`);
  tables.push(table);
}

function fill(text: string, values: MessageValues): string {
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => (Object.hasOwn(values, name) ? String(values[name]) : whole));
}
