// A condition on year and options as a form asks for it, and as it is written in the text. Knows only conditions joined by “and”.

export type Guarded = { from: number | null; to: number | null; options: Record<string, "with" | "without" | ""> };

/** The condition as years from and to and options; null when it says more than that. */
export function guardOf(written: string): Guarded | null {
  const found: Guarded = { from: null, to: null, options: {} };
  if (written.trim() === "") return found;
  for (const piece of written.trim().split(/\s+and\s+/)) {
    const year = /^year\s*(>=|<=|=)\s*(\d{4})$/.exec(piece);
    const option = /^(not\s+)?([a-z][a-z0-9_]*)$/.exec(piece);
    if (year) {
      const [, sign, number] = year;
      if ((sign !== "<=" && found.from !== null) || (sign !== ">=" && found.to !== null)) return null;
      if (sign !== "<=") found.from = Number(number);
      if (sign !== ">=") found.to = Number(number);
    } else if (option && !["year", "and", "or", "not"].includes(option[2]!) && !(option[2]! in found.options)) found.options[option[2]!] = option[1] ? "without" : "with";
    else return null;
  }
  return found;
}

/** The condition in the words of the text; empty for all machines. */
export function guardText({ from, to, options }: Guarded): string {
  const years = from !== null && from === to ? [`year = ${from}`] : [...(from === null ? [] : [`year >= ${from}`]), ...(to === null ? [] : [`year <= ${to}`])];
  const fitted = Object.entries(options).filter(([, how]) => how !== "");
  return [...years, ...fitted.map(([id, how]) => (how === "with" ? id : `not ${id}`))].join(" and ");
}
