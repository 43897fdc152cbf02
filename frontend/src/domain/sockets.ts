/** Which threads a socket size can belong to: it never names one alone. Knows hexagon sizes of common heads; not strength. */
import { answer, note, source } from "./answer";
import { bounded } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";
import { PITCHES } from "./threads";

// head → diameter of the thread → size across the flats, mm
const HEADS: Readonly<Record<string, Readonly<Record<number, readonly number[]>>>> = {
  "hexagon ISO 4014, 4017": { 4: [7], 5: [8], 6: [10], 8: [13], 10: [16], 12: [18], 14: [21], 16: [24] },
  "hexagon DIN 931, 933": { 4: [7], 5: [8], 6: [10], 8: [13], 10: [17], 12: [19], 14: [22], 16: [24] },
  "small hexagon JIS B 1180": { 8: [12], 10: [14], 12: [17], 14: [19], 16: [22] },
  "small flange JIS B 1189, EN 1662": { 5: [7], 6: [8], 8: [10], 10: [13], 12: [15, 16], 14: [18], 16: [21] },
  "flange EN 1665": { 5: [8], 6: [10], 8: [13], 10: [16], 12: [18], 14: [21], 16: [24] },
};
const SOURCES = [
  source("library", "bd_warehouse 0.4.0: ISO 4014, EN 1662, EN 1665 sizes"),
  source("restated", "JIS B 1180, JIS B 1189, DIN 931 and 933 pages"),
];
const DIAMETERS = [4, 5, 6, 8, 10, 12, 14, 16];

/** All threads whose usual heads a socket fits, with their pitches. Throws `socket_unknown` when none fits. */
export function threadsForSocket({ socket_mm }: { socket_mm: number }) {
  const size = bounded(socket_mm, "socket size", "mm", 5, 30);
  const headsOf = (diameter: number) => Object.keys(HEADS).filter((head) => HEADS[head]?.[diameter]?.includes(size));
  const found = DIAMETERS.filter((diameter) => headsOf(diameter).length > 0);
  if (found.length === 0) throw new Refused("socket_unknown", { socket: withUnit(size, "mm") });
  const candidates = found.map((diameter_mm) => ({ diameter_mm, heads: headsOf(diameter_mm), pitches_mm: PITCHES[diameter_mm] ?? [] }));
  const working = note("threads_for_socket", { socket_mm: size, threads: found.map((diameter) => `M${diameter}`) });
  return answer({ candidates }, working, SOURCES, [note("special_bolt")], [note("measure_the_pitch")]);
}
