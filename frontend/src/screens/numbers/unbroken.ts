/** What must not be parted at the end of a line: a day, and a number from its unit. Knows words only, and no time zone. */
const MONTHS = "January February March April May June July August September October November December".split(" ");
const UNITS = "N·m|N·cm|kgf·m|kgf·cm|kgf|lbf·ft|lbf·in|mm²|mm|cm|m|in|ft|thou|ml|l|US|imp|kPa|MPa|bar|psi|°C|°F|kg|g|lb|oz|kN|N/mm|N|V|min|h|km|%";
const BEFORE_UNIT = new RegExp(`(\\d) (?=(?:${UNITS})(?![\\p{L}\\d]))`, "gu");

/** "1 May 2026", on one line; what is no date stays as it is. */
export function dayInWords(iso: string): string {
  const [year = 0, month = 0, day = 0] = iso.split("-").map(Number);
  const name = MONTHS[month - 1];
  return name ? `${day}\u00a0${name}\u00a0${year}` : iso;
}

/** A sentence with its dates said as days, and every number on the line of its unit. */
export const unbroken = (text: string): string => text.replace(/\b\d{4}-\d\d-\d\d\b/g, dayInWords).replace(BEFORE_UNIT, "$1\u00a0");
